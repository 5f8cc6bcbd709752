"""Split a marker for an office printer: between letters, as far along as a page reaches."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from layouts.drawing import Rect, Size
from layouts.drawing.document import Drawn, Fill
from layouts.face.model import Part
from layouts.terms.values import frozen

OVERLAP = 12.0  # shared by two neighboring strips, mm
_CLEAR = 1.0  # from a cut to a letter, mm
_BEFORE = 3.0  # from a cut to the letter after it where there is room, mm
_LEAST = 0.5  # least share of a window that a strip fills, even if that cuts a letter


@frozen
class Tile:
    """What one window shows of a part; a cut goes through each side that has a neighbor."""

    box: Rect
    left: bool = False
    right: bool = False
    above: bool = False
    below: bool = False


def tiles_of(part: Part, window: Size) -> list[Tile]:
    """The part in tiles no larger than a window, row by row; neighbors share the overlap."""
    letters = list(_merged(_letters(part)))
    columns = _stretches(part.size.width, list(_cuts(part.size.width, window.width, letters)))
    rows = _stretches(part.size.height, list(_cuts(part.size.height, window.height, [])))
    return [
        Tile(
            Rect(left, top, right - left, bottom - top),
            left=left > 0,
            right=right < part.size.width,
            above=top > 0,
            below=bottom < part.size.height,
        )
        for top, bottom in rows
        for left, right in columns
    ]


def _stretches(length: float, cuts: list[float]) -> list[tuple[float, float]]:
    half = OVERLAP / 2
    starts = [0.0, *(cut - half for cut in cuts)]
    return list(zip(starts, [*(cut + half for cut in cuts), length], strict=True))


def _cuts(length: float, window: float, letters: list[tuple[float, float]]) -> Iterator[float]:
    """The furthest cut that a window allows and no letter is in, again and again."""
    start = 0.0
    while length - start > window + 1e-6:
        furthest = start + window - OVERLAP / 2
        cut = _beside(letters, furthest)
        if cut < start + _LEAST * window:
            cut = furthest
        yield cut
        start = cut - OVERLAP / 2


def _beside(letters: list[tuple[float, float]], furthest: float) -> float:
    """The place itself, or one before the letters that it lies in."""
    cut = furthest
    for index in range(len(letters) - 1, -1, -1):
        left, right = letters[index]
        if left - _CLEAR < cut < right + _CLEAR:
            before = letters[index - 1][1] if index else 0.0
            cut = left - min(_BEFORE, (left - before) / 2)
            if left - before >= 2 * _CLEAR:
                break
    return cut


def _letters(part: Part) -> Iterator[tuple[float, float]]:
    """The span of each letter and arrow."""
    for shape in part.art:
        if isinstance(shape, Fill) and shape.drawn is Drawn.LETTER:
            for contour in shape.path.contours:
                box = contour.bounds()
                yield box.x, box.right


def _merged(spans: Iterable[tuple[float, float]]) -> Iterator[tuple[float, float]]:
    """The spans in order, with touching ones joined."""
    current: tuple[float, float] | None = None
    for start, end in sorted(spans):
        if current is None:
            current = (start, end)
        elif start <= current[1]:
            current = (current[0], max(current[1], end))
        else:
            yield current
            current = (start, end)
    if current is not None:
        yield current
