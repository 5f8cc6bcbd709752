"""A choke: closed contours made slightly smaller, so that white never shows at a color's edge."""

from __future__ import annotations

import math

from layouts.drawing import (
    Arc,
    Contour,
    Cubic,
    Line,
    Path,
    Point,
    Segment,
    arc_shape,
    cubic_at,
)

_PIECES = 16  # of a cubic curve
_FINE = 0.005  # furthest that a chord may lie from its arc, mm
_MITER = 4.0  # times the choke, the furthest that a corner moves


def shrunk(path: Path, by: float) -> Path:
    """The path with each contour moved ``by`` mm into the area that it fills.

    Contours that run against the outer one are holes, which grow. Curves become short lines. Only
    for a ``by`` that is small beside all that is drawn: contours that meet are not mended.
    """
    flat = [_corners(contour) for contour in path.contours]
    areas = [_area(ring) for ring in flat]
    outer = max(areas, key=abs, default=0.0)
    side = 1.0 if outer > 0 else -1.0
    return Path(tuple(_offset_ring(ring, by * side) for ring in flat if len(ring) > 2))


def _corners(contour: Contour) -> list[Point]:
    """The contour's corners, curves cut into short lines, no place twice in a row."""
    ring = [contour.start]
    for segment in contour.segments:
        ring += _along(ring[-1], segment)
    kept = [each for n, each in enumerate(ring) if n == 0 or each.distance(ring[n - 1]) > 1e-6]
    if len(kept) > 1 and kept[0].distance(kept[-1]) <= 1e-6:
        kept.pop()
    return kept


def _along(start: Point, segment: Segment) -> list[Point]:
    if isinstance(segment, Cubic):
        return [cubic_at(start, segment, n / _PIECES) for n in range(1, _PIECES + 1)]
    if not isinstance(segment, Arc) or not segment.bulge:
        return [segment.end]
    shape = arc_shape(start, segment)
    turn = 2 * math.acos(1 - min(1.0, _FINE / shape.radius))
    count = max(2, math.ceil(abs(shape.sweep) / turn))
    return [*(shape.at(n / count) for n in range(1, count)), segment.end]


def _area(ring: list[Point]) -> float:
    pairs = zip(ring, [*ring[1:], ring[0]], strict=True)
    return math.fsum(one.x * two.y - two.x * one.y for one, two in pairs) / 2


def _offset_ring(ring: list[Point], by: float) -> Contour:
    """Each corner on the miter of its two edges, to the left of the way round for ``by`` > 0."""
    count = len(ring)
    moved: list[Point] = []
    for n, at in enumerate(ring):
        one = _normal(ring[n - 1], at)
        two = _normal(at, ring[(n + 1) % count])
        share = 1 + one.x * two.x + one.y * two.y
        scale = by / max(share, 2 / _MITER**2)
        moved.append(Point(at.x + (one.x + two.x) * scale, at.y + (one.y + two.y) * scale))
    return Contour(moved[0], tuple(Line(each) for each in moved[1:]), closed=True)


def _normal(start: Point, end: Point) -> Point:
    length = start.distance(end)
    return Point((start.y - end.y) / length, (end.x - start.x) / length)
