"""The emptiest sheet leaves one offcut across its width; nothing else of the nest changes."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from layouts.nest import Cutting, Margins, Nest, NestRequest, Piece, SheetStock, judge_nest, nest
from layouts.nest.solve import lay_out

MARGINS = Margins(10, 10, 10, 10)


def offcut(request: NestRequest, found: Nest) -> int:
    """How much of the emptiest single sheet lies below all of its pieces."""
    stock = request.stocks[0]
    assert isinstance(stock, SheetStock)
    free = []
    for sheet in found.arrangements:
        if sheet.copies == 1:
            reach = 0
            for slot in sheet.slots:
                piece = request.pieces[slot.piece]
                reach = max(reach, slot.y_um + (piece.width_um if slot.turned else piece.height_um))
            free.append(stock.height_um - stock.margins.bottom_um - reach)
    return max(free, default=0)


def an_order(seed: int, cutting: Cutting) -> NestRequest:
    chance = random.Random(seed)
    pieces = tuple(
        Piece(f"p{n}", chance.randint(200, 900), chance.randint(60, 250), chance.randint(1, 6))
        for n in range(chance.randint(3, 9))
    )
    return NestRequest(pieces, (SheetStock("s", 1220, 2440, MARGINS),), 6, cutting)


def test_two_pieces_that_fit_beside_each_other_leave_the_rest_in_one() -> None:
    """600 + 6 + 594 is the width within the margins, so both lie in one row of 300."""
    pieces = (Piece("a", 600, 300, 1), Piece("b", 594, 300, 1))
    request = NestRequest(pieces, (SheetStock("s", 1220, 2440, MARGINS),), 6, Cutting.FREE)
    found = nest(request)
    assert judge_nest(request, found) == ()
    assert offcut(request, found) == 2440 - 20 - 300


@pytest.mark.parametrize("cutting", list(Cutting))
@pytest.mark.parametrize("seed", range(12))
def test_the_offcut_is_never_shorter_and_the_nest_stays_sound(seed: int, cutting: Cutting) -> None:
    request = an_order(seed, cutting)
    before, after = lay_out(request), nest(request)
    assert judge_nest(request, after) == ()
    assert after.sheets == before.sheets
    assert offcut(request, after) >= offcut(request, before)
    kept = {sheet.slots for sheet in before.arrangements}
    assert sum(sheet.slots not in kept for sheet in after.arrangements) <= 1


def test_many_orders_gain() -> None:
    """Of forty random orders more than a third leave a longer offcut than without."""
    orders = [an_order(100 + seed, Cutting.FREE) for seed in range(40)]
    gains = [offcut(each, nest(each)) - offcut(each, lay_out(each)) for each in orders]
    assert sum(gain > 0 for gain in gains) > len(gains) // 3
    assert nest(replace(orders[0], effort=0)) == lay_out(replace(orders[0], effort=0))
