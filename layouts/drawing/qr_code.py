"""QR codes as outlines (ISO/IEC 18004, error correction M; encoded by segno)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import TypeAlias

from layouts.drawing.path import Path
from layouts.drawing.plane import Point
from layouts.drawing.shapes import polygon

QUIET = 4  # modules around a code (ISO/IEC 18004, 6.3.8; from memory)

Modules: TypeAlias = tuple[tuple[bool, ...], ...]
_Corner: TypeAlias = tuple[int, int]  # column and row of a module's corner


@lru_cache(maxsize=256)
def qr_modules(text: str) -> Modules:
    """The modules of the smallest code that holds a text, dark ones true."""
    import segno  # only what carries a code needs it

    code = segno.make_qr(text, error="m", boost_error=False)
    return tuple(tuple(bool(module) for module in row) for row in code.matrix)


def qr_side(text: str) -> int:
    """Modules along a side, the quiet zone included."""
    return len(qr_modules(text)) + 2 * QUIET


def qr_outline(text: str, corner: Point, module: float) -> Path:
    """The dark areas of a code, each traced around; ``corner`` is that of its quiet zone.

    Neighboring dark modules share one outline, so that no seam shows between them.
    """
    left, top = corner.x + QUIET * module, corner.y + QUIET * module
    rings = (
        polygon(Point(left + column * module, top + row * module) for column, row in ring)
        for ring in _rings(qr_modules(text))
    )
    return Path(tuple(contour for ring in rings for contour in ring.contours))


def _rings(modules: Modules) -> Iterator[Sequence[_Corner]]:
    """Corners of every closed edge between dark and light, dark on its right."""
    steps = _edges(modules)
    while steps:
        start = min(steps)
        ring = [start]
        at, came = start, (0, 0)
        while True:
            ways = steps[at]
            # Where two dark modules meet at a corner only, each keeps to itself: turn right.
            to = min(ways, key=lambda end: _turn(came, (end[0] - at[0], end[1] - at[1])))
            ways.remove(to)
            if not ways:
                del steps[at]
            step = (to[0] - at[0], to[1] - at[1])
            if step == came:
                ring[-1] = to
            else:
                ring.append(to)
            at, came = to, step
            if at == start:
                break
        yield ring[:-1]


def _turn(came: _Corner, step: _Corner) -> int:
    """0 for a right turn (y runs down), 1 for straight on, 2 for a left turn."""
    cross = came[0] * step[1] - came[1] * step[0]
    return 1 - cross


def _edges(modules: Modules) -> dict[_Corner, list[_Corner]]:
    """Edges with dark on one side only, clockwise around each dark module."""
    edges: dict[_Corner, list[_Corner]] = {}
    size = len(modules)

    def dark(column: int, row: int) -> bool:
        return 0 <= column < size and 0 <= row < size and modules[row][column]

    for row in range(size):
        for column in range(size):
            if not dark(column, row):
                continue
            for beside, start, end in (
                ((column, row - 1), (column, row), (column + 1, row)),
                ((column + 1, row), (column + 1, row), (column + 1, row + 1)),
                ((column, row + 1), (column + 1, row + 1), (column, row + 1)),
                ((column - 1, row), (column, row + 1), (column, row)),
            ):
                if not dark(*beside):
                    edges.setdefault(start, []).append(end)
    return edges
