"""Plain shapes as paths."""

from __future__ import annotations

import math
from collections.abc import Iterable

from layouts.geometry.path import Contour, Path
from layouts.geometry.plane import Point, Rect
from layouts.geometry.segments import Arc, Line, Segment


def rectangle(box: Rect, radius: float = 0.0) -> Path:
    """A box as a closed path, clockwise, with rounded corners where ``radius`` is above zero.

    The radius is limited to half the shorter side. The path starts in the middle of the top
    edge, away from the corners, so that a knife enters on a straight.
    """
    limit = min(radius, box.width / 2, box.height / 2)
    middle = Point(box.x + box.width / 2, box.y)
    if limit <= 0:
        corners = (
            Point(box.right, box.y),
            Point(box.right, box.bottom),
            Point(box.x, box.bottom),
            Point(box.x, box.y),
        )
        return Path((Contour(middle, (*map(Line, corners), Line(middle))),))
    bulge = math.tan(math.pi / 8)
    segments: list[Segment] = []
    corners_in_out = (
        (Point(box.right - limit, box.y), Point(box.right, box.y + limit)),
        (Point(box.right, box.bottom - limit), Point(box.right - limit, box.bottom)),
        (Point(box.x + limit, box.bottom), Point(box.x, box.bottom - limit)),
        (Point(box.x, box.y + limit), Point(box.x + limit, box.y)),
    )
    at = middle
    for enter, leave in corners_in_out:
        if at != enter:
            segments.append(Line(enter))
        segments.append(Arc(leave, bulge))
        at = leave
    if at != middle:
        segments.append(Line(middle))
    return Path((Contour(middle, tuple(segments)),))


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
