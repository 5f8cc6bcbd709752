"""Column generation: the LP over all guillotine patterns, and the bound that it proves.

The restricted master problem covers each item's demand with patterns; its dual prices go to the
pricing problem, which returns patterns worth more than they cost. Sources: Gilmore and Gomory, "A
linear programming approach to the cutting-stock problem", 1961 (doi:10.1287/opre.9.6.849); Farley,
"A note on bounding a class of linear programming problems, including cutting stock problems", 1990
(the bound); Wentges, "Weighted Dantzig-Wolfe decomposition for linear mixed-integer programming",
1997 (the smoothing).
"""

from collections.abc import Sequence
from fractions import Fraction

import numpy as np

from layouts.nest.bounds import up
from layouts.nest.covering_program import Master
from layouts.nest.patterns.grid import Floats, Ints
from layouts.nest.patterns.pricing import SCALE, Column, Pricer
from layouts.nest.problem import Problem

_SMOOTH = 0.8
"""Share of the best prices so far in the prices tried next (Wentges smoothing)."""
_SIDEWAYS = 3
"""Arrangements sought besides, each with less worth for what the round has used already."""
_FADE = 0.25
"""How much of its worth an item loses by that, when a sheet holds its fair share of it."""
_SHEETS = 8
"""A sheet's fair share of a piece is this many times its mean number on a sheet."""
_USUAL = 50
"""From this effort on the LP is solved so far that a start from prices by area pays."""
_NEAR = 3
"""The LP is good enough when it could gain less than this part of the slack to whole sheets."""


class ColumnPool:
    """The columns found so far, with their LP."""

    def __init__(self, problem: Problem, pricers: Sequence[Pricer]) -> None:
        """Start with single pieces, which keep the LP solvable, and full sheets of one piece."""
        self.problem = problem
        self.pricers = pricers
        self.columns: list[Column | None] = []
        self.demands = np.array(problem.demands, dtype=np.int64)
        # A roll's limit counts frames, which come later.
        self.limits = [None if bin_.roll else bin_.limit for bin_ in problem.bins]
        self.top_cost = pricers[0].top_cost
        self.master = Master(self.demands, self.limits)
        self._seen: set[tuple[int, bytes]] = set()
        self.best_duals: Ints | None = None
        self.best_share = Fraction(0)
        self.cost = 1.0
        """The LP's cost at its latest solution."""
        for i in range(len(self.demands)):
            counts = np.zeros(len(self.demands), dtype=np.int64)
            counts[i] = 1
            self.columns.append(None)
            self.master.add(2.0, counts, None)
        self._start()

    def _start(self) -> None:
        for pricer in self.pricers:
            self.add(pricer.uniform_columns())

    def add(self, columns: Sequence[Column]) -> int:
        """Add the columns not known yet; returns how many there were."""
        new = 0
        for column in columns:
            key = (column.bin, column.counts.tobytes())
            if key in self._seen:
                continue
            self._seen.add(key)
            self.columns.append(column)
            self.master.add(column.cost / SCALE, column.counts, column.bin)
            new += 1
        return new

    def solve(self) -> tuple[float, Floats, Floats, Floats]:
        """The LP over the columns so far."""
        solution = self.master.solve()
        self.cost = solution[0]
        return solution

    def generate(self, rounds: int, gap: float) -> tuple[float, Floats]:
        """Grow the pool until the LP over all arrangements is solved; its cost and solution.

        A proven `gap` relative to the cost is good enough.
        """
        center: Floats | None = None
        if not self.problem.is_roll and self.problem.effort >= _USUAL:
            center = self._by_area()
            self._price(center, np.zeros(len(self.limits)))
        for _ in range(rounds):
            cost, amounts, prices, limit_prices = self.solve()
            if self._good_enough(cost, gap):
                break
            tried = prices if center is None else _SMOOTH * center + (1 - _SMOOTH) * prices
            added, share = self._price(tried, limit_prices)
            if share >= self.best_share:
                center = tried
            if added == 0 and center is not None:
                center = None
                added, _ = self._price(prices, limit_prices)
            if added == 0:
                break
        cost, amounts, _, _ = self.solve()
        return cost, amounts

    def _by_area(self) -> Floats:
        """Prices that no arrangement can exceed: the area of the stock that is cheapest for it.

        They prove nearly all of the bound at once, so that the rounds keep near them.
        """
        rate = min(
            pricer.cost_of(pricer.bin.height) / (pricer.bin.width * pricer.bin.height)
            for pricer in self.pricers
        )
        return np.array(self.problem.areas) * rate / SCALE

    def _good_enough(self, cost: float, gap: float) -> bool:
        """Whether the bound is near, or further rounds can neither raise it nor help the sheets."""
        open_gap = cost - float(self.best_share)
        if self.problem.is_roll or open_gap < gap * cost:
            return open_gap < gap * cost
        proven = float(up(self.best_share * self.top_cost)) / self.top_cost
        return _NEAR * open_gap < proven - cost

    def _price(self, prices: Floats, limit_prices: Floats) -> tuple[int, Fraction]:
        # What nobody wants must not carry a price, or the bound would have to count it.
        values = np.where(self.demands > 0, np.floor(prices * SCALE), 0).astype(np.int64)
        added = 0
        worst = Fraction(0)
        for pricer in self.pricers:
            stock_price = -int(limit_prices[pricer.bin.index] * SCALE)
            most, columns = pricer.columns(values, stock_price)
            worst = max(worst, most)
            added += self.add(columns)
            if columns and not self.problem.is_roll:
                added += self.add(self._sideways(pricer, values, stock_price, columns))
        share = Fraction(0)
        if worst:
            share = Fraction(int(values @ self.demands)) / worst / SCALE
        if share > self.best_share:
            self.best_share = share
            self.best_duals = values
        return added, share

    def _sideways(
        self, pricer: Pricer, values: Ints, stock_price: int, columns: Sequence[Column]
    ) -> list[Column]:
        """More profitable arrangements, of pieces that this round has not used yet."""
        fair = np.maximum(self.demands / self.cost, 1e-9)
        found: list[Column] = []
        faded = values.astype(np.float64)
        latest = columns
        for _ in range(_SIDEWAYS):
            for column in latest:
                faded *= 1 - _FADE * np.minimum(1, column.counts / (_SHEETS * fair))
            best = pricer.best_column(faded.astype(np.int64))
            if int(values @ best.counts) > best.cost + stock_price:
                found.append(best)
            latest = [best]
        return found
