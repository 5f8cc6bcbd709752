"""Openings: the holes of a tag, and the plate that carries a mounted marker with its slots."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from itertools import combinations

from layouts.drawing import Path, Point, Rect, Size, circle, rectangle
from layouts.face.model import Face, Part
from layouts.plan.design import Design, Plate
from layouts.terms.words import HoleAt, Outline, PartRole

_WEB = 1.0  # material that must be left beside an opening, mm: common practice, no source


def tag_holes(design: Design, width: float) -> Path:
    """One hole in the middle of a tag's top, or one in each top corner of a rectangular tag."""
    middle = design.hole_edge + design.hole_diameter / 2
    corners = design.hole_at is HoleAt.CORNERS and design.outline is Outline.RECTANGLE
    xs = (middle, width - middle) if corners else (width / 2,)
    return _round_holes(xs, middle, design.hole_diameter)


@lru_cache(maxsize=4096)  # tags of one size share their holes
def _round_holes(xs: tuple[float, ...], y: float, diameter: float) -> Path:
    return Path(tuple(circle(Point(x, y), diameter).contours[0] for x in xs))


_CLEAR = 2.0  # least plate between an opening and the film, mm: common practice, no source


@lru_cache(maxsize=4096)  # markers of one size share their plate
def plate_part(plate: Plate, face: Size) -> Part:
    """The carrier of a mounted marker: cut only, its openings outside the film."""
    width = face.width + 2 * plate.border + plate.ears * plate.ear
    size = Size(width, face.height + 2 * (plate.border + _rim(plate)))
    ends = (plate.ear / 2, size.width - plate.ear / 2)[: plate.ears]
    middle = (size.width / 2,) if plate.middle else ()
    inset = plate.edge + plate.slot_width / 2
    openings = Path(())
    for x in (*ends, *middle):
        for y in (inset, size.height - inset):
            openings = openings.joined(_opening(plate, Point(x, y)))
        if plate.rivet_hole and x in ends:
            openings = openings.joined(circle(Point(x, size.height / 2), plate.rivet_hole))
    outline_path = rectangle(Rect(0.0, 0.0, size.width, size.height), plate.ear / 3)
    return Part(PartRole.PLATE, size, outline_path, openings, (), 0.0)


def _rim(plate: Plate) -> float:
    """Extra plate height for openings halfway along it, which also stay outside the film."""
    needed = plate.edge + plate.slot_width + max(_CLEAR, plate.slot_width / 4)
    return max(0.0, needed - plate.border) if plate.middle else 0.0


def _opening(plate: Plate, center: Point) -> Path:
    if not plate.slot_length:
        return circle(center, plate.slot_width)
    box = Rect(
        center.x - plate.slot_length / 2,
        center.y - plate.slot_width / 2,
        plate.slot_length,
        plate.slot_width,
    )
    return rectangle(box, plate.slot_width / 2)


def hole_faults(face: Face) -> Iterator[str]:
    """Every opening that has too little material around it."""
    for part in face.parts:
        boxes = [contour.bounds() for contour in part.holes.contours] if part.holes else []
        if any(not part.box.grown(-_WEB).contains(box, 1e-6) for box in boxes):
            yield f"a hole is nearer than {_WEB:g} mm to the edge of the {part.role}"
        if any(_near(one, other) for one, other in combinations(boxes, 2)):
            yield f"two holes of the {part.role} are nearer than {_WEB:g} mm to each other"
        if part.role is PartRole.PLATE and any(_under_film(box, part, face) for box in boxes):
            yield "a hole of the plate lies under the film"


def _near(one: Rect, other: Rect) -> bool:
    wide = one.grown(_WEB - 1e-6)
    return (
        wide.x < other.right
        and other.x < wide.right
        and wide.y < other.bottom
        and other.y < wide.bottom
    )


def _under_film(box: Rect, part: Part, face: Face) -> bool:
    """Film lies between the ears; a flag has one, at its left."""
    plate = face.design.plate
    if plate is None:
        return False
    left, film = plate.ear + plate.border, face.parts[0].size
    top = (part.size.height - film.height) / 2
    beside = box.right <= left or box.x >= left + film.width
    return not (beside or box.bottom <= top or box.y >= top + film.height)
