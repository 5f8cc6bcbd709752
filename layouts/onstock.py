"""What a stock makes of a face: film that is not white, and tag board that is engraved.

On clear or dark film every color stands on white. Colors that overprint the white must not
overprint each other, so each is cut out of the one below it; a white legend is cut out too, and
the white shows through. On film of the field's own color the field is not printed: bands stand
on white, black letters on the film. An engraved tag has no print: its words are contours.
"""

from __future__ import annotations

from dataclasses import replace

from layouts.drawing import Fill, Shape
from layouts.face.model import Part, PartRole
from layouts.geometry import Path
from layouts.inks import Ink, InkRole, Lab
from layouts.stock import Base, Stock

WHITE = Ink("White", Lab(95.0, 0.0, 0.0), InkRole.WHITE)


def on_stock(part: Part, stock: Stock) -> Part:
    """The part as it is made on the stock; unchanged on white film."""
    if stock.engraved and part.role is PartRole.TAG:
        return replace(part, art=(), engraving=_words(part))
    if stock.base is Base.WHITE or not part.art:
        return part
    fills = [shape for shape in part.art if isinstance(shape, Fill)]
    apart, ground = _cut_apart(fills)
    field = fills[ground[0]].ink
    if stock.base is not Base.COLORED or field is None or field.name != stock.color:
        white = tuple(Fill(fills[index].path, WHITE, overprint=True) for index in ground)
        return replace(part, art=tuple(apart), white=white)
    return replace(part, art=_without(field, apart), white=_under(fills, field))


def _words(part: Part) -> Path:
    """Letters and rules of a tag: all that is not its field."""
    contours = [
        contour
        for shape in part.art[1:]
        if isinstance(shape, Fill) and shape.ink is not None and shape.ink != part.art[0].ink
        for contour in shape.path.contours
    ]
    return Path(tuple(contours))


def _cut_apart(fills: list[Fill]) -> tuple[list[Shape], list[int]]:
    """Fills that overprint the white and not each other, and which of them lie at the bottom.

    A fill is cut out of the last one below that holds it; paper is cut out and gone. Black
    overprints all, as ever.
    """
    paths = [fill.path for fill in fills]
    ground: list[int] = []
    for index, fill in enumerate(fills):
        if _is_black(fill):
            continue
        below = _holder(fills, index)
        if below is None:
            ground.append(index)
        else:
            paths[below] = paths[below].joined(fill.path.backwards())
    apart: list[Shape] = [
        Fill(path, fill.ink, overprint=True)
        for path, fill in zip(paths, fills, strict=True)
        if not _is_paper(fill)
    ]
    return apart, ground


def _holder(fills: list[Fill], index: int) -> int | None:
    """The last fill below that holds this one, black letters left out."""
    box = fills[index].path.bounds()
    for below in range(index - 1, -1, -1):
        if _is_black(fills[below]) or _is_paper(fills[below]):
            continue
        if fills[below].path.bounds().contains(box, 1e-9):
            return below
    return None


def _without(field: Ink, apart: list[Shape]) -> tuple[Shape, ...]:
    return tuple(shape for shape in apart if shape.ink != field)


def _under(fills: list[Fill], field: Ink) -> tuple[Fill, ...]:
    """White under everything but the field and black: bands, keyline and white letters."""
    return tuple(
        Fill(fill.path, WHITE, overprint=True)
        for fill in fills
        if fill.ink != field and not _is_black(fill)
    )


def _is_black(fill: Fill) -> bool:
    return fill.ink is not None and fill.ink.role is InkRole.BLACK and fill.overprint


def _is_paper(fill: Fill) -> bool:
    return fill.ink is not None and fill.ink.role is InkRole.PAPER
