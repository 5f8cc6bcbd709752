"""The bound from two scales: by hand, against rows, against known optima, and when forged."""

from dataclasses import replace

import pytest

from layouts.nest import Bound, Cutting, Turn, judge, nest
from layouts.nest.bounds import area_bound
from layouts.nest.job import make_job
from layouts.nest.rows import row_bound
from layouts.nest.scales import scale_bound
from layouts.nest.verdict import recompute
from tests.nest.orders import berkey_wang, request, sheet, zero_waste

FAR = 10**9


def _bound(sizes: list[tuple[int, int, int]], side: int, turn: Turn) -> Bound | None:
    order = request(sizes, sheet(side, side), cutting=Cutting.FREE, turn=turn)
    return scale_bound(make_job(order)[0], FAR)


def test_more_than_half_both_ways_by_hand() -> None:
    # No two of 6 x 6 share 10 x 10, though the area alone (108 of 100) asks for two sheets.
    bound = _bound([(6, 6, 3)], 10, Turn.FREE)
    assert bound is not None
    assert bound.cost == 3


def test_half_across_and_a_third_along_by_hand() -> None:
    # 6 x 4 lies alone across 10 and twice along: five need three sheets. By area 1.2, and rows of
    # either direction give no more than 2.
    sizes = [(6, 4, 5)]
    bound = _bound(sizes, 10, Turn.LOCKED)
    assert bound is not None
    assert bound.cost == 3
    job, _ = make_job(request(sizes, sheet(10, 10), cutting=Cutting.FREE, turn=Turn.LOCKED))
    rows = row_bound(job)
    assert rows is not None
    assert rows.cost == 2


def test_turning_counts_the_lesser_way() -> None:
    # Upright, 6 x 10 stand alone; turned or not, ten of 6 x 5 take five sheets locked, and a
    # turned one still is more than half one way: 5 x 6 lies twice side by side.
    locked, free = _bound([(6, 5, 10)], 10, Turn.LOCKED), _bound([(6, 5, 10)], 10, Turn.FREE)
    assert locked is not None
    assert free is not None
    assert (locked.cost, free.cost) == (5, 5)


def test_gap_and_margins_are_counted() -> None:
    # 5 + gap 1 + 5 needs 11; in a room of 10 each of the three stands alone in both directions.
    order = request([(5, 5, 3)], sheet(10, 10), gap=1, cutting=Cutting.FREE)
    bound = scale_bound(make_job(order)[0], FAR)
    assert bound is not None
    assert bound.cost == 3


@pytest.mark.parametrize("kind", range(1, 7))
def test_never_less_than_area_or_rows_and_proven_by_the_judge(kind: int) -> None:
    for seed in range(3):
        order = berkey_wang(kind, 30, 10 * kind + seed)
        job, _ = make_job(order)
        bound, rows = scale_bound(job, FAR), row_bound(job)
        assert bound is not None
        assert rows is not None
        assert bound.cost >= max(rows.cost, area_bound(job).cost)
        found = nest(replace(order, effort=1))
        assert bound.cost <= recompute(order, found, bound).cost <= found.sheets


@pytest.mark.parametrize("seed", range(6))
def test_no_more_than_the_known_optimum(seed: int) -> None:
    bound = scale_bound(make_job(zero_waste(seed, 4))[0], FAR)
    assert bound is not None
    assert bound.cost == 4


def test_a_target_ends_it_early() -> None:
    bound = scale_bound(make_job(request([(6, 6, 3)], sheet(10, 10)))[0], 1)
    assert bound is not None
    assert 1 <= bound.cost <= 3


def test_forged_scales_prove_nothing() -> None:
    order = request([(6, 6, 3), (4, 3, 4)], sheet(10, 10), cutting=Cutting.FREE)
    found = nest(order)
    assert found.bound.kind == "scales"
    assert judge(order, found) == ()
    larger = tuple(9 * price for price in found.bound.duals)
    below = (*found.bound.duals[:4], *(-(10**6) for _ in range(4)))
    for duals in (larger, below):
        forged = replace(found.bound, duals=duals, cost=found.bound.cost + 1)
        assert any("not proven" in fault for fault in judge(order, replace(found, bound=forged)))


def test_discs_may_nest_and_have_no_scales() -> None:
    order = request([(6, 6, 3)], sheet(10, 10), cutting=Cutting.FREE)
    found = nest(order)
    discs = replace(order, pieces=tuple(replace(p, round=True) for p in order.pieces))
    assert any("discs" in fault for fault in judge(discs, found))
