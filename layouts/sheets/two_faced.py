"""Sheets that are made on both sides: where a sheet turned over has what was on its front.

The origin of the back is its own top-left corner, as the machine sees it when the sheet has been
turned over. Art on the back is never mirrored: what is mirrored is where it lies.
"""

from __future__ import annotations

from dataclasses import replace

from layouts.drawing import Affine, Rect, Size
from layouts.face.model import Part
from layouts.sheets.stock import Stock, StockForm
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.words import Backs


def turned_over(size: Size, backs: Backs) -> Affine:
    """From a sheet's front to its back, both seen from above."""
    if backs is Backs.TUMBLE:
        return Affine(1.0, 0.0, 0.0, -1.0, 0.0, size.height)
    return Affine(-1.0, 0.0, 0.0, 1.0, size.width, 0.0)


def back_map(part: Part, front: Affine, over: Affine) -> Affine:
    """Where a part's back goes, whose front goes by ``front``: it is read turned about its height.

    The two mirrorings cancel: the art stays readable.
    """
    about = Affine(-1.0, 0.0, 0.0, 1.0, part.size.width, 0.0)
    return about.then(front).then(over)


def turnable(stock: Stock, backs: Backs) -> Stock:
    """The stock for parts with two faces: zones of the machine are kept free on both sides.

    Raises:
        InputError: it is a roll.
    """
    if backs is Backs.SECOND_TAG:
        return stock
    if stock.form is StockForm.ROLL:
        what = f"{stock.title} is a roll, and only a sheet can be turned over"
        right = "take a sheet for tags, or write backs = 'second tag' in [tags]"
        place = Place(stock.printer.file, field="tags, backs")
        raise InputError([Finding("backs-roll", Severity.UNREADABLE, what, right, place=place)])
    over = turned_over(Size(stock.width, stock.length), backs)
    behind = (over.rect(zone) for zone in stock.keep_outs)
    zones: tuple[Rect, ...] = tuple(dict.fromkeys((*stock.keep_outs, *behind)))
    return replace(stock, keep_outs=zones)
