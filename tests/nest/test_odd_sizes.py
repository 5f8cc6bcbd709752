"""Sizes without a common measure: markers in few heights and many lengths, in whole micrometers."""

from __future__ import annotations

import random

import pytest

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
from layouts.nest.patterns.grid import make_grid
from layouts.nest.problem import make_problem, orientations_in
from tests.nest.loading import compiler_and_solver_loaded

HEIGHTS_UM = (44_100, 69_500, 94_900, 120_300)
EDGE_UM = 12_700
SHEET = SheetStock("sheet", 1_219_200, 2_438_400, Margins(*[EDGE_UM] * 4))
ROLL = RollStock("roll", 1_371_600, Margins(*[EDGE_UM] * 4), frame_um=15_240_000)


def an_order(
    seed: int,
    stock: SheetStock | RollStock,
    parts: int = 1200,
    cutting: Cutting = Cutting.GUILLOTINE,
) -> NestRequest:
    """Invented markers: lengths in quarter inches and a border, as legends ask for them."""
    chance = random.Random(seed)
    pieces = [
        Piece(
            str(n), 6_350 * chance.randint(60, 340) + 6_000, chance.choice(HEIGHTS_UM), parts // 20
        )
        for n in range(20)
    ]
    return NestRequest(tuple(pieces), (stock,), 2_000, cutting, effort=10)


@pytest.mark.parametrize("stock", [SHEET, ROLL], ids=["sheet", "roll"])
@pytest.mark.parametrize("seed", range(2))
def test_straight_cuts_lose_little_to_sizes_that_no_table_holds(
    seed: int, stock: SheetStock | RollStock
) -> None:
    request = an_order(seed, stock)
    found = nest(request)
    assert not judge_nest(request, found)
    assert not found.unplaced
    # Filling row by row alone loses about a sixth of such a roll.
    over = found.length_um / found.bound.length_um if stock is ROLL else None
    assert over is None or over < 1.06
    assert stock is ROLL or found.sheets <= found.bound.sheets * 1.08 + 1


def test_contours_on_rolls_load_no_compiler_for_any_number_of_parts() -> None:
    order = "made.an_order(0, made.ROLL, 6000, made.Cutting.FREE)"
    assert compiler_and_solver_loaded("tests.nest.test_odd_sizes", order) == ["highspy"]


@pytest.mark.parametrize("seed", range(20))
def test_a_table_of_rounded_sizes_takes_every_piece_and_none_is_made_smaller(seed: int) -> None:
    problem, _ = make_problem(an_order(seed, SHEET))
    bin_ = problem.bins[0]
    grid = make_grid(problem, bin_, range(len(problem.demands)))
    assert not grid.exact
    assert {way.piece for way in grid.orientations} == {
        i for i in range(len(problem.demands)) if orientations_in(problem, bin_, i)
    }
    for way in grid.orientations:
        sides = problem.widths[way.piece], problem.heights[way.piece]
        width, height = sides[::-1] if way.turned else sides
        assert 0 <= way.width * grid.unit_x - width < grid.unit_x
        assert 0 <= way.height * grid.unit_y - height < grid.unit_y
