"""Sheets emptied one after the other: known optima, published recipes, and nothing lost."""

import random
from dataclasses import replace

import pytest

from layouts.nest import (
    Cutting,
    KeepOut,
    Margins,
    NestRequest,
    RollStock,
    SheetStock,
    Turn,
    judge,
    nest,
)
from layouts.nest.emptying import emptied, is_various, may_empty
from layouts.nest.job import Job, Layout, Plan, make_job
from layouts.nest.model import Slot
from tests.nest.orders import any_order, berkey_wang, request, sheet

Sizes = list[tuple[int, int, int]]


def _alone(job: Job) -> Plan:
    """Each piece upright on a sheet of its own."""
    plate = job.plates[0]
    return {
        Layout(0, (Slot(i, plate.left, plate.top),)): demand
        for i, demand in enumerate(job.demands)
        if demand
    }


def _emptied(order: NestRequest, target: int) -> Plan:
    job, misfits = make_job(order)
    assert not misfits
    return emptied(job, _alone(job), target)


def _free(sizes: Sizes, stock: SheetStock, turn: Turn, gap: int = 0) -> NestRequest:
    return request(sizes, stock, gap=gap, cutting=Cutting.FREE, turn=turn, effort=200)


def test_pinwheel_by_hand() -> None:
    # Four 3 x 2 around a 1 x 1 fill 5 x 5 without waste, in one way and its mirror image alone.
    order = _free([(3, 2, 4), (1, 1, 1)], sheet(5, 5), Turn.FREE)
    (layout,) = _emptied(order, 1)
    assert Slot(1, 2, 2) in layout.slots
    assert len(layout.slots) == 5


@pytest.mark.parametrize("turn", [Turn.LOCKED, Turn.HALF])
def test_what_may_not_turn_stays_upright(turn: Turn) -> None:
    # 3 x 4 and 3 x 2 stand over each other three times in 9 x 6; 4 x 3 would lie twice at most.
    order = _free([(3, 4, 3), (3, 2, 3)], sheet(9, 6), turn)
    (layout,) = _emptied(order, 1)
    assert not any(slot.turned for slot in layout.slots)


def test_gap_margins_and_copies_by_hand() -> None:
    # 10 + gap 2 + 10 fill 22 exactly within margins of 3; nine such sheets of four.
    margins = Margins(3, 3, 3, 3)
    order = _free([(10, 10, 36)], sheet(28, 28, margins=margins), Turn.FREE, gap=2)
    plan = _emptied(order, 9)
    assert sum(plan.values()) == 9
    corners = {(s.x_um, s.y_um) for layout in plan for s in layout.slots}
    assert corners == {(3, 3), (3, 15), (15, 3), (15, 15)}


def _cut_apart(seed: int, sheets: int) -> Sizes:
    """Sheets of 60 x 60, each cut at random into five: no waste, so that `sheets` is the least."""
    chance = random.Random(seed)
    sizes: Sizes = []
    for _ in range(sheets):
        panels = [(60, 60)]
        while len(panels) < 5:
            panels.sort(key=lambda panel: panel[0] * panel[1])
            width, height = panels.pop()
            if chance.random() < width / (width + height):
                at = chance.randint(width // 4, width - width // 4)
                panels += [(at, height), (width - at, height)]
            else:
                at = chance.randint(height // 4, height - height // 4)
                panels += [(width, at), (width, height - at)]
        sizes += [(width, height, 1) for width, height in panels]
    return sizes


@pytest.mark.parametrize("turn", [Turn.FREE, Turn.LOCKED])
@pytest.mark.parametrize("seed", range(4))
def test_sheets_cut_apart_are_put_together_again(seed: int, turn: Turn) -> None:
    order = _free(_cut_apart(seed, 3), sheet(60, 60), turn)
    assert sum(_emptied(order, 3).values()) == 3


def _martello_vigo(kind: int, count: int, seed: int) -> Sizes:
    """Classes 7 to 10 of Martello and Vigo, "Exact solution of the two-dimensional finite bin
    packing problem", 1998: seven in ten pieces of one kind, the others of the other three.
    """
    chance = random.Random(seed)
    kinds = [((67, 100), (1, 50)), ((1, 50), (67, 100)), ((50, 100), (50, 100)), ((1, 50), (1, 50))]
    main = kinds[kind - 7]
    others = [each for each in kinds if each != main]
    sizes = []
    for _ in range(count):
        wide, high = main if chance.random() < 0.7 else chance.choice(others)
        sizes.append((chance.randint(*wide), chance.randint(*high), 1))
    return sizes


@pytest.mark.parametrize("turn", [Turn.FREE, Turn.LOCKED])
def test_published_recipes_against_their_bounds(turn: Turn) -> None:
    # Own seeds. One sheet above a proven bound is our own limit, and it must be worth its while.
    found = usual = 0
    for kind in range(1, 11):
        if kind < 7:
            order = berkey_wang(kind, 40, 100 + kind)
        else:
            order = _free(_martello_vigo(kind, 40, kind), sheet(100, 100), turn)
        pieces = tuple(replace(piece, turn=turn) for piece in order.pieces)
        order = replace(order, pieces=pieces, effort=150)
        deep = nest(order)
        assert judge(order, deep) == ()
        assert deep.sheets <= deep.bound.sheets + 1
        found += deep.sheets
        usual += nest(replace(order, effort=20)).sheets
    assert found < usual


@pytest.mark.parametrize("block", range(4))
def test_more_effort_leaves_answers_clean(block: int) -> None:
    for seed in range(5000 + 25 * block, 5025 + 25 * block):
        order = any_order(seed, effort=101)
        if isinstance(order.stocks[0], SheetStock):
            order = replace(order, cutting=Cutting.FREE)
            assert judge(order, nest(order)) == (), seed


@pytest.mark.parametrize("seed", range(3))
def test_same_order_same_sheets(seed: int) -> None:
    order = _free(_martello_vigo(7 + seed, 40, seed), sheet(100, 100), Turn.FREE)
    found = nest(order)
    assert found == nest(order)
    assert found.sheets >= found.bound.sheets


def test_a_target_ends_the_search() -> None:
    order = _free([(10, 10, 8)], sheet(20, 20), Turn.FREE)
    assert sum(_emptied(order, 5).values()) == 5
    assert sum(_emptied(order, 2).values()) == 2


def test_what_it_does_not_serve() -> None:
    def serves(stocks: tuple[SheetStock | RollStock, ...], cutting: Cutting, count: int) -> bool:
        order = request([(10, 10, count)], stocks[0], cutting=cutting)
        return may_empty(make_job(replace(order, stocks=stocks))[0])

    plain = sheet(50, 50)
    assert serves((plain,), Cutting.FREE, 9)
    assert not serves((plain,), Cutting.GUILLOTINE, 9)
    assert not serves((plain, sheet(60, 60)), Cutting.FREE, 9)
    assert not serves((sheet(50, 50, keep_outs=(KeepOut(0, 0, 5, 5),)),), Cutting.FREE, 9)
    assert not serves((RollStock("r", 50, Margins(), 500),), Cutting.FREE, 9)
    assert not serves((plain,), Cutting.FREE, 100_000)


def test_various_orders_want_few_of_each_size() -> None:
    assert is_various(make_job(request([(5, 3, 3), (2, 2, 2)], sheet(9, 9)))[0])
    assert not is_various(make_job(request([(5, 3, 9), (2, 2, 2)], sheet(9, 9)))[0])
