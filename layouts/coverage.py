"""How much of each ink a printed part takes: the area that shows, in square millimetres."""

from __future__ import annotations

from collections.abc import Sequence

from layouts.drawing import Fill, Shape
from layouts.face.model import Part
from layouts.geometry import Contour, Point, Rect
from layouts.inks import Ink, InkRole
from layouts.lettering import flattened

_FLATNESS = 0.02  # mm; an estimate for ordering ink needs no finer


def ink_areas(part: Part) -> dict[Ink, float]:
    """Area of each ink on a part, bleed included.

    A shape takes its area away from the shape that it lies on, unless it overprints; faces are
    built so that each shape lies inside the one below it. Bare film counts as no ink.
    """
    areas = [_area(shape) for shape in part.art]
    shown = list(areas)
    boxes = [shape.path.bounds() for shape in part.art]
    for index, shape in enumerate(part.art):
        under = None if shape.overprint else _below(boxes, index)
        if under is not None:
            shown[under] -= areas[index]
    totals: dict[Ink, float] = {}
    for shape, area in zip(part.art, shown, strict=True):
        if shape.ink is not None and shape.ink.role is not InkRole.PAPER:
            totals[shape.ink] = totals.get(shape.ink, 0.0) + area
    return totals


def _below(boxes: Sequence[Rect], index: int) -> int | None:
    """The topmost earlier shape whose box holds the middle of this one."""
    middle = boxes[index].center
    spot = Rect(middle.x, middle.y, 0.0, 0.0)
    return next((each for each in reversed(range(index)) if boxes[each].contains(spot)), None)


def _area(shape: Shape) -> float:
    if isinstance(shape, Fill):
        return abs(sum(_ring_area(contour) for contour in shape.path.contours))
    return sum(contour.length() for contour in shape.path.contours) * shape.width


def _ring_area(contour: Contour) -> float:
    """Signed area; counters of a letter run the other way and take theirs off."""
    ring = flattened(contour, _FLATNESS)
    return sum(map(_cross, ring, [*ring[1:], ring[0]])) / 2


def _cross(one: Point, other: Point) -> float:
    return one.x * other.y - other.x * one.y
