"""Small cases solved by hand, and orders whose best answer is known by construction."""

import pytest

from layouts.nest import Cutting, KeepOut, Margins, RollStock, SheetStock, Turn, judge_nest, nest
from tests.nest.orders import request, sheet, zero_waste


def test_four_quarters_fill_a_sheet() -> None:
    order = request([(5, 5, 4)], sheet(10, 10))
    found = nest(order)
    assert (found.sheets, found.bound.sheets) == (1, 1)
    assert found.utilization == (100, 100)
    assert judge_nest(order, found) == ()


def test_gap_counts_between_pieces_and_not_at_the_edge() -> None:
    # Two of 5 and one gap of 1 are 11: exactly the width. At 10 only one fits beside.
    assert nest(request([(5, 5, 4)], sheet(11, 11), gap=1)).sheets == 1
    assert nest(request([(5, 5, 4)], sheet(10, 11), gap=1)).sheets == 2


def test_turning_saves_a_sheet_only_where_it_may() -> None:
    sizes = [(6, 4, 1), (4, 6, 1)]
    assert nest(request(sizes, sheet(12, 4))).sheets == 1
    found = nest(request([(6, 4, 2)], sheet(4, 12), turn=Turn.LOCKED))
    assert found.sheets == 0
    assert [rest.count for rest in found.unplaced] == [2]
    assert (found.unplaced[0].width_um, found.unplaced[0].height_um) == (6, 12)


def test_half_turns_take_the_room_of_locked_ones() -> None:
    sizes = [(7, 3, 5)]
    half = nest(request(sizes, sheet(8, 7), turn=Turn.HALF))
    locked = nest(request(sizes, sheet(8, 7), turn=Turn.LOCKED))
    assert half.sheets == locked.sheets == 3


def test_pinwheel_needs_a_contour_cutter() -> None:
    # Four 2 x 3 around a 1 x 1 in 5 x 5: the classic layout that no edge-to-edge cut opens.
    sizes = [(2, 3, 4), (1, 1, 1)]
    straight = nest(request(sizes, sheet(5, 5), cutting=Cutting.GUILLOTINE))
    assert straight.sheets == 2
    assert straight.bound.sheets <= 2


def test_three_halves_of_a_sheet_need_three_sheets() -> None:
    # 6 x 6 in 10 x 10: area alone allows 0.36 each, yet no two fit together.
    found = nest(request([(6, 6, 3)], sheet(10, 10)))
    assert (found.sheets, found.bound.sheets) == (3, 3)


def test_bars_prove_it_for_a_contour_cutter_too() -> None:
    # 6 x 5 in 10 x 10, not turned: no slice across holds two, so three need 15 of height.
    order = request([(6, 5, 3)], sheet(10, 10), cutting=Cutting.FREE, turn=Turn.LOCKED)
    found = nest(order)
    assert judge_nest(order, found) == ()
    assert (found.sheets, found.bound.sheets, found.bound.kind) == (2, 2, "bar")


@pytest.mark.parametrize("seed", range(12))
def test_zero_waste_orders_are_solved(seed: int) -> None:
    for sheets in (1, 7):
        order = zero_waste(seed, sheets)
        found = nest(order)
        assert judge_nest(order, found) == ()
        assert found.sheets == found.bound.sheets == sheets


def test_keep_out_parts_the_sheet() -> None:
    # The middle strip is taken: 4 x 10 left and right of it, four pieces in all.
    out = KeepOut(4, 0, 2, 10)
    order = request([(4, 5, 5)], SheetStock("s", 10, 10, keep_outs=(out,)))
    found = nest(order)
    assert judge_nest(order, found) == ()
    assert found.sheets == 2


def test_limited_stock_leaves_the_rest_unplaced() -> None:
    order = request([(5, 5, 10)], sheet(10, 10, limit=2))
    found = nest(order)
    assert judge_nest(order, found) == ()
    assert (found.sheets, [rest.count for rest in found.unplaced]) == (2, [2])


def test_roll_length_is_exact_where_lanes_fit() -> None:
    # Three lanes of 4 in a width of 12; 9 pieces of length 5: 3 rows, 15 long, and margins 1 + 2.
    roll = RollStock("r", 12, Margins(0, 1, 0, 2), frame_um=100)
    order = request([(4, 5, 9)], roll, turn=Turn.LOCKED)
    found = nest(order)
    assert judge_nest(order, found) == ()
    assert found.length_um == found.bound.length_um == 18


def test_roll_frames_keep_their_length_and_cost_their_ends() -> None:
    # A frame of 13 holds 10 beside its ends of 3: two rows. Three rows need two frames.
    roll = RollStock("r", 12, Margins(0, 1, 0, 2), frame_um=13)
    order = request([(4, 5, 9)], roll, turn=Turn.LOCKED)
    found = nest(order)
    assert judge_nest(order, found) == ()
    assert (found.sheets, found.length_um) == (2, 15 + 2 * 3)
