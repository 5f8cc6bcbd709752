"""Cubic curves as circular arcs, so that a contour is one polyline with bulges.

Each piece of a curve becomes a biarc: two arcs that meet the curve's ends and tangents and one
another's (D. S. Meek and D. J. Walton, "Approximating smooth planar curves by arc splines",
J. Comput. Appl. Math. 59, 1995; the construction with equal distances is from memory).
"""

import math
from collections.abc import Iterator
from itertools import pairwise
from typing import NamedTuple

from layouts.drawing import Arc, Contour, Cubic, Line, Point, Segment, arc_shape, cubic_at

TOLERANCE = 0.0005  # mm; half of what two formats may differ by
_DEEPEST = 24  # halvings of a curve; a piece is then far below any tolerance
_SAMPLES = 12  # places where a piece is compared with its arcs


def without_cubics(contour: Contour, tolerance: float = TOLERANCE) -> Contour:
    """The contour with each cubic curve as arcs, nowhere further off than ``tolerance`` (mm)."""
    segments: list[Segment] = []
    at = contour.start
    for segment in contour.segments:
        if isinstance(segment, Cubic):
            segments.extend(cubic_to_arcs(at, segment, tolerance))
        else:
            segments.append(segment)
        at = segment.end
    return Contour(contour.start, tuple(segments), contour.closed)


def cubic_to_arcs(start: Point, cubic: Cubic, tolerance: float = TOLERANCE) -> Iterator[Arc | Line]:
    """Arcs, and lines where the curve is straight within ``tolerance`` (mm), along a cubic."""
    curve = _Curve(start, cubic)
    stops = [0.0, *curve.inflections(), 1.0]
    for low, high in pairwise(stops):
        yield from _pieces(curve, low, high, tolerance, 0)


class _Vector(NamedTuple):
    x: float
    y: float

    def dot(self, other: "_Vector") -> float:
        return self.x * other.x + self.y * other.y

    def cross(self, other: "_Vector") -> float:
        return self.x * other.y - self.y * other.x


def _between(one: Point, other: Point) -> _Vector:
    return _Vector(other.x - one.x, other.y - one.y)


class _Curve:
    """A cubic with its tangents and inflections."""

    def __init__(self, start: Point, cubic: Cubic) -> None:
        self.start = start
        self.cubic = cubic
        one, two, end = cubic.control_1, cubic.control_2, cubic.end
        self.legs = (_between(start, one), _between(one, two), _between(two, end))

    def at(self, t: float) -> Point:
        if t in (0.0, 1.0):
            return self.cubic.end if t else self.start
        return cubic_at(self.start, self.cubic, t)

    def tangent(self, t: float) -> _Vector:
        """The unit direction; where the speed is zero, that of the curve just inside."""
        u, (a, b, c) = 1 - t, self.legs
        x = u * u * a.x + 2 * u * t * b.x + t * t * c.x
        y = u * u * a.y + 2 * u * t * b.y + t * t * c.y
        if math.hypot(x, y) < 1e-9:
            inner = self.at(t + 1e-3 if t < 0.5 else t - 1e-3)
            x, y = _between(self.at(t), inner) if t < 0.5 else _between(inner, self.at(t))
        length = math.hypot(x, y) or 1.0
        return _Vector(x / length, y / length)

    def inflections(self) -> list[float]:
        """Parameters inside (0, 1) where the curve's turn changes sign: a biarc cannot follow."""
        a, b, c = self.legs
        bend = (a.cross(b), a.cross(c), b.cross(c))
        square, linear = bend[0] - bend[1] + bend[2], bend[1] - 2 * bend[0]
        if abs(square) < 1e-12:
            roots = [-bend[0] / linear] if abs(linear) > 1e-12 else []
        else:
            inside = linear * linear - 4 * square * bend[0]
            root = math.sqrt(inside) if inside >= 0 else math.nan
            roots = [(-linear - root) / (2 * square), (-linear + root) / (2 * square)]
        return sorted(t for t in roots if 1e-6 < t < 1 - 1e-6)


def _pieces(
    curve: _Curve, low: float, high: float, tolerance: float, depth: int
) -> Iterator[Arc | Line]:
    start, end = curve.at(low), curve.at(high)
    middle = [curve.at(low + (high - low) * n / _SAMPLES) for n in range(1, _SAMPLES)]
    if _is_straight(start, end, middle, tolerance) or depth == _DEEPEST:
        if start != end:
            yield Line(end)
        return
    arcs = _biarc(start, curve.tangent(low), end, curve.tangent(high))
    # The samples may miss the worst place by a little: a tenth is kept in hand.
    if arcs and _deviation(start, arcs, middle) <= 0.9 * tolerance:
        yield from arcs
        return
    half = (low + high) / 2
    yield from _pieces(curve, low, half, tolerance, depth + 1)
    yield from _pieces(curve, half, high, tolerance, depth + 1)


def _is_straight(start: Point, end: Point, middle: list[Point], tolerance: float) -> bool:
    chord = _between(start, end)
    length = math.hypot(chord.x, chord.y)
    if length < tolerance:
        return all(start.distance(point) < tolerance for point in middle)
    for point in middle:
        way = _between(start, point)
        if abs(chord.cross(way)) > tolerance * length or not 0 <= chord.dot(way) <= length**2:
            return False
    return True


def _biarc(start: Point, leave: _Vector, end: Point, arrive: _Vector) -> tuple[Arc, Arc] | None:
    """Two arcs from ``start`` to ``end`` with the given unit tangents; None where none serves."""
    way = _between(start, end)
    spread = 2 * (1 - leave.dot(arrive))
    along = way.dot(_Vector(leave.x + arrive.x, leave.y + arrive.y))
    if spread < 1e-12:
        return None
    # The distance of both corner points from their ends, the same for each.
    reach = (math.sqrt(along * along + spread * way.dot(way)) - along) / spread
    joint = Point(
        (start.x + end.x + reach * (leave.x - arrive.x)) / 2,
        (start.y + end.y + reach * (leave.y - arrive.y)) / 2,
    )
    if joint in (start, end):
        return None
    back = _Vector(-arrive.x, -arrive.y)
    bulge_1 = math.tan(_turn(leave, _between(start, joint)) / 2)
    bulge_2 = -math.tan(_turn(back, _between(end, joint)) / 2)
    if min(abs(bulge_1), abs(bulge_2)) < 1e-9 or max(abs(bulge_1), abs(bulge_2)) > 1:
        return None
    return Arc(joint, bulge_1), Arc(end, bulge_2)


def _turn(direction: _Vector, chord: _Vector) -> float:
    """The signed angle from a direction to a chord, half of what the arc sweeps."""
    return math.atan2(direction.cross(chord), direction.dot(chord))


def _deviation(start: Point, arcs: tuple[Arc, Arc], middle: list[Point]) -> float:
    first, second = arc_shape(start, arcs[0]), arc_shape(arcs[0].end, arcs[1])
    joint = _between(first.center, arcs[0].end)
    sign = math.copysign(1.0, first.sweep)
    ahead = _Vector(-joint.y * sign, joint.x * sign)
    worst = 0.0
    for point in middle:
        shape = second if ahead.dot(_between(arcs[0].end, point)) > 0 else first
        worst = max(worst, abs(shape.center.distance(point) - shape.radius))
    return worst
