"""Kits: the pieces of one area kept together, and the cost of doing so.

On one kind of sheet or roll each kit is nested by itself on a strip of that width; the strips are
then stacked: on sheets where they fit best, on a roll one kit after the other. Where zones are kept
free, stock is limited or there are several stocks, each kit takes separate sheets or frames.
"""

from collections.abc import Iterable, Mapping
from dataclasses import replace

from layouts.nest import (
    Arrangement,
    Cutting,
    Nest,
    NestRequest,
    RollStock,
    SheetStock,
    Slot,
    Unplaced,
    cut_steps,
    nest,
    slot_rects,
)
from layouts.terms.values import frozen

_LEAST_EFFORT = 20
Stock = SheetStock | RollStock
Slots = tuple[tuple[Slot, str], ...]
"""Places with their kits."""


@frozen
class KitNest:
    """A nest with the kit of every slot, by arrangement, and the nest without kits."""

    nest: Nest
    kits: tuple[tuple[str, ...], ...]
    mixed: Nest

    @property
    def price_sheets(self) -> int:
        """Extra sheets (or frames) for keeping kits."""
        return self.nest.sheets - self.mixed.sheets

    @property
    def price_length_um(self) -> int:
        """Extra length for keeping kits."""
        return self.nest.length_um - self.mixed.length_um


@frozen
class _Strip:
    kit: str
    height: int
    slots: tuple[Slot, ...]


def nest_kits(request: NestRequest, kits: Mapping[str, Mapping[int, int]]) -> KitNest:
    """Lay out ``kits``: for each kit, pieces by index with their number.

    The kits together must ask for what the request's demands say.
    """
    stock = request.stocks[0] if len(request.stocks) == 1 else None
    if stock is None or stock.keep_outs or stock.limit is not None:
        found, unplaced = _apart(request, kits)
    else:
        found, unplaced = _stack_kits(request, stock, kits)
    missing = _sum_unplaced(unplaced)
    mixed = nest(_of_placed(request, missing))
    arrangements = [
        replace(arrangement, copies=count, slots=tuple(slot for slot, _ in slots))
        for (arrangement, slots), count in found.items()
    ]
    areas = [piece.width_um * piece.height_um for piece in request.pieces]
    used = sum(a.copies * areas[slot.piece] for a in arrangements for slot in a.slots)
    area = sum(a.copies * a.width_um * a.length_um for a in arrangements)
    nested = Nest(
        tuple(arrangements),
        missing,
        mixed.bound,
        mixed.guillotine_bound,
        used,
        area,
    )
    return KitNest(nested, tuple(tuple(kit for _, kit in slots) for _, slots in found), mixed)


def _of_placed(request: NestRequest, missing: Iterable[Unplaced]) -> NestRequest:
    """The request reduced to the pieces that fit in the kits."""
    lost = {rest.piece: rest.count for rest in missing}
    pieces = tuple(
        piece.times(piece.demand - lost.get(i, 0)) for i, piece in enumerate(request.pieces)
    )
    return replace(request, pieces=pieces)


Found = dict[tuple[Arrangement, Slots], int]
"""Copies of each arrangement (its own copies and slots left out) with its slots' kits."""


def _apart(
    request: NestRequest, kits: Mapping[str, Mapping[int, int]]
) -> tuple[Found, list[Unplaced]]:
    """Each kit on separate sheets, from the stock that earlier kits left."""
    found: Found = {}
    unplaced: list[Unplaced] = []
    stocks = request.stocks
    for kit, wanted in kits.items():
        one = nest(_of_kit(request, stocks, wanted))
        unplaced += one.unplaced
        for a in one.arrangements:
            key = replace(a, copies=1, slots=()), tuple((slot, kit) for slot in a.slots)
            found[key] = found.get(key, 0) + a.copies
            stocks = tuple(_less(stock, a) for stock in stocks)
    return found, unplaced


def _less(stock: Stock, used: Arrangement) -> Stock:
    if stock.key != used.stock or stock.limit is None:
        return stock
    return replace(stock, limit=stock.limit - used.copies)


