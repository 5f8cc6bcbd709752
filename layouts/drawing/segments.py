"""The pieces of a contour: straight lines, cubic curves and circular arcs."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TypeAlias

from layouts.drawing.plane import Point
from layouts.terms.values import frozen


@frozen
class Line:
    """A straight segment to ``end``."""

    end: Point


@frozen
class Cubic:
    """A cubic Bezier segment to ``end``."""

    control_1: Point
    control_2: Point
    end: Point


@frozen
class Arc:
    """A circular segment to ``end``; ``bulge`` is tan(sweep / 4), positive for clockwise."""

    end: Point
    bulge: float


Segment: TypeAlias = Line | Cubic | Arc

_QUARTER = math.pi / 2


@frozen
class ArcShape:
    """An arc by its circle: ``start_angle`` and ``sweep`` in radians, clockwise on the page."""

    center: Point
    radius: float
    start_angle: float
    sweep: float

    def at(self, share: float) -> Point:
        """The point at a share (0 to 1) of the sweep."""
        angle = self.start_angle + self.sweep * share
        return Point(
            self.center.x + self.radius * math.cos(angle),
            self.center.y + self.radius * math.sin(angle),
        )


def arc_shape(start: Point, arc: Arc) -> ArcShape:
    """The circle of an arc segment that begins at ``start``."""
    sweep = 4 * math.atan(arc.bulge)
    chord = start.distance(arc.end)
    radius = chord / (2 * abs(math.sin(sweep / 2)))
    # The center lies on the chord's perpendicular, on the side that the sweep turns to.
    offset = chord / 2 / math.tan(sweep / 2)
    ux, uy = (arc.end.x - start.x) / chord, (arc.end.y - start.y) / chord
    center = Point((start.x + arc.end.x) / 2 - uy * offset, (start.y + arc.end.y) / 2 + ux * offset)
    return ArcShape(center, radius, math.atan2(start.y - center.y, start.x - center.x), sweep)


def arc_to_cubics(start: Point, arc: Arc) -> tuple[Cubic, ...]:
    """An arc as cubic pieces of at most 45 degrees: off by under 5e-6 of the radius."""
    shape = arc_shape(start, arc)
    pieces = max(1, math.ceil(abs(shape.sweep) / (math.pi / 4) - 1e-9))
    step = shape.sweep / pieces
    reach = 4 / 3 * math.tan(step / 4) * shape.radius
    cubics: list[Cubic] = []
    for index in range(pieces):
        a0 = shape.start_angle + index * step
        a1 = a0 + step
        p0 = shape.at(index / pieces)
        p1 = arc.end if index == pieces - 1 else shape.at((index + 1) / pieces)
        cubics.append(
            Cubic(
                Point(p0.x - reach * math.sin(a0), p0.y + reach * math.cos(a0)),
                Point(p1.x + reach * math.sin(a1), p1.y - reach * math.cos(a1)),
                p1,
            )
        )
    return tuple(cubics)


def cubic_at(start: Point, cubic: Cubic, t: float) -> Point:
    """The point of a cubic at parameter ``t``."""
    u = 1 - t
    w0, w1, w2, w3 = u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t
    c1, c2, end = cubic.control_1, cubic.control_2, cubic.end
    return Point(
        w0 * start.x + w1 * c1.x + w2 * c2.x + w3 * end.x,
        w0 * start.y + w1 * c1.y + w2 * c2.y + w3 * end.y,
    )


def extremes(start: Point, segment: Segment) -> Iterator[Point]:
    """Points of the segment that can touch its box."""
    yield segment.end
    match segment:
        case Cubic() if not _within_ends(start, segment):
            for t in (
                *_turning(start.x, segment.control_1.x, segment.control_2.x, segment.end.x),
                *_turning(start.y, segment.control_1.y, segment.control_2.y, segment.end.y),
            ):
                yield cubic_at(start, segment, t)
        case Arc():
            shape = arc_shape(start, segment)
            one, other = shape.start_angle, shape.start_angle + shape.sweep
            least, most = min(one, other) / _QUARTER, max(one, other) / _QUARTER
            for quarter in range(math.ceil(least), math.floor(most) + 1):
                yield shape.at((quarter * _QUARTER - one) / shape.sweep)


def _within_ends(start: Point, cubic: Cubic) -> bool:
    """Whether both controls lie in the box of the ends, and with them the whole curve."""
    left, right = sorted((start.x, cubic.end.x))
    top, bottom = sorted((start.y, cubic.end.y))
    return all(
        left <= each.x <= right and top <= each.y <= bottom
        for each in (cubic.control_1, cubic.control_2)
    )


def _turning(p0: float, p1: float, p2: float, p3: float) -> Iterator[float]:
    """Parameters in (0, 1) where one coordinate of a cubic turns."""
    a = -p0 + 3 * p1 - 3 * p2 + p3
    b = 2 * (p0 - 2 * p1 + p2)
    c = p1 - p0
    if abs(a) < 1e-12:
        roots = [-c / b] if abs(b) > 1e-12 else []
    else:
        inside = b * b - 4 * a * c
        root = math.sqrt(inside) if inside >= 0 else math.nan
        roots = [] if math.isnan(root) else [(-b + root) / (2 * a), (-b - root) / (2 * a)]
    return (t for t in roots if 0 < t < 1)


def segment_length(start: Point, segment: Segment) -> float:
    """The way along a segment; a cubic in 16 chords."""
    match segment:
        case Line(end):
            return start.distance(end)
        case Arc():
            shape = arc_shape(start, segment)
            return shape.radius * abs(shape.sweep)
        case Cubic():
            total, at = 0.0, start
            for step in range(1, 17):
                point = cubic_at(start, segment, step / 16)
                total += at.distance(point)
                at = point
            return total


def swept_area(start: Point, segment: Segment) -> float:
    """Signed area that the line from the origin to a point sweeps as it runs along the segment.

    Half the integral of x dy - y dx, in closed form for each kind (Green's theorem).
    """
    end = segment.end
    chord = (start.x * end.y - start.y * end.x) / 2
    match segment:
        case Line():
            return chord
        case Arc():
            shape = arc_shape(start, segment)
            return chord + shape.radius**2 * (shape.sweep - math.sin(shape.sweep)) / 2
        case Cubic(one, two, _):
            x1, y1, x2, y2 = one.x - start.x, one.y - start.y, two.x - start.x, two.y - start.y
            x3, y3 = end.x - start.x, end.y - start.y
            first, second, third = x1 * y2 - x2 * y1, x1 * y3 - x3 * y1, x2 * y3 - x3 * y2
            return chord + 0.15 * (first + second + 2 * third)
