"""The emptiest sheet pushed together, so that what is left of it is one piece across the sheet."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import replace

from layouts.nest.cuts import cut_steps, slot_rects
from layouts.nest.model import (
    Arrangement,
    Cutting,
    Nest,
    NestRequest,
    RollStock,
    SheetStock,
    Slot,
)

_FULL = 0.85
"""A sheet that is fuller than this leaves nothing worth a shelf."""
_EFFORT = 10
"""Of the search for the shortest stretch, in the request's measure."""


def with_one_offcut(
    request: NestRequest, found: Nest, lay_out: Callable[[NestRequest], Nest]
) -> Nest:
    """The same sheets, the emptiest of them laid out anew on the shortest stretch of its length.

    ``lay_out`` nests the pieces of that one sheet on a roll as wide as the sheet. Whatever does
    not make the offcut longer leaves the nest as it was.
    """
    stocks = {stock.key: stock for stock in request.stocks}
    single = [a for a in found.arrangements if a.copies == 1]
    emptiest = min(single, key=lambda a: (_area(request, a), a.slots), default=None)
    if emptiest is None:
        return found
    stock = stocks[emptiest.stock]
    whole = emptiest.width_um * emptiest.length_um
    if not isinstance(stock, SheetStock) or stock.keep_outs:
        return found
    if _area(request, emptiest) > _FULL * whole:
        return found
    slots = _shortest(request, stock, emptiest, lay_out)
    if slots is None or _reach(request, slots) >= _reach(request, emptiest.slots):
        return found
    again = _with_slots(request, emptiest, slots)
    others = tuple(again if a is emptiest else a for a in found.arrangements)
    return replace(found, arrangements=others)


def _shortest(
    request: NestRequest,
    stock: SheetStock,
    sheet: Arrangement,
    lay_out: Callable[[NestRequest], Nest],
) -> tuple[Slot, ...] | None:
    """The sheet's pieces on a short stretch of it, None where they do not fit in one."""
    counts = Counter(slot.piece for slot in sheet.slots)
    pieces = tuple(each.times(counts[i]) for i, each in enumerate(request.pieces))
    roll = RollStock(stock.key, stock.width_um, stock.margins, stock.height_um)
    # Straight cuts would load the compiled search for this alone; its quick answer serves.
    effort = 0 if request.cutting is Cutting.GUILLOTINE else min(request.effort, _EFFORT)
    one = lay_out(replace(request, pieces=pieces, stocks=(roll,), effort=effort))
    if one.unplaced or len(one.arrangements) != 1 or one.arrangements[0].copies != 1:
        return None
    return one.arrangements[0].slots


def _with_slots(request: NestRequest, sheet: Arrangement, slots: tuple[Slot, ...]) -> Arrangement:
    cuts = sheet.cuts
    if request.cutting is Cutting.GUILLOTINE:
        rects = slot_rects(request, slots)
        cuts = cut_steps((0, 0, sheet.width_um, sheet.length_um), rects, request.gap_um) or ()
    return replace(sheet, slots=slots, cuts=cuts)


def _area(request: NestRequest, sheet: Arrangement) -> int:
    pieces = (request.pieces[slot.piece] for slot in sheet.slots)
    return sum(piece.width_um * piece.height_um for piece in pieces)


def _reach(request: NestRequest, slots: tuple[Slot, ...]) -> int:
    """How far down the sheet its pieces lie."""
    return max(bottom for _, _, _, bottom in slot_rects(request, slots))
