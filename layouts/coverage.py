"""How much of each ink a printed part takes: the area that shows, in square millimetres."""

from __future__ import annotations

from collections.abc import Sequence

from layouts.drawing import Fill, Shape
from layouts.face.model import Part
from layouts.geometry import Rect
from layouts.inks import Ink, InkRole


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
        return abs(sum(contour.area() for contour in shape.path.contours))
    return sum(contour.length() for contour in shape.path.contours) * shape.width
