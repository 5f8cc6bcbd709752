"""Kits: the pieces of one area kept together, and what that wish costs in sheets.

Each kit is nested by itself on a strip as wide as the sheet; the strips are then stacked into
sheets, a kit's own strips one after the other, and the short last ones where they fit.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from layouts.nest.cuts import cut_steps
from layouts.nest.engine import nest
from layouts.nest.model import (
    Arrangement,
    Bound,
    Cutting,
    Nest,
    NestRequest,
    RollStock,
    SheetStock,
    Slot,
    Unplaced,
)


@dataclass(frozen=True, slots=True)
class KitNest:
    """A nest with the kit of every slot, by arrangement, and the sheets the wish costs."""

    nest: Nest
    kits: tuple[tuple[str, ...], ...]
    price_sheets: int


@dataclass(frozen=True, slots=True)
class _Strip:
    kit: str
    height: int
    slots: tuple[Slot, ...]


def nest_kits(request: NestRequest, kits: Mapping[str, Mapping[int, int]]) -> KitNest:
    """Lay out `kits` (for each kit, pieces by index with their number) on one kind of sheet.

    The kits together must ask for what the request's demands say. Raises ValueError for other
    stocks than one kind of sheet without keep-outs and limit.
    """
    stock = request.stocks[0] if len(request.stocks) == 1 else None
    if not isinstance(stock, SheetStock) or stock.keep_outs or stock.limit is not None:
        raise ValueError("kits need one kind of sheet, without keep-out zones and limit")
    together = nest(request)
    strips: list[_Strip] = []
    unplaced: dict[int, Unplaced] = {}
    for kit, wanted in kits.items():
        found = _nest_kit(request, stock, wanted)
        for rest in found.unplaced:
            known = unplaced.get(rest.piece)
            count = rest.count + (known.count if known else 0)
            unplaced[rest.piece] = replace(rest, count=count)
        for arrangement in found.arrangements:
            height = arrangement.length_um - stock.margins.top_um - stock.margins.bottom_um
            strips += [_Strip(kit, height, arrangement.slots)] * arrangement.copies
    sheets = _stack(strips, stock, request.gap_um)
    return _kit_nest(request, stock, sheets, tuple(unplaced.values()), together)


def _nest_kit(request: NestRequest, stock: SheetStock, wanted: Mapping[int, int]) -> Nest:
    pieces = tuple(
        replace(piece, demand=wanted.get(i, 0)) for i, piece in enumerate(request.pieces)
    )
    roll = RollStock(stock.key, stock.width_um, stock.margins, stock.height_um)
    return nest(replace(request, pieces=pieces, stocks=(roll,)))


def _stack(strips: list[_Strip], stock: SheetStock, gap: int) -> list[list[tuple[_Strip, int]]]:
    """Strips onto sheets, in the kits' order, with their y offset: first fit."""
    room = stock.height_um - stock.margins.top_um - stock.margins.bottom_um
    sheets: list[list[tuple[_Strip, int]]] = []
    free: list[int] = []
    for strip in strips:
        at = next((n for n, left in enumerate(free) if strip.height <= left), None)
        if at is None:
            at = len(sheets)
            sheets.append([])
            free.append(room)
        sheets[at].append((strip, room - free[at]))
        free[at] -= strip.height + gap
    return sheets


def _kit_nest(
    request: NestRequest,
    stock: SheetStock,
    sheets: list[list[tuple[_Strip, int]]],
    unplaced: tuple[Unplaced, ...],
    together: Nest,
) -> KitNest:
    copies: dict[tuple[tuple[Slot, str], ...], int] = {}
    for sheet in sheets:
        slots = [
            (replace(slot, y_um=slot.y_um + offset), strip.kit)
            for strip, offset in sheet
            for slot in strip.slots
        ]
        key = tuple(sorted(slots))
        copies[key] = copies.get(key, 0) + 1
    arrangements = [
        _arrangement(request, stock, tuple(slot for slot, _ in sheet), count)
        for sheet, count in copies.items()
    ]
    bound: Bound = together.bound
    used = sum(
        a.copies * request.pieces[s.piece].width_um * request.pieces[s.piece].height_um
        for a in arrangements
        for s in a.slots
    )
    area = len(sheets) * stock.width_um * stock.height_um
    nested = Nest(tuple(arrangements), unplaced, bound, together.guillotine_bound, used, area)
    kits = tuple(tuple(kit for _, kit in sheet) for sheet in copies)
    return KitNest(nested, kits, len(sheets) - together.sheets)


def _arrangement(
    request: NestRequest, stock: SheetStock, slots: tuple[Slot, ...], copies: int
) -> Arrangement:
    cuts = None
    if request.cutting is Cutting.GUILLOTINE:
        rects = []
        for slot in slots:
            piece = request.pieces[slot.piece]
            width, height = piece.width_um, piece.height_um
            if slot.turned:
                width, height = height, width
            rects.append((slot.x_um, slot.y_um, slot.x_um + width, slot.y_um + height))
        panel = (0, 0, stock.width_um, stock.height_um)
        cuts = cut_steps(panel, rects, request.gap_um)
    return Arrangement(stock.key, copies, slots, stock.width_um, stock.height_um, cuts or ())
