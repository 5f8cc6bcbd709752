"""Areas: inside a path, and of each ink on a part.

Contours that run the other way, such as the counter of an O, take theirs off.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from layouts.drawing import Path, Rect
from layouts.drawing.document import Fill, Shape
from layouts.drawing.inks import Ink, InkRole
from layouts.face.model import Part
from layouts.terms.values import frozen


def enclosed_area(path: Path) -> float:
    """Square millimeters inside a path whose contours do not cross; open ones are closed."""
    return abs(path.area())


@frozen
class Cover:
    """Area of each ink on a part, bleed included, and how much of it overprints."""

    inks: Mapping[Ink, float]
    overprinted: Mapping[Ink, float]


class Coverage:
    """What the parts of a job take, each worked out once for all papers that ask."""

    def __init__(self) -> None:
        self._known: dict[tuple[int, int, bool], tuple[Part, Cover]] = {}

    def of(self, part: Part) -> Cover:
        """The cover of a part, white and back included; parts that share their art share it."""
        key = id(part.art), id(part.white), part.two_faced
        known = self._known.get(key)
        if known is None:
            art = cover_of(part.art)
            white = cover_of(part.white)
            cover = Cover({**white.inks, **art.inks}, {**white.overprinted, **art.overprinted})
            if part.two_faced:
                cover = Cover(_twice(cover.inks), _twice(cover.overprinted))
            known = self._known[key] = part, cover
        return known[1]


def _twice(areas: Mapping[Ink, float]) -> dict[Ink, float]:
    return {ink: 2 * area for ink, area in areas.items()}


def cover_of(art: Sequence[Shape]) -> Cover:
    """Area of each ink that shows.

    A shape takes its area away from the shape that it lies on, unless it overprints; faces are
    built so that each shape lies inside the one below it. Bare film counts as no ink.
    """
    areas = [_area(shape) for shape in art]
    shown = list(areas)
    boxes = _Boxes(art)
    for index, shape in enumerate(art):
        under = None if shape.overprint else boxes.below(index)
        if under is not None:
            shown[under] -= areas[index]
    inks: dict[Ink, float] = {}
    overprinted: dict[Ink, float] = {}
    for shape, area, seen in zip(art, areas, shown, strict=True):
        ink = shape.ink
        if ink is not None and ink.role is not InkRole.PAPER:
            inks[ink] = inks.get(ink, 0.0) + seen
            above = area if shape.overprint else 0.0
            overprinted[ink] = overprinted.get(ink, 0.0) + above
    return Cover(inks, overprinted)


class _Boxes:
    """Boxes of shapes, each worked out when it is asked for: most lettering lies on top."""

    def __init__(self, art: Sequence[Shape]) -> None:
        self._art = art
        self._known: dict[int, Rect] = {}

    def below(self, index: int) -> int | None:
        """The topmost earlier shape whose box holds the middle of this one."""
        if index == 0:
            return None
        middle = self._box(index).center
        spot = Rect(middle.x, middle.y, 0.0, 0.0)
        return next(
            (each for each in reversed(range(index)) if self._box(each).contains(spot)), None
        )

    def _box(self, index: int) -> Rect:
        box = self._known.get(index)
        if box is None:
            box = self._known[index] = self._art[index].path.bounds()
        return box


def _area(shape: Shape) -> float:
    if isinstance(shape, Fill):
        return enclosed_area(shape.path)
    return math.fsum(contour.length() for contour in shape.path.contours) * shape.width
