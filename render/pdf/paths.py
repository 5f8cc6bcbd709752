"""Paths as PDF path operators, in whole steps.

Coordinates are written as integers: they are shorter and quicker to write than decimals. How
fine a step is, the caller says.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache

from layouts.geometry import Arc, Contour, Cubic, Line, Path, Point, Segment, arc_to_cubics

Offsets = tuple[float, ...]


def path_operators(path: Path, steps_per_mm: float) -> str:
    """``m``, ``l``, ``c`` and ``h`` operators of a path, without the painting operator."""
    parts: list[str] = []
    for contour in path.contours:
        _contour(contour, steps_per_mm, parts.append)
    return "\n".join(parts)


def _contour(contour: Contour, scale: float, put: Callable[[str], None]) -> None:
    at = contour.start
    put(f"{round(at.x * scale)} {round(at.y * scale)} m")
    for segment in _without_closing_line(contour):
        end = segment.end
        if type(segment) is Line:
            put(f"{round(end.x * scale)} {round(end.y * scale)} l")
        elif type(segment) is Cubic:
            one, two = segment.control_1, segment.control_2
            put(
                f"{round(one.x * scale)} {round(one.y * scale)} "
                f"{round(two.x * scale)} {round(two.y * scale)} "
                f"{round(end.x * scale)} {round(end.y * scale)} c"
            )
        elif type(segment) is Arc:
            _arc(at, segment, scale, put)
        at = end
    if contour.closed:
        put("h")


def _without_closing_line(contour: Contour) -> tuple[Segment, ...]:
    """The segments, less a last line that ``h`` draws anyway."""
    segments = contour.segments
    if contour.closed and len(segments) > 1:
        last = segments[-1]
        if type(last) is Line and last.end == contour.start:
            return segments[:-1]
    return segments


def _arc(start: Point, arc: Arc, scale: float, put: Callable[[str], None]) -> None:
    x, y = start.x, start.y
    offsets = _arc_offsets(round(arc.end.x - x, 6), round(arc.end.y - y, 6), arc.bulge)
    for x1, y1, x2, y2, x3, y3 in offsets[:-1]:
        put(
            f"{round((x + x1) * scale)} {round((y + y1) * scale)} "
            f"{round((x + x2) * scale)} {round((y + y2) * scale)} "
            f"{round((x + x3) * scale)} {round((y + y3) * scale)} c"
        )
    x1, y1, x2, y2, _, _ = offsets[-1]
    put(
        f"{round((x + x1) * scale)} {round((y + y1) * scale)} "
        f"{round((x + x2) * scale)} {round((y + y2) * scale)} "
        f"{round(arc.end.x * scale)} {round(arc.end.y * scale)} c"
    )


@lru_cache(maxsize=4096)
def _arc_offsets(dx: float, dy: float, bulge: float) -> tuple[Offsets, ...]:
    """Cubic pieces of an arc from (0, 0) to (dx, dy).

    Sheets repeat the same corner thousands of times, so the pieces are kept by their shape;
    rounding the shape to a nanometre makes equal corners equal at every place of the sheet.
    """
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
