"""The proven minimum over several stocks: in cost, and in sheets of any mix."""

from __future__ import annotations

from dataclasses import replace

import pytest

from layouts.nest import (
    Cutting,
    NestRequest,
    Piece,
    RollStock,
    SheetStock,
    judge_nest,
    nest,
)
from tests.nest.orders import any_order

SMALL, LARGE = SheetStock("small", 10, 10, cost=2), SheetStock("large", 20, 20, cost=9)
TENS = Piece("tens", 10, 10, 10)


def order(*stocks: SheetStock) -> NestRequest:
    return NestRequest((TENS,), stocks, 0, Cutting.FREE)


def test_the_count_holds_for_the_mix_of_fewest_sheets() -> None:
    """By hand: ten pieces, four on a large sheet, one on a small: three sheets, or ten cheap."""
    found = nest(order(SMALL, LARGE))
    assert found.sheets == 10
    assert (found.bound.cost, found.bound.sheets) == (20, 3)
    even = nest(order(replace(SMALL, cost=1), replace(LARGE, cost=1)))
    assert even.sheets == even.bound.sheets == even.bound.cost == 3


def test_stock_in_limited_number_counts_no_oftener() -> None:
    """By hand: one large sheet takes four, six small ones the rest."""
    request = order(replace(SMALL, cost=1), replace(LARGE, cost=1, limit=1))
    found = nest(request)
    assert judge_nest(request, found) == ()
    assert found.sheets == found.bound.sheets == 7


@pytest.mark.parametrize("seed", range(14))
def test_no_mix_beats_the_count(seed: int) -> None:
    """A nest at other costs is another mix; none takes fewer than the first one's bound says."""
    request = any_order(7000 + seed, effort=2)
    found = nest(request)
    assert judge_nest(request, found) == ()
    for cost in (1, 5):
        stocks = (*(replace(stock, cost=cost) for stock in request.stocks[:1]), *request.stocks[1:])
        other = nest(replace(request, stocks=stocks))
        if other.unplaced == found.unplaced:
            assert other.sheets >= found.bound.sheets
            assert other.length_um >= found.bound.length_um


def test_the_judge_sees_a_count_or_a_length_too_high() -> None:
    request = order(SMALL, LARGE)
    found = nest(request)
    forged = replace(found, bound=replace(found.bound, sheets=4))
    assert judge_nest(request, forged) == ("bound of sheets 4 is not proven: its prices give 3",)
    roll = NestRequest((TENS,), (RollStock("r", 20, SMALL.margins, 100),), 0, Cutting.FREE)
    rolled = nest(roll)
    forged = replace(rolled, bound=replace(rolled.bound, length_um=51))
    assert judge_nest(roll, forged) == ("bound of length 51 is not proven: its prices give 50",)
