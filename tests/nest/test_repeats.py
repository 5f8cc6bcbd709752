"""Fewer different sheets, never at the price of a sheet or of roll length."""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import replace

import pytest

from layouts.nest import (
    Cutting,
    Margins,
    Nest,
    NestRequest,
    Piece,
    RollStock,
    SheetStock,
    judge_nest,
    nest,
)
from layouts.nest.answer import cost_of
from layouts.nest.faces import assign_faces
from layouts.nest.problem import make_problem
from layouts.nest.repeats import fewest_different, with_repeats
from layouts.nest.solve import lay_out
from tests.nest.orders import any_order

MARGINS = Margins(12, 12, 12, 12)
SHEET = SheetStock("sheet", 1220, 2440, MARGINS)
ROLL = RollStock("roll", 1370, MARGINS, 3000)


def an_order(seed: int, stock: SheetStock | RollStock, cutting: Cutting) -> NestRequest:
    """Some sizes, each wanted many times in a few lots."""
    chance = random.Random(seed)
    pieces = []
    for n in range(chance.randint(4, 10)):
        lots = tuple(chance.randint(4, 20) for _ in range(chance.randint(1, 3)))
        width, height = chance.randint(300, 1000), chance.randint(60, 300)
        pieces.append(Piece(f"p{n}", width, height, sum(lots), lots=lots))
    return NestRequest(tuple(pieces), (stock,), 2, cutting, 40)


def printed(request: NestRequest, found: Nest) -> int:
    """Different printed sheets, with a face for every lot."""
    faces = {
        i: [(f"{i}-{n}", lot) for n, lot in enumerate(piece.lots)]
        for i, piece in enumerate(request.pieces)
    }
    return len(assign_faces(found, faces))


def made(found: Nest) -> Counter[int]:
    """How many of each piece there are."""
    counts: Counter[int] = Counter()
    for sheet in found.arrangements:
        for slot in sheet.slots:
            counts[slot.piece] += sheet.copies
    return counts


@pytest.mark.parametrize("cutting", list(Cutting))
@pytest.mark.parametrize("stock", [SHEET, ROLL], ids=["sheet", "roll"])
@pytest.mark.parametrize("seed", [1, 3])
def test_never_dearer_and_nothing_lost(
    seed: int, stock: SheetStock | RollStock, cutting: Cutting
) -> None:
    request = an_order(seed, stock, cutting)
    before = lay_out(request)
    after = with_repeats(request, before, lay_out)
    assert judge_nest(request, after) == ()
    assert made(after) == made(before)
    assert cost_of(request, after) <= cost_of(request, before)
    before_count = printed(request, before) + before.distinct
    assert printed(request, after) + after.distinct <= before_count
    fewer = printed(request, after) + after.distinct < before_count
    assert fewer or after.arrangements == before.arrangements


@pytest.mark.parametrize("seed", range(25))
def test_limits_zones_and_several_stocks_hold(seed: int) -> None:
    request = any_order(3000 + seed, effort=5)
    before = lay_out(request)
    after = with_repeats(request, before, lay_out)
    assert judge_nest(request, after) == ()
    assert after.unplaced == before.unplaced
    assert cost_of(request, after) <= cost_of(request, before)


def test_most_orders_of_many_equal_pieces_gain() -> None:
    """More than half of six random orders; without room to spare on a sheet none can."""
    gains = 0
    for seed in range(100, 106):
        request = an_order(seed, SHEET, Cutting.FREE)
        before = lay_out(request)
        gains += with_repeats(request, before, lay_out).distinct < before.distinct
    assert gains > 3


def test_lots_that_come_out_even_are_printed_as_one_sheet() -> None:
    """Ten sheets of three sizes with room to spare; each lot is ten of a size, so one page does."""
    sizes = ((1190, 700), (590, 600), (300, 250))
    pieces = tuple(
        Piece(f"p{n}", w, h, 10 * (n + 1), lots=(10,) * (n + 1)) for n, (w, h) in enumerate(sizes)
    )
    found = nest(NestRequest(pieces, (SHEET,), 2, Cutting.FREE))
    assert found.sheets <= 10
    assert printed(NestRequest(pieces, (SHEET,), 2, Cutting.FREE), found) <= 3


def test_same_request_same_nest() -> None:
    request = an_order(3, SHEET, Cutting.FREE)
    assert nest(request) == nest(request)


def test_lots_must_be_the_demand() -> None:
    with pytest.raises(ValueError, match="lots"):
        Piece("p", 10, 10, 5, lots=(2, 2))
    assert replace(Piece("p", 10, 10, 4, lots=(2, 2)), demand=4).times(3).lots == ()


def test_no_nest_has_fewer_different_sheets_than_the_bound() -> None:
    for seed in range(12):
        request = an_order(seed, SHEET if seed % 2 else ROLL, Cutting.FREE)
        found = nest(request)
        problem, _ = make_problem(request)
        assert printed(request, found) + found.distinct >= fewest_different(problem)


def test_the_bound_by_hand() -> None:
    # Three lots of 600 x 2440 on a room of 1220 x 2440: two sheets, and one arrangement.
    sheet = SheetStock("sheet", 1220, 2440)
    piece = Piece("p", 600, 2440, 30, lots=(10, 10, 10))
    problem, _ = make_problem(NestRequest((piece,), (sheet,), 0, Cutting.FREE))
    assert fewest_different(problem) == 1 + 2


def test_pieces_that_all_differ_are_not_searched_for_repeats() -> None:
    sizes = ((600, 400, 14), (350, 330, 22), (900, 210, 12))
    pieces = tuple(Piece(f"{w}", w, h, n, lots=(1,) * n) for w, h, n in sizes)
    request = NestRequest(pieces, (SHEET,), 6, Cutting.FREE)
    found = nest(request)
    assert found.sheets >= 3
    assert "repeated patterns" not in {run.name for run in found.stages}
