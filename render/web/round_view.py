"""A marker on its pipe as a reader sees it: a parallel view of a cylinder.

A point of the face at arc length ``s`` from the middle of the marker lies on the pipe at the
angle ``s / R``. Seen from an eye that is turned by ``b`` toward the foot of the marker, it shows
at ``R sin(s / R - b)`` across the pipe, and only while that angle is within a right angle. A flat
plate touches the pipe, or stands off it, along the line that faces the reader (derived).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from itertools import pairwise

from layouts.drawing import Arc, Contour, Cubic, Line, Path, Point
from layouts.drawing.document import Fill
from layouts.drawing.segments import arc_to_cubics, cubic_at
from layouts.face.model import Face
from layouts.papers.kit.figure import carrier_of, face_symbol, printed_part
from layouts.terms.values import frozen

VIEWS = {"front": 0.0, "slant": 45.0, "side": 90.0}  # degrees between the reader and the marker
_CURVE_PIECES = 6
_STEP = math.radians(6)  # of the pipe's turn; a chord is off by 0.14 percent of the radius
_BEYOND = 0.08  # how much pipe shows at each end, as a share of the marker's length
_QUARTER = math.pi / 2

Across = Callable[[float], float]  # from y on the face to y of the view


@frozen
class RoundView:
    """A face on a pipe of a radius (mm) that the eye looks at, turned by an angle in radians.

    ``stand_off`` is how far a plate is from the pipe, mm.
    """

    face: Face
    radius: float
    stand_off: float
    turn: float

    def across(self, y: float) -> float:
        """Where a point at ``y`` of the face shows across the pipe, from its axis, mm."""
        off = y - self._middle
        if self._flat:
            reach = self.radius + self.stand_off
            return off * math.cos(self.turn) - reach * math.sin(self.turn)
        angle = off / self.radius - self.turn
        return self.radius * math.sin(max(-_QUARTER, min(_QUARTER, angle)))

    @property
    def share(self) -> float:
        """How much of the height shows, 0 to 1."""
        top, foot = self._ends
        return abs(foot - top) / printed_part(self.face).size.height

    def svg(self, upright: bool) -> str:
        """The picture; ``upright`` stands the pipe on end, the head of the marker to the left."""
        step = math.inf if self._flat else self.radius * _STEP
        shapes = [
            (fill.ink.preview if fill.ink else "#ffffff", _data(fill.path, self.across, step))
            for fill in face_symbol(self.face).shapes
            if isinstance(fill, Fill)
        ]
        art = "".join(f'<path fill="{color}" d="{data}"/>' for color, data in shapes if data)
        length = printed_part(self.face).size.width
        return _drawn(length, self.radius, self._ends, art, upright)

    @property
    def _flat(self) -> bool:
        return carrier_of(self.face) is not None

    @property
    def _middle(self) -> float:
        """The line of the face that is in front: of a wrap the near side, else the middle."""
        part = printed_part(self.face)
        if part.top_of_pipe is not None:
            return part.top_of_pipe + self.radius * _QUARTER
        return part.size.height / 2

    @property
    def _ends(self) -> tuple[float, float]:
        return self.across(0.0), self.across(printed_part(self.face).size.height)


def view_of(face: Face, radius: float, stand_off: float, degrees: float) -> RoundView:
    """A face on a pipe as seen from an angle in degrees."""
    return RoundView(face, radius, stand_off, math.radians(degrees))


def _drawn(length: float, radius: float, ends: tuple[float, float], art: str, upright: bool) -> str:
    """The pipe behind the art, cut off where it goes on."""
    beyond = _BEYOND * length + radius * 0.3
    top, foot = min(-radius, *ends) - 2, max(radius, *ends) + 2
    left, width, height = -beyond, length + 2 * beyond, foot - top
    box = f"{left:.1f} {top:.1f} {width:.1f} {height:.1f}"
    clip = (
        f'<clipPath id="face"><rect x="0" y="{min(ends):.2f}" width="{length:.2f}" '
        f'height="{abs(ends[1] - ends[0]):.2f}"/></clipPath>'
    )
    pipe = (
        f'<rect x="{left:.1f}" y="{-radius:.2f}" width="{width:.1f}" height="{2 * radius:.2f}" '
        'fill="url(#pipe)" stroke="#6b7479" stroke-width="1"/>'
    )
    inner = f'{pipe}<g clip-path="url(#face)">{art}</g>'
    if upright:
        box = f"{top:.1f} {left:.1f} {height:.1f} {width:.1f}"
        inner = f'<g transform="matrix(0 -1 1 0 0 {length:.2f})">{inner}</g>'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}"><defs>{clip}'
        '<linearGradient id="pipe" x1="0" y1="0" x2="0" y2="1"><stop offset="0" '
        'stop-color="#8b9499"/><stop offset=".35" stop-color="#eef1f2"/><stop offset="1" '
        'stop-color="#767f84"/></linearGradient></defs>'
        f"{inner}</svg>"
    )


def _data(path: Path, across: Across, step: float) -> str:
    """The path's image as straight pieces short enough to look round."""
    parts = []
    for contour in path.contours:
        points = [(point.x, across(point.y)) for point in _points(contour, step)]
        kept = [points[0]]
        kept += [one for before, one in pairwise(points) if one != before]
        parts.append("M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in kept) + "Z")
    return "".join(parts)


def _points(contour: Contour, step: float) -> Iterator[Point]:
    """Points along a contour, no two of them further apart across the pipe than ``step``."""
    at = contour.start
    yield at
    for segment in contour.segments:
        match segment:
            case Line(end):
                pieces = max(1, math.ceil(abs(end.y - at.y) / step))
                for index in range(1, pieces + 1):
                    part = index / pieces
                    yield Point(at.x + (end.x - at.x) * part, at.y + (end.y - at.y) * part)
            case Cubic():
                yield from _along(at, segment)
            case Arc():
                start = at
                for cubic in arc_to_cubics(at, segment):
                    yield from _along(start, cubic)
                    start = cubic.end
        at = segment.end
    if contour.closed and at != contour.start:
        pieces = max(1, math.ceil(abs(contour.start.y - at.y) / step))
        for index in range(1, pieces):
            part = index / pieces
            yield Point(
                at.x + (contour.start.x - at.x) * part, at.y + (contour.start.y - at.y) * part
            )


def _along(start: Point, cubic: Cubic) -> Iterator[Point]:
    for index in range(1, _CURVE_PIECES + 1):
        yield cubic_at(start, cubic, index / _CURVE_PIECES)
