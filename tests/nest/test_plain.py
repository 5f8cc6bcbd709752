"""The plain search: contour cutters get near the bound without a compiler or a solver."""

import random

import pytest

from layouts.nest import Cutting, Margins, NestRequest, RollStock, judge_nest, nest
from layouts.nest.bounds import row_bound
from layouts.nest.patterns.bars import bar_bound
from layouts.nest.problem import make_problem
from layouts.nest.skyline import DeadWidths
from tests.nest.loading import compiler_and_solver_loaded
from tests.nest.orders import berkey_wang, request


def _strips(seed: int) -> NestRequest:
    """Long strips on a wide roll, as pipe markers are; sizes our own."""
    chance = random.Random(seed)
    sizes = [(chance.randint(250, 1200), chance.choice((30, 44, 70, 95)), 24) for _ in range(12)]
    roll = RollStock("r", 1372, Margins(13, 13, 13, 13), 3048)
    return request(sizes, roll, gap=2, cutting=Cutting.FREE)


@pytest.mark.parametrize("seed", range(3))
def test_strips_on_a_roll_come_near_the_bound(seed: int) -> None:
    # Within 1.04 of the proven length: our own limit.
    order = _strips(seed)
    found = nest(order)
    assert judge_nest(order, found) == ()
    assert found.length_um * 100 <= found.bound.length_um * 104


def test_contour_cutting_loads_no_compiler_and_no_solver() -> None:
    assert compiler_and_solver_loaded("tests.nest.test_plain", "made._strips(0)") == []


def test_rows_prove_no_more_than_the_linear_program() -> None:
    # The bar LP (Scheithauer 1999) is the best bound from rows; dual feasible functions are less.
    for kind in range(1, 7):
        problem, _ = make_problem(berkey_wang(kind, 30, kind))
        rows = row_bound(problem)
        assert rows is not None
        assert 1 <= rows.cost <= bar_bound(problem).cost


def test_dead_widths_by_hand() -> None:
    # Rows of 3 and 5 in 12 reach 3 5 6 8 9 10 11 12 (and not 1 2 4 7).
    dead = DeadWidths([3, 5], 12)
    assert dead.cell == 1
    assert [dead[cells] for cells in range(13)] == [0, 1, 2, 0, 1, 0, 0, 1, 0, 0, 0, 0, 0]
