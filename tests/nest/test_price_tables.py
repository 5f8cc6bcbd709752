"""Tables of rooms: the ways to fill them agree with each other and with plain recursion."""

from functools import cache

import numpy as np
import pytest

from layouts.nest import Cutting, NestRequest, Piece, SheetStock
from layouts.nest.patterns.kernels import price_table
from layouts.nest.patterns.pricing import Pricer
from layouts.nest.problem import make_problem

_SIZES = [(3, 2), (5, 3), (4, 4), (7, 2)]
_WIDTH, _HEIGHT = 13, 17


def _pricer() -> Pricer:
    pieces = tuple(Piece(f"{w}x{h}", w, h, 3) for w, h in _SIZES)
    stock = SheetStock("s", _WIDTH, _HEIGHT)
    problem, _ = make_problem(NestRequest(pieces, (stock,), 0, Cutting.GUILLOTINE))
    return Pricer(problem, problem.bins[0], 1)


@cache
def _worth(width: int, height: int, prices: tuple[int, ...]) -> int:
    """By plain recursion over every cut."""
    best = 0
    for (w, h), price in zip(_SIZES, prices, strict=True):
        if (w <= width and h <= height) or (h <= width and w <= height):
            best = max(best, price)
    for at in range(1, width // 2 + 1):
        best = max(best, _worth(at, height, prices) + _worth(width - at, height, prices))
    for at in range(1, height // 2 + 1):
        best = max(best, _worth(width, at, prices) + _worth(width, height - at, prices))
    return best


@pytest.mark.parametrize("prices", [(6, 15, 16, 14), (7, 11, 19, 20), (1, 30, 2, 3)])
def test_a_table_is_worth_what_plain_recursion_finds(prices: tuple[int, ...]) -> None:
    pricer = _pricer()
    assert pricer.worth(np.array(prices)) == _worth(_WIDTH, _HEIGHT, prices)
    single, _ = pricer._single(np.array(prices))
    cuts = pricer.grid.cuts
    assert cuts.dense
    assert (price_table(single, cuts) == price_table(single, cuts._replace(dense=False))).all()


def test_a_demand_table_keeps_to_what_is_left_in_either_width_of_numbers() -> None:
    pricer = _pricer()
    values, left = np.array([6, 15, 16, 14]), np.array([2, 1, 3, 0])
    narrow = pricer.bounded_column(values, left)
    wide = pricer.bounded_column(values << 40, left)
    assert narrow is not None
    assert wide is not None
    assert (narrow.counts <= left).all()
    assert (narrow.counts == wide.counts).all()
    # All that is left takes 75 of the sheet's 221: nothing may be missing.
    assert (narrow.counts == left).all()
