"""The table of stages: none makes a plan costlier, loses an item or lowers what is proven."""

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
from layouts.nest.guillotine_fill import guillotine_fill
from layouts.nest.problem import Best, Plan, Problem, make_problem, with_demands
from layouts.nest.solve import STAGES, Stage, lay_out
from tests.nest.orders import any_order

SHEET = SheetStock("sheet", 1220, 2440, Margins(12, 12, 12, 12))
ROLL = RollStock("roll", 1370, Margins(12, 12, 12, 12), 3000)


def first(order: NestRequest) -> tuple[Problem, Best]:
    """The problem of what finds room, and its first answer."""
    problem, _ = make_problem(order)
    plan, left, _ = guillotine_fill(problem)
    placed = tuple(d - n for d, n in zip(problem.demands, left, strict=True))
    problem = with_demands(problem, placed)
    return problem, Best(plan, area_bound(problem))


def made(plan: Plan) -> Counter[int]:
    counts: Counter[int] = Counter()
    for pattern, copies in plan.items():
        for slot in pattern.slots:
            counts[slot.piece] += copies
    return counts


def assert_keeps_its_word(stage: Stage, problem: Problem, best: Best) -> Best:
    after = stage.run(problem, best, best.bound.cost)
    assert after.cost(problem) <= best.cost(problem)
    assert after.bound.cost >= best.bound.cost
    assert after.bound.cost <= after.cost(problem)
    assert made(after.plan) == made(best.plan)
    assert after.work >= 0
    return after


@pytest.mark.parametrize("stage", STAGES, ids=lambda stage: stage.name)
@settings(derandomize=True, max_examples=25, deadline=None, database=None)
@given(st.integers(min_value=0, max_value=1_000_000))
def test_a_stage_returns_the_best_it_was_given_or_a_cheaper_one(stage: Stage, seed: int) -> None:
    problem, best = first(any_order(seed, effort=3))
    if best.plan and stage.applies(problem, best):
        assert_keeps_its_word(stage, problem, best)


@pytest.mark.slow
@settings(derandomize=True, max_examples=60, deadline=None, database=None)
@given(st.integers(min_value=0, max_value=1_000_000))
def test_the_whole_is_never_above_a_single_stage(seed: int) -> None:
    order = any_order(seed, effort=3)
    problem, best = first(order)
    if not best.plan:
        return
    found = lay_out(order)
    whole = found.stages[-1].cost_after
    for stage in STAGES:
        if stage.applies(problem, best):
            single = assert_keeps_its_word(stage, problem, best)
            assert whole <= single.cost(problem), stage.name


@pytest.mark.parametrize("cutting", list(Cutting))
@pytest.mark.parametrize("stock", [SHEET, ROLL], ids=["sheet", "roll"])
def test_the_trail_goes_from_the_first_answer_down_to_the_nest(
    stock: SheetStock | RollStock, cutting: Cutting
) -> None:
    sizes = ((900, 95, 9), (640, 95, 14), (310, 70, 21), (450, 44, 16), (1130, 120, 5))
    pieces = tuple(Piece(f"{w}x{h}", w, h, n) for w, h, n in sizes)
    order = NestRequest(pieces, (stock,), 6, cutting)
    found = nest(order)
    assert judge_nest(order, found) == ()
    assert found.stages[0].name == "guillotine fill"
    assert found.stages[0].cost_before is None
    for before, after in zip(found.stages, found.stages[1:], strict=False):
        assert after.cost_before == before.cost_after
        assert after.cost_after <= before.cost_after
    cost = found.length_um if stock is ROLL else found.sheets
    assert found.stages[-1].cost_after == cost
    assert found.stages == nest(order).stages


def test_straight_goals_that_find_nothing_leave_the_order_to_the_next_stage() -> None:
    """The film of an invented list of 30 markers, cut straight from a roll of 54 in."""
    sizes = (
        (393350, 44100, 2),
        (412400, 44100, 2),
        (425100, 44100, 1),
        (653700, 69500, 1),
        (660050, 69500, 1),
        (685450, 69500, 2),
        (698150, 69500, 2),
        (704500, 69500, 2),
        (717200, 69500, 4),
        (774350, 69500, 1),
        (907700, 196500, 1),
        (1377600, 94900, 1),
        (1828450, 120300, 2),
        (1917350, 120300, 1),
        (2126900, 120300, 4),
    )
    pieces = tuple(Piece(f"{w}x{h}", w, h, n) for w, h, n in sizes)
    roll = RollStock("roll", 1_371_600, Margins(*[12_700] * 4), 15_240_000)
    found = nest(NestRequest(pieces, (roll,), 6_350, Cutting.GUILLOTINE))
    runs = {run.name: run for run in found.stages}
    goals, later = runs["straight goals"], runs["ruin and recreate"]
    assert goals.cost_before == goals.cost_after == later.cost_before
    assert later.cost_after < goals.cost_after


def test_more_than_the_usual_effort_is_refused() -> None:
    with pytest.raises(ValueError, match="effort"):
        any_order(1, effort=101)
