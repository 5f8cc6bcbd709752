"""The pattern LP's integer parts by diving, then the last bins by the residual search.

Whole parts of the solution are fixed and the rest is solved again; thousands of equal bins are
settled here, so that quantity costs nothing. Costs are price units (`pricing.SCALE`).
"""

from math import ceil

import numpy as np

from layouts.nest.bounds import bound_from
from layouts.nest.model import Bound
from layouts.nest.patterns.grid import Floats, Ints
from layouts.nest.patterns.master import ColumnPool
from layouts.nest.patterns.pricing import SCALE, Column, Pricer
from layouts.nest.patterns.residual import Filled, ResidualSearch
from layouts.nest.problem import Plan, Problem

_FILL_WORK = 6_000_000
"""Table sums that one unit of effort buys in the search over the last sheets."""
_FILL_BASE = 150_000
"""What a fill costs besides its table, in the same sums."""
FULL_PARTS = 2000
"""From about this number of parts on the whole work is spent: small orders gain less film."""
_GIVEN_BACK = 40
"""Kinds of sheets of which one joins a last search when the last sheets miss the target."""
_PASSES = 3
"""Passes with corrected values over the last sheets."""
_DIVE_SHARES = (0.3, 0.1)
"""How much of the way from the LP's cost to the target each dive may use up."""
_DIVE_LOSS = 0.0002
"""The part of its length that a roll may lose in a dive where the target leaves nothing."""
_ROUGH, _FINE_ROLL, _FINE = 0.005, 0.0002, 0.000_002
"""How near the LP's cost comes to its bound: with little effort, on rolls, on sheets."""
_ROUNDS = 1000
"""Most rounds of pricing; a stop that is never reached in practice."""

Fixed = tuple[Column, int]
"""A sheet of the answer and how often it is made."""


