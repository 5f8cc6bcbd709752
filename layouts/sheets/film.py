"""Faces on special stock: film that is not white, and tag board that is engraved.

On clear or dark film every color stands on white. Colors that overprint the white must not
overprint each other, so each is cut out of the one below it; a white legend is cut out too, and
the white shows through. On film of the field's own color the field is not printed: bands stand
on white, black letters on the film. An engraved tag has no print: its words are contours.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from layouts.drawing import Affine, Path, rectangle
from layouts.drawing.document import Drawn, Fill, Shape
from layouts.drawing.inks import BLACK, Ink, InkRole, Lab
from layouts.face.model import Part
from layouts.sheets.choke import shrunk
from layouts.sheets.stock import Base, Stock, Surface
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Severity
from layouts.terms.words import PartRole

WHITE = Ink("White", Lab(95.0, 0.0, 0.0), InkRole.WHITE)


def on_stock(part: Part, stock: Stock) -> Part:
    """The part as made on the stock; unchanged on white film.

    Raises:
        InputError: the tag is engraved, and no letter is left to engrave.
    """
    if stock.engraved and part.role is PartRole.TAG:
        return replace(part, art=(), engraving=_engraving(part))
    if stock.base is Base.WHITE or not part.art:
        return part
    made = _over_white(part, stock)
    choke = stock.printer.white_choke
    if choke:
        white = tuple(replace(fill, path=shrunk(fill.path, choke)) for fill in made.white)
        made = replace(made, white=white)
    return _mirror_part(made) if stock.surface is Surface.SECOND else made


def as_seen(part: Part, stock: Stock) -> Part:
    """The part as a proof shows it on the stock: an engraved tag in black on its board.

    Film reads the same on every base: white lies under all that would be lost, and what is not
    printed is the film itself in the same color.
    """
    if not stock.engraved or part.role is not PartRole.TAG:
        return part
    return replace(part, art=(Fill(_engraving(part), BLACK),))


def _over_white(part: Part, stock: Stock) -> Part:
    fills = [shape for shape in part.art if isinstance(shape, Fill)]
    apart, ground = _cut_apart(fills)
    field = fills[ground[0]].ink
    if stock.base is not Base.COLORED or field is None or field.name != stock.color:
        white = tuple(Fill(fills[index].path, WHITE, overprint=True) for index in ground)
        return replace(part, art=tuple(apart), white=white)
    return replace(part, art=_without(field, apart), white=_under(fills, field))


def _engraving(part: Part) -> Path:
    """Letters as they are, and rules as a frame half as wide as what shows of them."""
    fills = [shape for shape in part.art if isinstance(shape, Fill)]
    letters = [fill.path for fill in fills if fill.drawn is Drawn.LETTER and not fill.path.is_empty]
    if not letters:
        what = "the engraving of this tag holds no letter"
        right = "give the tag words that the lettering has, or print it"
        raise InputError([Finding("engraving-empty", Severity.UNREADABLE, what, right)])
    rules = [
        _frame(part, over)
        for under, over in pairwise(fills)
        if under.drawn is Drawn.RULE and over.drawn is Drawn.AREA
    ]
    return Path(tuple(contour for path in (*rules, *letters) for contour in path.contours))


def _frame(part: Part, over: Fill) -> Path:
    """A ring around a fill, halfway to the part's edge."""
    inner = over.path.bounds()
    width = (inner.x - part.box.x) / 2
    radius = max(0.0, _corner(over.path))
    outer = rectangle(inner.grown(width), radius + width if radius else 0.0)
    return outer.joined(over.path.backwards())


def _corner(path: Path) -> float:
    """The radius of a rounded rectangle's corners."""
    box = path.bounds()
    tops = [
        each.x
        for contour in path.contours
        for each in contour.points()
        if abs(each.y - box.y) < 1e-9
    ]
    return min(tops) - box.x if tops else 0.0


def _mirror_part(part: Part) -> Part:
    """The part as printed on the back of clear film: left and right change places."""
    flip = Affine(-1.0, 0.0, 0.0, 1.0, part.size.width, 0.0)
    art = tuple(replace(shape, path=shape.path.mapped(flip)) for shape in part.art)
    white = tuple(replace(fill, path=fill.path.mapped(flip)) for fill in part.white)
    outline = part.outline.mapped(flip)
    holes = part.holes.mapped(flip) if part.holes is not None else None
    return replace(part, art=art, white=white, outline=outline, holes=holes)


def _cut_apart(fills: list[Fill]) -> tuple[list[Shape], list[int]]:
    """Fills that overprint the white and not each other, and which of them lie at the bottom.

    A fill is cut out of the last one below that contains it; paper is only cut out. Black
    overprints all, as always.
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
