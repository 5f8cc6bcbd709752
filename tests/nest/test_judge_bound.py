"""What a bound's prices prove, worked by hand and by the textbook's recursion.

A bound is a weak dual: prices of pieces, and the most that one sheet can carry of them. The
recursion for straight cuts is that of P. C. Gilmore and R. E. Gomory, "The theory and computation
of knapsack functions", Operations Research 14 (1966).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from functools import cache

import pytest

from layouts.nest import (
    Arrangement,
    Cutting,
    Margins,
    Nest,
    NestRequest,
    Piece,
    RollStock,
    SheetStock,
    Slot,
    Turn,
)
from layouts.nest.judge_bound import Proven, bound_faults, guillotine_worth, recompute
from layouts.nest.model import Bound, Lack, Unplaced

AREA = Bound("area", sheets=0, length_um=0, cost=0)
# The room is 22 x 20 micrometers: what lies between the margins, grown by one gap of 2.
MARGINS = Margins(left_um=1, right_um=3, top_um=2, bottom_um=4)
SHEET = SheetStock("sheet", 24, 24, MARGINS)


def order(
    pieces: Sequence[Piece],
    *stocks: SheetStock | RollStock,
    gap: int = 2,
    cutting: Cutting = Cutting.FREE,
) -> NestRequest:
    return NestRequest(tuple(pieces), stocks, gap, cutting)


def proven(asked: NestRequest, bound: Bound = AREA, unplaced: int = 0) -> Proven:
    left = (Unplaced(0, unplaced, Lack.TOO_LARGE, 0, 0),) if unplaced else ()
    return recompute(asked, Nest((), left, bound), bound)


def bars(*duals: int, unit: int = 1) -> Bound:
    return replace(AREA, kind="bar", duals=duals, unit_um=unit)


@pytest.mark.parametrize(("count", "sheets"), [(44, 10), (45, 11), (4, 1), (5, 2)])
def test_the_area_of_pieces_and_gaps_over_that_of_a_sheets_room(count: int, sheets: int) -> None:
    # A piece of 8 x 8 takes 10 x 10 with its gaps: 4.4 of them fill 22 x 20.
    assert proven(order([Piece("a", 8, 8, count)], SHEET)) == Proven(sheets, sheets, 0)
    costly = order([Piece("a", 8, 8, count)], replace(SHEET, cost=3))
    assert proven(costly).cost == math.ceil(count * 100 / 440 * 3)


def test_what_was_not_placed_proves_nothing() -> None:
    asked = order([Piece("a", 8, 8, 45), Piece("b", 8, 3, 0)], SHEET)
    assert proven(asked, unplaced=1).sheets == 10
    assert proven(asked, unplaced=45) == Proven(0, 0, 0)


def test_discs_lie_hexagonally_at_best() -> None:
    # The densest packing of equal discs covers pi / sqrt(12) of the plane (Thue 1910), so a disc
    # of diameter d takes d^2 sqrt(12) / 4 = 0.866025 d^2.
    stock = SheetStock("sheet", 1000, 1000)
    disc = Piece("a", 100, 100, 115, round=True)
    assert proven(order([disc], stock, gap=0)).sheets == 1
    assert proven(order([replace(disc, demand=116)], stock, gap=0)).sheets == 2
    # Rounded down in whole square micrometers: 115 discs of a diameter of 100 take 995,900.
    assert proven(order([replace(disc, demand=1000)], stock, gap=0)).sheets == 9


def test_a_disc_takes_its_gap_along() -> None:
    # Diameters of 98 with a gap of 2 are those of 100 before.
    stock = SheetStock("sheet", 998, 998)
    for count, sheets in ((115, 1), (116, 2)):
        disc = Piece("a", 98, 98, count, round=True)
        assert proven(order([disc], stock)).sheets == sheets


def test_a_roll_that_costs_nothing_bounds_no_length() -> None:
    free = RollStock("roll", 20, Margins(), 100, cost=0)
    assert proven(order([Piece("a", 8, 8, 22)], free)) == Proven(0, 1, 0)


def test_the_cheapest_stock_per_area_goes_first_up_to_its_limit() -> None:
    asked = [Piece("a", 8, 8, 44)]
    small = replace(SHEET, key="small", cost=3, limit=4)
    large = replace(SHEET, key="large", height_um=44, cost=8)
    # Of 4,400 four small sheets carry 1,760 for 12, and three large ones of 880 the rest for 24.
    assert proven(order(asked, small, large)) == Proven(36, 5, 0)
    assert proven(order(asked, large, small)) == Proven(36, 5, 0)
    # A stock too small for anything carries nothing.
    nothing = replace(SHEET, key="nothing", height_um=4)
    assert proven(order(asked, small, large, nothing)) == Proven(36, 5, 0)
    thin = replace(SHEET, key="thin", width_um=2)
    assert proven(order(asked, small, large, thin)) == Proven(36, 5, 0)


ROLL = RollStock("roll", 24, MARGINS, 100, leader_um=5, trailer_um=6, cost=2)


def test_a_roll_runs_as_long_as_its_pieces_and_the_ends_of_each_frame() -> None:
    # 4,400 over a width of 22 run 200; a frame of 100 holds 85 of them, as margins, leader and
    # trailer take 17 less one gap of 2. So there are three frames with 15 of ends each.
    assert proven(order([Piece("a", 8, 8, 44)], ROLL)) == Proven(2 * 245, 3, 245)
    # Exactly two frames full, and one piece more.
    exact = replace(ROLL, frame_um=115)
    assert proven(order([Piece("a", 8, 8, 44)], exact)) == Proven(2 * 230, 2, 230)
    assert proven(order([Piece("a", 8, 8, 45)], exact)).sheets == 3


def test_a_gap_wider_than_a_frames_ends_gains_no_length() -> None:
    bare = RollStock("roll", 20, Margins(), 100)
    # One gap of 2 makes the width 22; a frame's length is never below that of its pieces.
    assert proven(order([Piece("a", 8, 8, 22)], bare)) == Proven(100, 1, 100)


def test_the_cheapest_of_several_rolls_counts_and_the_length_follows_from_the_costliest() -> None:
    wide = replace(ROLL, key="wide", width_um=46, cost=5)
    # On the wide roll 4,400 over 44 run 100: two frames, 130 in length, a cost of 650.
    assert proven(order([Piece("a", 8, 8, 44)], ROLL, wide)) == Proven(490, 2, 98)


NINE_BY_TEN = SheetStock("sheet", 9, 10)


@pytest.mark.parametrize(("count", "sheets"), [(8, 2), (9, 3)])
@pytest.mark.parametrize("duals", [(1, 0, 0, 0), (1, 7, 0, 7)])
def test_bars_across_carry_two_pieces_of_4_in_9(
    count: int, sheets: int, duals: tuple[int, ...]
) -> None:
    # Two across and two down: four a sheet. Worth 5 each, of 2 x 10 on a sheet; a piece that may
    # not turn has no price for its other way to lie.
    piece = Piece("a", 4, 5, count, Turn.LOCKED)
    assert proven(order([piece], NINE_BY_TEN, gap=0), bars(*duals)).sheets == sheets


def test_bars_along_carry_two_pieces_of_5_in_10() -> None:
    # Worth 4 each, of 2 x 9 on a sheet.
    for count, sheets in ((4, 1), (5, 2), (9, 2), (10, 3)):
        piece = Piece("a", 4, 5, count, Turn.LOCKED)
        assert proven(order([piece], NINE_BY_TEN, gap=0), bars(0, 0, 1, 0)).sheets == sheets


def test_both_ways_of_bars_add_up() -> None:
    # 9 each, of 2 x 10 + 2 x 9.
    for count, sheets in ((4, 1), (5, 2), (8, 2), (9, 3)):
        piece = Piece("a", 4, 5, count, Turn.LOCKED)
        assert proven(order([piece], NINE_BY_TEN, gap=0), bars(1, 0, 1, 0)).sheets == sheets


def test_a_piece_that_may_turn_counts_by_its_cheaper_way() -> None:
    # 4 x 6 upright and turned beside it fill a bar of 10: worth 2 + 3. A piece is worth 12 either
    # way, a sheet 50.
    stock = SheetStock("sheet", 10, 10)
    for count, sheets in ((4, 1), (5, 2), (8, 2), (9, 3)):
        assert proven(order([Piece("a", 4, 6, count)], stock, gap=0), bars(2, 3, 0, 0)).sheets == (
            sheets
        )
    # Where turning is worth less, that counts: 2 x 4 = 8 each of 50 (2 + 3 no more: 2 + 2 of 40).
    cheaper = proven(order([Piece("a", 4, 6, 10)], stock, gap=0), bars(2, 2, 0, 0))
    assert cheaper.sheets == math.ceil(10 * min(2 * 6, 2 * 4) / (4 * 10))
    # Along the sheet the same with its price for lying turned.
    along = proven(order([Piece("a", 4, 6, 10)], stock, gap=0), bars(0, 0, 3, 2))
    assert along.sheets == math.ceil(10 * min(3 * 4, 2 * 6) / (5 * 10))


def test_each_piece_has_four_prices_of_its_own() -> None:
    stock = SheetStock("sheet", 10, 10)
    pieces = [Piece("a", 10, 5, 3, Turn.LOCKED), Piece("b", 10, 2, 5, Turn.LOCKED)]
    # One across: 3 x 5 + 5 x 2 = 25 of 10.
    assert proven(order(pieces, stock, gap=0), bars(1, 0, 0, 0, 1, 0, 0, 0)).sheets == 3
    # With a price of the second along, 10 more each: 5 x (2 + 10) + 15 of 10 + 5 x 10.
    assert proven(order(pieces, stock, gap=0), bars(1, 0, 0, 0, 1, 0, 1, 0)).sheets == 2


def test_a_square_has_one_way_to_lie() -> None:
    stock = SheetStock("sheet", 10, 10)
    piece = Piece("a", 5, 5, 8)
    # Its prices for lying turned are no prices: four a sheet.
    assert proven(order([piece], stock, gap=0), bars(1, 9, 0, 9)).sheets == 2


def test_sizes_are_rounded_down_to_the_bounds_unit() -> None:
    # In units of 4 a piece of 7 counts as one and a room of 11 as two: twice as many as there are.
    stock = SheetStock("sheet", 11, 11)
    piece = Piece("a", 7, 7, 4)
    assert proven(order([piece], stock, gap=0), bars(1, 0, 0, 0)).sheets == math.ceil(4 * 7 / 11)
    rounded = proven(order([piece], stock, gap=0), bars(1, 0, 0, 0, unit=4))
    assert rounded.sheets == math.ceil(4 * 7 / (2 * 11))
    along = proven(order([piece], stock, gap=0), bars(0, 0, 1, 0, unit=4))
    assert along.sheets == math.ceil(4 * 7 / (2 * 11))


def test_bars_on_a_roll() -> None:
    # Two across a width of 9 with 1 of worth a micrometer: 8 pieces of 5 run 20.
    roll = RollStock("roll", 9, Margins(), 100)
    piece = Piece("a", 4, 5, 8, Turn.LOCKED)
    assert proven(order([piece], roll, gap=0), bars(1, 0, 0, 0)) == Proven(20, 1, 20)
    in_units = proven(order([piece], roll, gap=0), bars(1, 0, 0, 0, unit=3))
    assert in_units.length_um == math.ceil(8 * 5 / 3)
    # A roll on which nothing of worth fits proves nothing of what others carry.
    thin = replace(roll, key="thin", width_um=3)
    assert proven(order([piece], roll, thin, gap=0), bars(1, 0, 0, 0)) == Proven(20, 1, 20)


@cache
def most_worth(room: tuple[int, int], kinds: tuple[tuple[int, int, int], ...]) -> int:
    """Gilmore and Gomory: the best piece that fits, or the best of two rooms after one cut."""
    width, height = room
    best = max((worth for w, h, worth in kinds if w <= width and h <= height), default=0)
    for at in range(1, width // 2 + 1):
        best = max(best, most_worth((at, height), kinds) + most_worth((width - at, height), kinds))
    for at in range(1, height // 2 + 1):
        best = max(best, most_worth((width, at), kinds) + most_worth((width, height - at), kinds))
    return best


KINDS = [
    [(3, 2, 1)],
    [(3, 2, 6), (1, 1, 1)],
    [(5, 3, 15), (4, 4, 17), (2, 1, 1)],
    [(7, 2, 13), (3, 5, 16), (2, 2, 4), (6, 6, 37)],
    [(9, 1, 8), (1, 9, 10), (4, 4, 15)],
]


@pytest.mark.parametrize("kinds", KINDS)
@pytest.mark.parametrize("turn", [Turn.FREE, Turn.LOCKED])
@pytest.mark.parametrize("room", [(5, 5), (9, 13), (14, 7), (1, 1), (12, 12)])
def test_the_worth_of_straight_cuts_is_that_of_the_recursion(
    kinds: list[tuple[int, int, int]], turn: Turn, room: tuple[int, int]
) -> None:
    pieces = [Piece(f"p{n}", w, h, 1, turn) for n, (w, h, _) in enumerate(kinds)]
    bound = replace(AREA, kind="guillotine", duals=tuple(worth for *_, worth in kinds))
    lying = [(h, w, worth) for w, h, worth in kinds] if turn is Turn.FREE else []
    asked = order(pieces, SHEET, gap=0)
    assert guillotine_worth(asked, bound, *room) == most_worth(room, (*kinds, *lying))


def test_rooms_and_pieces_grow_by_the_gap_and_shrink_to_the_unit() -> None:
    # A 5 x 4 with a gap of 1 is 3 x 2 units of 2 (6 x 5); a room of 11 x 11 is 5 x 5 units: three.
    bound = replace(AREA, kind="guillotine", duals=(1,), unit_um=2)
    assert guillotine_worth(order([Piece("a", 5, 4, 1)], SHEET, gap=1), bound, 11, 11) == 3


def test_prices_of_straight_cuts_prove_the_sheets_of_the_pinwheel() -> None:
    # Of 2 x 3 pieces straight cuts get three from 5 x 5, where a contour cutter gets four.
    bound = replace(AREA, kind="guillotine", duals=(1,))
    stock = SheetStock("sheet", 5, 5)
    for count, sheets in ((3, 1), (4, 2), (6, 2), (7, 3)):
        assert proven(order([Piece("a", 3, 2, count)], stock, gap=0), bound).sheets == sheets
    # In a room of another shape they get as many as lie in a row.
    row = SheetStock("sheet", 9, 2)
    assert proven(order([Piece("a", 3, 2, 7)], row, gap=0), bound).sheets == 3


def answer(asked: NestRequest, bound: Bound, straight: Bound | None = None) -> list[str]:
    """Faults of bounds on one piece that lies on one sheet or frame of the first stock."""
    stock = asked.stocks[0]
    length = stock.height_um if isinstance(stock, SheetStock) else 8
    one = Arrangement(stock.key, 1, (Slot(0, 0, 0),), stock.width_um, length)
    return bound_faults(asked, Nest((one,), (), bound, straight))


FULL = SheetStock("sheet", 8, 8, cost=7)


def test_a_bound_may_reach_the_answer_and_not_pass_it() -> None:
    asked = order([Piece("a", 8, 8, 1)], FULL, gap=0)
    assert answer(asked, Bound("area", 1, 0, 7)) == []
    assert answer(asked, Bound("area", 1, 0, 8)) == [
        "bound 8 is not proven: its prices give 7",
        "bound 8 above the answer's 7",
    ]
    assert answer(asked, Bound("area", 2, 0, 7)) == [
        "bound of sheets 2 is not proven: its prices give 1",
        "bound 2 above the answer's 1 sheets",
    ]
    assert answer(asked, Bound("area", 1, 1, 7)) == [
        "bound of length 1 is not proven: its prices give 0"
    ]


def test_the_cost_of_a_rolls_answer_is_by_its_length() -> None:
    roll = RollStock("roll", 8, Margins(), 50, cost=3)
    asked = order([Piece("a", 8, 8, 1)], roll, gap=0)
    assert answer(asked, Bound("area", 1, 8, 24)) == []
    assert answer(asked, Bound("area", 1, 8, 25)) == [
        "bound 25 is not proven: its prices give 24",
        "bound 25 above the answer's 24",
    ]


def test_a_bound_for_straight_cuts_is_checked_where_it_says_more() -> None:
    asked = order([Piece("a", 8, 8, 1)], FULL, gap=0)
    sound = Bound("area", 1, 0, 7)
    assert answer(asked, sound, sound) == []
    forged = "guillotine bound 8 is not proven: its prices give 7"
    assert answer(asked, sound, replace(sound, cost=8)) == [forged]


def test_a_bound_holds_only_for_its_own_cutting_and_shapes() -> None:
    square, disc = Piece("a", 8, 8, 1), Piece("a", 8, 8, 1, round=True)
    straight = Bound("guillotine", 1, 0, 7, (1,))
    rows = Bound("bar", 1, 0, 7, (1, 0, 0, 0))
    contour = "a guillotine bound does not hold for a contour cutter"
    discs = "a bound from rows does not hold for discs that may nest into each other"
    for cutting in Cutting:
        free = cutting is Cutting.FREE
        asked = order([square], FULL, gap=0, cutting=cutting)
        assert answer(asked, straight) == ([contour] if free else [])
        assert answer(asked, rows) == []
        tags = replace(asked, pieces=(disc,))
        assert answer(tags, rows) == ([discs] if free else [])
        assert answer(tags, Bound("area", 1, 0, 1)) == []
