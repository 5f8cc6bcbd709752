"""The area inside a path, exact for lines, arcs and cubic curves.

Green's theorem: the area is half the integral of ``x dy - y dx`` round each contour. Contours that
run the other way, such as the counter of an O, take theirs off.
"""

from __future__ import annotations

import math

from layouts.drawing import Arc, Cubic, Line, Path, Point, Segment, arc_shape


def enclosed_area(path: Path) -> float:
    """Square millimetres inside a path whose contours do not cross; open ones are closed."""
    total = 0.0
    for contour in path.contours:
        at = contour.start
        for segment in contour.segments:
            total += _swept(at, segment)
            at = segment.end
        total += _cross(at, contour.start) / 2
    return abs(total)


def _cross(one: Point, two: Point) -> float:
    return one.x * two.y - one.y * two.x


def _swept(start: Point, segment: Segment) -> float:
    """The signed area that the line from the origin to the pen sweeps along one segment."""
    chord = _cross(start, segment.end) / 2
    match segment:
        case Line():
            return chord
        case Arc():
            if segment.bulge == 0:
                return chord
            shape = arc_shape(start, segment)
            return chord + shape.radius**2 * (shape.sweep - math.sin(shape.sweep)) / 2
        case Cubic():
            one, two, end = (
                Point(point.x - start.x, point.y - start.y)
                for point in (segment.control_1, segment.control_2, segment.end)
            )
            bow = _cross(one, two) + _cross(one, end) + 2 * _cross(two, end)
            # What the curve sweeps about its own start, and the triangle to the origin.
            return chord + 0.15 * bow
