"""Plain shapes as paths."""

from __future__ import annotations

import math
from collections.abc import Iterable
from functools import lru_cache

from layouts.drawing.path import Contour, Path
from layouts.drawing.plane import Point, Rect
from layouts.drawing.segments import Arc, Line, Segment


@lru_cache(maxsize=4096)  # sheets are full of equal boxes, which are then one value
def rectangle(
    box: Rect, radius: float = 0.0, square_left: bool = False, square_right: bool = False
) -> Path:
    """A box as a closed path, clockwise, with rounded corners where ``radius`` is above zero.

    The radius is limited to half the shorter side; the corners of a square side stay square.
    The path starts in the middle of the top edge, away from the corners, so that a knife enters
    on a straight.
    """
    limit = min(radius, box.width / 2, box.height / 2)
    left = 0.0 if square_left or limit <= 0 else limit
    right = 0.0 if square_right or limit <= 0 else limit
    middle = Point(box.x + box.width / 2, box.y)
    bulge = math.tan(math.pi / 8)
    segments: list[Segment] = []
    corners_in_out = (
        (Point(box.right - right, box.y), Point(box.right, box.y + right)),
        (Point(box.right, box.bottom - right), Point(box.right - right, box.bottom)),
        (Point(box.x + left, box.bottom), Point(box.x, box.bottom - left)),
        (Point(box.x, box.y + left), Point(box.x + left, box.y)),
    )
    at = middle
    for enter, leave in corners_in_out:
        if at != enter or enter == leave:
            segments.append(Line(enter))
        if enter != leave:
            segments.append(Arc(leave, bulge))
        at = leave
    if at != middle or not (left or right):
        segments.append(Line(middle))
    return Path((Contour(middle, tuple(segments)),))


@lru_cache(maxsize=4096)
def circle(center: Point, diameter: float) -> Path:
    """A circle of two half arcs, clockwise, starting at the top."""
    top = Point(center.x, center.y - diameter / 2)
    bottom = Point(center.x, center.y + diameter / 2)
    return Path((Contour(top, (Arc(bottom, 1.0), Arc(top, 1.0))),))


def polygon(points: Iterable[Point]) -> Path:
    """A closed path of straight lines through the points."""
    first, *rest = points
    return Path((Contour(first, tuple(Line(point) for point in rest)),))


def polyline(points: Iterable[Point]) -> Path:
    """An open path of straight lines through the points."""
    first, *rest = points
    return Path((Contour(first, tuple(Line(point) for point in rest), closed=False),))
