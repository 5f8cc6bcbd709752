"""Straight cuts of small orders: the plain search, its panels and its lanes."""

import random
from collections import Counter

import pytest

from layouts.nest import Cutting, Margins, NestRequest, RollStock, judge_nest, nest
from layouts.nest.lanes import BLANK, PIECE, STACK, LanePacker, Panel, Pool, with_sums
from layouts.nest.problem import make_problem
from layouts.nest.straight import StraightGoals
from tests.nest.loading import compiler_and_solver_loaded
from tests.nest.orders import request, sheet, zero_waste


def _order(seed: int, stock: RollStock | None = None) -> NestRequest:
    """Strips in few heights, as pipe markers are, on sheets or a roll; sizes our own."""
    chance = random.Random(seed)
    sizes = [
        (chance.randint(40, 300), chance.choice((30, 44, 70)), chance.randint(1, 9))
        for _ in range(12)
    ]
    on = stock or sheet(600, 400, margins=Margins(3, 4, 5, 6))
    return request(sizes, on, gap=2, cutting=Cutting.GUILLOTINE, effort=30)


def _roll(frame: int) -> RollStock:
    return RollStock("roll", 500, Margins(4, 5, 6, 7), frame, leader_um=8)


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("frame", [0, 300, 3000])
def test_nothing_lost_nothing_overlapping_all_cuts_straight(seed: int, frame: int) -> None:
    order = _order(seed, _roll(frame) if frame else None)
    found = nest(order)
    # The judge counts the pieces, probes for overlaps and follows every cut.
    assert judge_nest(order, found) == ()
    assert not found.unplaced
    assert nest(order) == found


@pytest.mark.parametrize("seed", range(4))
def test_whole_sheets_cut_up_are_put_together_again(seed: int) -> None:
    assert nest(zero_waste(seed, 5)).sheets == 5


@pytest.mark.parametrize("seed", range(3))
def test_rolls_come_near_their_bound(seed: int) -> None:
    # Within 8 percent of the proven length, our own limit: 12 sizes leave one poor section.
    found = nest(_order(seed, _roll(3000)))
    assert found.length_um * 100 <= found.bound.length_um * 108


def test_small_rolls_cut_straight_load_no_compiler_and_no_solver() -> None:
    order = "made._order(0, made._roll(3000))"
    assert compiler_and_solver_loaded("tests.nest.test_straight", order) == []


@pytest.mark.parametrize("seed", range(20))
def test_sums_are_those_of_trying_all(seed: int) -> None:
    chance = random.Random(seed)
    sizes = [(chance.randint(1, 20), chance.randint(1, 5)) for _ in range(3)]
    reach, sums = 1, {0}
    for size, count in sizes:
        reach = with_sums(reach, size, count)
        sums = {each + n * size for each in sums for n in range(count + 1)}
    assert {n for n in range(reach.bit_length()) if reach >> n & 1} == sums


@pytest.mark.parametrize("seed", range(20))
def test_a_filled_panel_is_parted_exactly(seed: int) -> None:
    chance = random.Random(seed)
    sides = [(chance.randint(21, 40), chance.randint(3, 20)) for _ in range(8)]
    orientations = [[(w, h, n, False), (h, w, n, True)] for n, (w, h) in enumerate(sides)]
    demand: Pool = {n: chance.randint(1, 4) for n in range(8)}
    pool = dict(demand)
    panel = LanePacker(orientations, chance).fill(70, 60, pool)
    _assert_parted(panel)
    placed: Pool = {}
    panel.empty_into(placed)
    assert Counter(pool) + Counter(placed) == Counter(demand)
    for each in (part for cut in panel.cut_panels() for part in cut.parts):
        if each.kind == PIECE:
            w, h = sides[each.piece]
            assert (each.width, each.height) == ((h, w) if each.turned else (w, h))


def _assert_parted(panel: Panel) -> None:
    """Parts are as wide or as high as their panel, and together fill it."""
    if panel.kind in (PIECE, BLANK):
        return
    if panel.kind == STACK:
        assert {part.width for part in panel.parts} == {panel.width}
        assert sum(part.height for part in panel.parts) == panel.height
    else:
        assert {part.height for part in panel.parts} == {panel.height}
        assert sum(part.width for part in panel.parts) == panel.width
    for part in panel.parts:
        _assert_parted(part)


@pytest.mark.parametrize("seed", range(8))
def test_refills_keep_every_piece_and_every_panel_whole(seed: int) -> None:
    problem, _ = make_problem(_order(seed, _roll(3000)))
    search = StraightGoals(problem, problem.bins[0])
    refiller = search.refiller
    room = refiller.total // search.width
    refiller.begin(search.width, [room])
    for until in (2_000, 4_000, 8_000):
        refiller.refill(refiller.work + until)
        placed: Pool = {}
        for root in refiller.roots:
            assert (root.width, root.height) == (search.width, room)
            _assert_parted(root)
            root.empty_into(placed)
        assert Counter(placed) + Counter(refiller.pool) == Counter(refiller.demand)
    refiller.lengthen(room + 50)
    assert refiller.roots[-1].height == room + 50
    _assert_parted(refiller.roots[-1])