class PatternSearch:
    """The pattern LP of one problem, and the sheets made from it."""

    def __init__(self, problem: Problem) -> None:
        """Build the bins' tables, solve the LP."""
        self.problem = problem
        top = max(bin_.cost * (bin_.height if bin_.roll else 1) for bin_ in problem.bins)
        self.pricers = [Pricer(problem, bin_, top) for bin_ in problem.bins]
        self.pool = ColumnPool(problem, self.pricers)
        gap = _ROUGH if problem.effort < 50 else _FINE_ROLL if problem.is_roll else _FINE
        _, self.amounts = self.pool.generate(_ROUNDS, gap)
        self.top_cost = top
        self.small_roll = problem.is_roll and sum(problem.demands) <= FULL_PARTS

    @property
    def work(self) -> int:
        """Tables filled so far."""
        return sum(pricer.tables for pricer in self.pricers)

    def bound(self) -> Bound | None:
        """The bound that the LP's prices prove, on a table that is exact or rounds sizes down."""
        values = self.pool.best_duals
        if values is None:
            return None
        lower = [
            p if p.grid.exact else Pricer(self.problem, p.bin, p.top_cost, for_bound=True)
            for p in self.pricers
        ]
        rounded = {p.grid.unit_x for p in lower if not p.grid.exact}
        if len(rounded) > 1:
            return None
        unit = max(p.grid.unit_x for p in lower)
        worths = [p.worth(values) for p in lower]
        total = int(values @ self.pool.demands)
        prices = tuple(values.tolist())
        return bound_from(self.problem, "guillotine", total, worths, prices, SCALE, unit)

    def plan(self, target: int) -> Plan | None:
        """Sheets for all pieces; the search ends when the target cost is met.

        A later attempt dives less far, in an LP that knows the last sheets of the one before.
        """
        residual = ResidualSearch(self.problem, self.pricers, self.problem.seed)
        costliest = max(p.grid.cost for p in self.pricers)
        parts = min(FULL_PARTS, FULL_PARTS // 10 + sum(self.problem.demands))
        work = self.problem.effort * _FILL_WORK * parts // FULL_PARTS // (costliest + _FILL_BASE)
        goal = target * SCALE // self.pool.top_cost
        best: tuple[int, list[Fixed]] | None = None
        roll = self.small_roll
        for share in _DIVE_SHARES[:1] if roll else _DIVE_SHARES:
            taken = self._attempt(goal, share, residual, work // 2 if roll else work // 4)
            if taken is None:
                break
            cost = sum(column.cost * times for column, times in taken)
            if best is None or cost < best[0]:
                best = (cost, taken)
            if best[0] <= goal or residual.fills > work:
                break
        if best is None:
            return None
        until = residual.fills + work // 2 if roll else work
        if best[0] > goal and residual.fills < until:
            return self._draw_plan(self._give_back(goal, best[1], residual, until))
        return self._draw_plan(best[1])

    def _give_back(
        self, goal: int, taken: list[Fixed], residual: ResidualSearch, work: int
    ) -> list[Fixed]:
        """Regroup the single sheets with one each of the commonest."""
        values = self.pool.best_duals
        assert values is not None
        order = sorted(range(len(taken)), key=lambda n: (-taken[n][1], n))
        common = set(order[:_GIVEN_BACK])
        kept: list[Fixed] = []
        given: Filled = []
        for n, (column, times) in enumerate(taken):
            back = times if times == 1 else int(n in common)
            given += [column] * back
            if times > back:
                kept.append((column, times - back))
        limits = list(self.pool.limits)
        for column, times in kept:
            limit = limits[column.bin]
            if limit is not None:
                limits[column.bin] = limit - times
        goal -= sum(column.cost * times for column, times in kept)
        filled = residual.regroup(given, values, limits, work, goal)
        return [*kept, *((column, 1) for column in filled)]

    def _attempt(
        self, goal: int, share: float, residual: ResidualSearch, work: int
    ) -> list[Fixed] | None:
        """A dive, then its last sheets; `work` counts fills."""
        pool = self.pool
        values = pool.best_duals
        assert values is not None
        rest, limits, fixed = self._dive(goal, share)
        goal -= sum(c.cost * n for c, n in fixed)
        filled: Filled | None = []
        if rest.any():
            until = residual.fills + work
            passes = _PASSES if self.problem.effort >= 50 else 1
            # A small roll's few long sections need every pass, and their whole search after it.
            most = until + (_ROUNDS if self.small_roll else 0)
            filled = residual.correct(values, rest, limits, passes, most, goal)
            if filled is not None:
                if self.small_roll:
                    until = residual.fills + work
                filled = residual.regroup(filled, values, limits, until, goal)
        if filled is None:
            return None
        pool.add(filled)
        return [*fixed, *((column, 1) for column in filled)]

    def _dive(self, goal: int, share: float) -> tuple[Ints, list[int | None], list[Fixed]]:
        """Fix whole parts of the LP's solution and, when nothing is whole, its best column once.

        Each time the rest is solved again; where that costs more than the target allows, the
        dive ends a few steps before.
        """
        pool = self.pool
        rest = pool.demands.copy()
        limits = list(pool.limits)
        fixed: list[Fixed] = []
        pool.master.demand(rest, limits)
        cost, amounts, prices, _ = pool.solve()
        least = cost * (1 + _DIVE_LOSS)
        if not self.problem.is_roll:
            least = ceil(cost * pool.top_cost - 1e-6) / pool.top_cost
        room = max(goal / SCALE, least)
        most = cost + share * (room - cost) + 1e-7 * cost
        kept = 0
        while rest.any():
            before = len(fixed)
            self._take_whole(amounts, rest, limits, fixed)
            if len(fixed) == before:
                column = self._likeliest(amounts, prices, rest)
                if column is None:
                    break
                self._take(column, 1, rest, limits, fixed)
            pool.master.demand(rest, limits)
            cost, amounts, prices, _ = pool.solve()
            spent = sum(c.cost * n for c, n in fixed) / SCALE
            if spent + cost > most:
                break
            kept = len(fixed)
        for column, times in fixed[kept:]:
            rest += times * column.counts
            limit = limits[column.bin]
            if limit is not None:
                limits[column.bin] = limit + times
        del fixed[kept:]
        return rest, limits, fixed

    def _likeliest(self, amounts: Floats, prices: Floats, rest: Ints) -> Column | None:
        """The column of the solution that loses least by what is left, of equal ones the most."""
        best: tuple[tuple[float, float], Column] | None = None
        for n in np.flatnonzero(amounts > 1e-6).tolist():
            column = self.pool.columns[n]
            if column is None:
                continue
            worth = float(prices @ np.minimum(column.counts, rest)) * SCALE / column.cost
            key = (round(worth, 2), float(amounts[n]))
            if best is None or key > best[0]:
                best = (key, column)
        return None if best is None else best[1]

    def _take_whole(
        self,
        amounts: Floats,
        rest: Ints,
        limits: list[int | None],
        fixed: list[Fixed],
    ) -> None:
        for n in np.argsort(-amounts, kind="stable").tolist():
            times = int(amounts[n] + 1e-6)
            if times < 1:
                break
            column = self.pool.columns[n]
            if column is None:
                continue
            self._take(column, times, rest, limits, fixed)

    def _take(
        self,
        column: Column,
        times: int,
        rest: Ints,
        limits: list[int | None],
        fixed: list[Fixed],
    ) -> None:
        """Fix a column a number of times; whatever exceeds the remaining demand is dropped."""
        while times:
            column = self.pricers[column.bin].trimmed(column, rest)
            used = column.counts > 0
            if not used.any():
                return
            now = min(times, int((rest[used] // column.counts[used]).min()))
            limit = limits[column.bin]
            if limit is not None:
                now = min(now, limit)
                limits[column.bin] = limit - now
            if now < 1:
                return
            rest -= now * column.counts
            fixed.append((column, now))
            times -= now

    def _draw_plan(self, taken: list[Fixed]) -> Plan:
        plan: Plan = {}
        for column, times in taken:
            if not times:
                continue
            pattern = self.pricers[column.bin].pattern(column)
            plan[pattern] = plan.get(pattern, 0) + times
        return plan