def _of_kit(
    request: NestRequest, stocks: tuple[Stock, ...], wanted: Mapping[int, int]
) -> NestRequest:
    """Only the kit's pieces, with its share of the effort."""
    pieces = tuple(piece.times(wanted.get(i, 0)) for i, piece in enumerate(request.pieces))
    parts = sum(piece.demand for piece in request.pieces)
    share = request.effort * sum(wanted.values()) // max(1, parts)
    effort = min(request.effort, max(_LEAST_EFFORT, share))
    return replace(request, pieces=pieces, stocks=stocks, effort=effort)


def _stack_kits(
    request: NestRequest, stock: Stock, kits: Mapping[str, Mapping[int, int]]
) -> tuple[Found, list[Unplaced]]:
    """Each kit on strips, and the strips on sheets or frames."""
    ends = stock.margins.top_um + stock.margins.bottom_um
    if isinstance(stock, RollStock):
        roll, ends = stock, ends + stock.leader_um + stock.trailer_um
    else:
        roll = RollStock(stock.key, stock.width_um, stock.margins, stock.height_um)
    strips: list[_Strip] = []
    unplaced: list[Unplaced] = []
    for kit, wanted in kits.items():
        one = nest(_of_kit(request, (roll,), wanted))
        unplaced += one.unplaced
        for a in sorted(one.arrangements, key=lambda a: -a.length_um):
            strips += [_Strip(kit, a.length_um - ends, a.slots)] * a.copies
    room = roll.frame_um - ends
    if isinstance(stock, RollStock):
        stacks = _one_after_the_other(strips, room, request.gap_um)
    else:
        stacks = _where_they_fit(strips, room, request.gap_um)
    found: Found = {}
    for stack in stacks:
        slots = tuple(
            sorted(
                (replace(slot, y_um=slot.y_um + offset), strip.kit)
                for strip, offset in stack
                for slot in strip.slots
            )
        )
        key = _arrangement(request, stock, [slot for slot, _ in slots]), slots
        found[key] = found.get(key, 0) + 1
    return found, unplaced


Stacks = list[list[tuple[_Strip, int]]]
"""Strips with their offsets, by sheet or frame."""


def _one_after_the_other(strips: Iterable[_Strip], room: int, gap: int) -> Stacks:
    """In the kits' order: on the last frame, or on a new one."""
    stacks: Stacks = []
    at = room
    for strip in strips:
        if at + strip.height > room:
            stacks.append([])
            at = 0
        stacks[-1].append((strip, at))
        at += strip.height + gap
    return stacks


def _where_they_fit(strips: list[_Strip], room: int, gap: int) -> Stacks:
    """The longest first, on the fullest sheet that takes it, preferably one of the same kit."""
    stacks: Stacks = []
    free: list[int] = []
    for strip in sorted(strips, key=lambda each: -each.height):
        fits = [
            (strip.kit not in {each.kit for each, _ in stacks[at]}, left, at)
            for at, left in enumerate(free)
            if strip.height <= left
        ]
        at = min(fits)[2] if fits else len(stacks)
        if not fits:
            stacks.append([])
            free.append(room)
        stacks[at].append((strip, room - free[at]))
        free[at] -= strip.height + gap
    return stacks


def _arrangement(request: NestRequest, stock: Stock, slots: list[Slot]) -> Arrangement:
    """The sheet or frame that these places need, one copy, its places left out."""
    rects = slot_rects(request, slots)
    if isinstance(stock, RollStock):
        end = max(rect[3] for rect in rects)
        top, bottom = stock.margins.top_um + stock.leader_um, stock.margins.bottom_um
        length = end + max(bottom + stock.trailer_um, request.gap_um - top)
    else:
        length = stock.height_um
    cuts = None
    if request.cutting is Cutting.GUILLOTINE:
        cuts = cut_steps((0, 0, stock.width_um, length), rects, request.gap_um)
    return Arrangement(stock.key, 1, (), stock.width_um, length, cuts or ())


def _sum_unplaced(unplaced: Iterable[Unplaced]) -> tuple[Unplaced, ...]:
    """One for each piece."""
    found: dict[int, Unplaced] = {}
    for rest in unplaced:
        known = found.get(rest.piece)
        found[rest.piece] = replace(rest, count=rest.count + (known.count if known else 0))
    return tuple(found.values())
