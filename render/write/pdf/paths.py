"""Paths as PDF path operators, in whole steps.

Coordinates are written as integers, which are shorter and faster to write than decimals. The
caller chooses the step.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from typing import NamedTuple, TypeAlias

from layouts.drawing import (
    Arc,
    Contour,
    Cubic,
    Line,
    Path,
    Point,
    Segment,
    arc_to_cubics,
)
from layouts.drawing.memo import Kept
from render.write.traces import Traces

# Adding this leaves a number 13 binary places, 0.12 micrometers: closer values count as equal.
_COARSE = 2.0**39
_MOST_KEPT = 4096  # paths of symbols, a kilobyte each

_CURVE = "%d %d %d %d %d %d c"

Offsets: TypeAlias = tuple[tuple[float, float], tuple[float, float], tuple[float, float]]


class _Trace(NamedTuple):
    """Operators with a gap for each coordinate of the points, which are in mm."""

    text: str
    points: tuple[tuple[float, float], ...]


def path_operators(path: Path, steps_per_mm: float) -> str:
    """``m``, ``l``, ``c`` and ``h`` operators of a path, without the painting operator."""
    return _filled([(_trace(each), 0.0, 0.0) for each in path.contours], steps_per_mm)


def kept_operators(path: Path, steps_per_mm: float) -> str:
    """The same for a path of a symbol, cached because faces and letters repeat in a job."""
    return _make_cache(steps_per_mm).of(path)


@lru_cache(maxsize=8)
def _make_cache(steps_per_mm: float) -> Kept[Path, str]:
    return Kept(lambda path: path_operators(path, steps_per_mm), most=_MOST_KEPT)


class Outlines:
    """Caches the operators of paths relative to their start, by shape.

    A sheet repeats a few outlines at many places, and each is formatted once.
    """

    def __init__(self, steps_per_mm: float) -> None:
        self._scale = steps_per_mm
        self._traces = Traces(_trace)
        self._texts: dict[tuple[object, ...], str] = {}
        self._images: dict[int, str] = {}

    def operators(self, path: Path) -> str:
        """The path's operators with its first point at (0, 0)."""
        if len(path.contours) > 1:
            start = path.contours[0].start
            moved = map(self._traces.of, path.contours)
            return _filled(
                [(trace, x - start.x, y - start.y) for trace, x, y in moved], self._scale
            )
        (contour,) = path.contours
        if contour.image_of is None:
            key = _shape(contour)
            text = self._texts.get(key)
            if text is None:
                text = self._texts[key] = self._from_start(_trace(contour))
            return text
        trace, _, _ = self._traces.of(contour)
        # The trace is kept, so that its identity stays its own.
        text = self._images.get(id(trace))
        if text is None:
            text = self._images[id(trace)] = self._from_start(trace)
        return text

    def _from_start(self, trace: _Trace) -> str:
        x, y = trace.points[0]
        return _filled([(trace, -x, -y)], self._scale)


def _shape(contour: Contour) -> tuple[object, ...]:
    """The contour's shape regardless of its position, to a tenth of a micrometer."""
    key: list[object] = ["closed" if contour.closed else "open"]
    xs, ys = [contour.start.x], [contour.start.y]
    for segment in contour.segments:
        if isinstance(segment, Arc):
            key += (len(xs), segment.bulge)
        elif isinstance(segment, Cubic):
            one, two = segment.control_1, segment.control_2
            key += (len(xs), "curve")
            xs += (one.x, two.x)
            ys += (one.y, two.y)
        xs.append(segment.end.x)
        ys.append(segment.end.y)
    x, y = xs[0], ys[0]
    key += [each - x + _COARSE for each in xs]
    key += [each - y + _COARSE for each in ys]
    return tuple(key)


def _filled(moved: Iterable[tuple[_Trace, float, float]], steps_per_mm: float) -> str:
    """The text of traces in their places, whose coordinates become whole steps."""
    texts: list[str] = []
    numbers: list[float] = []
    for trace, dx, dy in moved:
        texts.append(trace.text)
        for x, y in trace.points:
            numbers += (x + dx, y + dy)
    # All numbers at once: half the time of formatting every segment by itself.
    return "\n".join(texts) % tuple([round(number * steps_per_mm) for number in numbers])


def _trace(contour: Contour) -> _Trace:
    """A contour as operators; arcs become cubic curves."""
    start = contour.start
    operators, points = ["%d %d m"], [(start.x, start.y)]
    at = start
    for segment in _without_closing_line(contour):
        end = segment.end
        if isinstance(segment, Line):
            operators.append("%d %d l")
            points.append((end.x, end.y))
        elif isinstance(segment, Cubic):
            one, two = segment.control_1, segment.control_2
            operators.append(_CURVE)
            points += ((one.x, one.y), (two.x, two.y), (end.x, end.y))
        else:
            x, y = at.x, at.y
            for offsets in _arc_offsets(end.x - x, end.y - y, segment.bulge):
                operators.append(_CURVE)
                points += [(x + dx, y + dy) for dx, dy in offsets]
        at = end
    if contour.closed:
        operators.append("h")
    return _Trace("\n".join(operators), tuple(points))


def _without_closing_line(contour: Contour) -> tuple[Segment, ...]:
    """The segments, less a last line that ``h`` draws anyway."""
    segments = contour.segments
    if contour.closed and len(segments) > 1:
        last, start = segments[-1], contour.start
        if isinstance(last, Line) and (last.end.x, last.end.y) == (start.x, start.y):
            return segments[:-1]
    return segments


def _arc_offsets(dx: float, dy: float, bulge: float) -> tuple[Offsets, ...]:
    """Cubic pieces of an arc from (0, 0) to (dx, dy).

    A sheet repeats the same corner many times, so the pieces are cached by shape, rounded to a
    nanometer so that equal corners match anywhere on the sheet.
    """
    return _kept_offsets(round(dx, 6), round(dy, 6), bulge)


@lru_cache(maxsize=4096)
def _kept_offsets(dx: float, dy: float, bulge: float) -> tuple[Offsets, ...]:
    return tuple(
        (
            (piece.control_1.x, piece.control_1.y),
            (piece.control_2.x, piece.control_2.y),
            (piece.end.x, piece.end.y),
        )
        for piece in arc_to_cubics(Point(0.0, 0.0), Arc(Point(dx, dy), bulge))
    )
