"""Paths as PDF path operators, in whole steps.

Coordinates are written as integers, which are shorter and faster to write than decimals. The
caller chooses the step.
"""

from __future__ import annotations

from functools import lru_cache

from layouts.drawing import (
    Affine,
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

# Adding this leaves a number 13 binary places, 0.12 micrometers: closer values count as equal.
_COARSE = 2.0**39
_MOST_KEPT = 4096  # paths of symbols, a kilobyte each

Offsets = tuple[float, float, float, float, float, float]


def path_operators(path: Path, steps_per_mm: float) -> str:
    """``m``, ``l``, ``c`` and ``h`` operators of a path, without the painting operator."""
    operators: list[str] = []
    numbers: list[float] = []
    for contour in path.contours:
        _contour(contour, operators, numbers)
    # All numbers at once: half the time of formatting every segment by itself.
    return "\n".join(operators) % tuple([round(number * steps_per_mm) for number in numbers])


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
        self._texts: dict[tuple[object, ...], str] = {}
        self._images: dict[tuple[object, ...], tuple[Contour, str]] = {}

    def operators(self, path: Path) -> str:
        """The path's operators with its first point at (0, 0)."""
        if len(path.contours) == 1 and path.contours[0].image_of is not None:
            return self._of_image(*path.contours[0].image_of)
        key = self._shape(path)
        text = self._texts.get(key)
        if text is None:
            text = self._texts[key] = self._write_path(path)
        return text

    def _of_image(self, first: Contour, at: Affine) -> str:
        """The operators of an image; the first contour is kept, so that its identity stays."""
        turn = (at.a, at.b, at.c, at.d)
        known = self._images.get((id(first), *turn))
        if known is None:
            text = self._write_path(Path((first.mapped(Affine(*turn)),)))
            known = self._images[(id(first), *turn)] = (first, text)
        return known[1]

    def _write_path(self, path: Path) -> str:
        start = path.contours[0].start
        return path_operators(path.mapped(Affine.move(-start.x, -start.y)), self._scale)

    def _shape(self, path: Path) -> tuple[object, ...]:
        """The path's shape regardless of its position, to a tenth of a micrometer."""
        key: list[object] = []
        xs: list[float] = []
        ys: list[float] = []
        for contour in path.contours:
            key += (len(xs), "closed" if contour.closed else "open")
            xs.append(contour.start.x)
            ys.append(contour.start.y)
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


def _contour(contour: Contour, operators: list[str], numbers: list[float]) -> None:
    at = contour.start
    operators.append("%d %d m")
    numbers += (at.x, at.y)
    for segment in _without_closing_line(contour):
        end = segment.end
        if isinstance(segment, Line):
            operators.append("%d %d l")
            numbers += (end.x, end.y)
        elif isinstance(segment, Cubic):
            one, two = segment.control_1, segment.control_2
            operators.append("%d %d %d %d %d %d c")
            numbers += (one.x, one.y, two.x, two.y, end.x, end.y)
        else:
            _arc(at, segment, operators, numbers)
        at = end
    if contour.closed:
        operators.append("h")


def _without_closing_line(contour: Contour) -> tuple[Segment, ...]:
    """The segments, less a last line that ``h`` draws anyway."""
    segments = contour.segments
    if contour.closed and len(segments) > 1:
        last, start = segments[-1], contour.start
        if isinstance(last, Line) and (last.end.x, last.end.y) == (start.x, start.y):
            return segments[:-1]
    return segments


def _arc(start: Point, arc: Arc, operators: list[str], numbers: list[float]) -> None:
    x, y = start.x, start.y
    for dx1, dy1, dx2, dy2, dx3, dy3 in _arc_offsets(arc.end.x - x, arc.end.y - y, arc.bulge):
        operators.append("%d %d %d %d %d %d c")
        numbers += (x + dx1, y + dy1, x + dx2, y + dy2, x + dx3, y + dy3)


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
            piece.control_1.x,
            piece.control_1.y,
            piece.control_2.x,
            piece.control_2.y,
            piece.end.x,
            piece.end.y,
        )
        for piece in arc_to_cubics(Point(0.0, 0.0), Arc(Point(dx, dy), bulge))
    )
