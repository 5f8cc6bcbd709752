"""Patterns that fills find for a linear program: many items by contour, without a compiler."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layouts.nest import (
    Cutting,
    Margins,
    NestRequest,
    Piece,
    RollStock,
    SheetStock,
    judge_nest,
    nest,
)
from layouts.nest.bounds import area_bound
from layouts.nest.fill_patterns import FillPatterns, patterns_by_fills
from layouts.nest.guillotine_fill import guillotine_fill
from layouts.nest.problem import Best, make_problem, plan_cost
from tests.nest.loading import compiler_and_solver_loaded

MARGINS = Margins(13, 13, 13, 13)
SHEET = SheetStock("sheet", 610, 1220, MARGINS)
SMALL = SheetStock("small", 400, 900, MARGINS, cost=2)
COSTLY = SheetStock("costly", 610, 1220, MARGINS, cost=4)
ROLL = RollStock("roll", 1372, MARGINS, 3048)
BOTH = (SMALL, COSTLY)

_sizes = st.lists(
    st.tuples(st.integers(60, 370), st.integers(30, 150), st.integers(20, 300), st.booleans()),
    min_size=2,
    max_size=9,
    unique_by=lambda size: size[:2],
)


def an_order(
    sizes: list[tuple[int, int, int, bool]],
    stocks: tuple[SheetStock | RollStock, ...],
    effort: int = 20,
) -> NestRequest:
    """Sizes with their demand; some are in lots of one."""
    pieces = tuple(
        Piece(f"{w}x{h}", w, h, n, lots=(1,) * n if each else (n,)) for w, h, n, each in sizes
    )
    return NestRequest(pieces, stocks, 2, Cutting.FREE, effort)


@pytest.mark.parametrize("stocks", [(SHEET,), BOTH, (ROLL,)], ids=["sheet", "two", "roll"])
@settings(derandomize=True, max_examples=12, deadline=None, database=None)
@given(sizes=_sizes)
def test_every_item_is_placed_at_no_more_than_the_first_answer(
    stocks: tuple[SheetStock | RollStock, ...], sizes: list[tuple[int, int, int, bool]]
) -> None:
    problem, misfits = make_problem(an_order(sizes, stocks))
    assert not misfits
    first, _, _ = guillotine_fill(problem)
    best = Best(first, area_bound(problem))
    after = patterns_by_fills(problem, best, best.bound.cost)
    made: Counter[int] = Counter()
    for pattern, copies in after.plan.items():
        for slot in pattern.slots:
            made[slot.piece] += copies
    assert [made[i] for i in range(len(sizes))] == list(problem.demands)
    assert best.bound.cost <= after.cost(problem) <= best.cost(problem)
    # So its own plan, which `Best` would leave aside if it were costlier than the first.
    alone = FillPatterns(problem).plan(first, best.bound.cost)
    assert after.cost(problem) == min(best.cost(problem), plan_cost(problem, alone))


@settings(derandomize=True, max_examples=10, deadline=None, database=None)
@given(sizes=_sizes)
def test_the_judge_finds_no_fault(sizes: list[tuple[int, int, int, bool]]) -> None:
    more = [(w, h, 12 * n, each) for w, h, n, each in sizes]
    for stocks in ((SHEET,), (ROLL,)):
        order = an_order(more, stocks, effort=5)
        assert judge_nest(order, nest(order)) == ()


def _labels(demand: int) -> NestRequest:
    """Labels of three sizes on sheets, as of a plant's valves; sizes our own."""
    sizes = [(88, 63, 4 * demand, True), (82, 63, 2 * demand, True), (76, 63, demand, True)]
    return an_order(sizes, (SHEET,), effort=100)


def test_a_few_sizes_on_many_sheets_load_no_compiler() -> None:
    loaded = compiler_and_solver_loaded("tests.nest.test_fill_patterns", "made._labels(300)")
    assert loaded == ["highspy"]


def test_a_few_sizes_come_within_a_sheet_of_the_bound() -> None:
    order = _labels(300)
    found = nest(order)
    assert found.sheets <= found.bound.sheets + 1
    assert "patterns by fills" in {run.name for run in found.stages}


def test_what_cannot_be_printed_alike_comes_together() -> None:
    """A thousand of two sizes, and forty that all differ: few frames hold any of the forty."""
    pieces = (
        Piece("long", 700, 69, 1500),
        Piece("short", 410, 44, 900),
        Piece("each", 900, 196, 60, lots=(1,) * 60),
    )
    found = nest(NestRequest(pieces, (ROLL,), 2, Cutting.FREE))
    single = sum(a.copies for a in found.arrangements if any(s.piece == 2 for s in a.slots))
    # As many as their area asks for, and as many again: our own limit.
    assert single <= 2 * -(-60 * 902 * 198 // (1348 * 3024))
    assert found.sheets > 20


def test_quantity_costs_no_patterns() -> None:
    sizes = [(350, 69, 400, False), (330, 44, 500, False), (280, 95, 300, False)]
    few = nest(an_order(sizes, (ROLL,)))
    many = nest(an_order([(w, h, 50 * n, each) for w, h, n, each in sizes], (ROLL,)))
    assert many.distinct <= few.distinct + len(sizes) + 3
    assert many.length_um <= 50 * few.length_um
