"""Lettering: every glyph is a form, and a row of glyphs is written once for all its places.

Glyphs and the ways between them are in steps of a millionth of the cap height: on letters a meter
high one step is a micrometer. The matrix of a row converts to the steps of what it lies on.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from layouts.drawing import Path
from layouts.drawing.memo import Kept
from layouts.drawing.path import Row
from layouts.terms.values import frozen

STEPS_PER_CAP_HEIGHT = 1_000_000
_MOST_KEPT = 4096  # rows, a kilobyte each


@frozen
class RowText:
    """A row of glyphs as operators behind its matrix, up to and with ``Q``.

    ``x`` is where its first glyph begins, in cap heights; ``names`` are those of its forms.
    """

    text: str
    x: float
    names: frozenset[str]


class Letters:
    """The glyphs and rows of one file, each by its identity, since the file's faces hold them."""

    def __init__(self) -> None:
        self._glyphs: dict[int, tuple[str, Path]] = {}
        # A method here would be a cycle and outlive the file: the command collects none.
        self._rows = Kept(partial(_write_row, self._glyphs), most=_MOST_KEPT)

    def row(self, row: Row) -> RowText:
        """The operators of a row; its glyphs are named as they come."""
        return self._rows.of(row)

    def glyphs(self) -> Iterator[tuple[str, Path]]:
        """The name and the outline of every glyph so far."""
        yield from self._glyphs.values()


def _write_row(glyphs: dict[int, tuple[str, Path]], row: Row) -> RowText:
    names = [_name(glyphs, path) for path, _ in row]
    steps = [round(x * STEPS_PER_CAP_HEIGHT) for _, x in row]
    further = [
        f"\n1 0 0 1 {step - before} 0 cm/{name} Do"
        for name, step, before in zip(names[1:], steps[1:], steps, strict=False)
    ]
    return RowText(f"/{names[0]} Do{''.join(further)}\nQ", row[0][1], frozenset(names))


def _name(glyphs: dict[int, tuple[str, Path]], glyph: Path) -> str:
    """The glyph's name, given at its first use."""
    known = glyphs.get(id(glyph))
    if known is None:
        known = glyphs[id(glyph)] = (f"G{len(glyphs)}", glyph)
    return known[0]
