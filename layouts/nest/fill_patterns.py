"""Patterns for many items of a contour cutter: a linear program, its patterns found by fills.

The covering program is that of column generation, but bins filled along the skyline, items worth
what they cost in it, are its new columns. Whole parts of the solution are fixed and the rest is
solved again, so that quantity costs nothing and few patterns differ; the last bins, and those made
once, go through ruin and recreate together. A pattern costs a little more the smaller the lots of
its items are, so that what cannot be printed alike comes together. It needs the solver, which loads
in milliseconds, and no compiler; it proves nothing. Source: Gilmore and Gomory, "A linear
programming approach to the cutting-stock problem", 1961 (doi:10.1287/opre.9.6.849); that fills find
the columns is our own.
"""

from dataclasses import dataclass

import numpy as np

from layouts.nest.covering_program import Master
from layouts.nest.patterns.grid import Floats, Ints
from layouts.nest.problem import Best, Plan, Problem
from layouts.nest.recreate import FilledBin, FilledBins, RuinAndRecreate, cost_of_bins

_FILLS, _MORE_FILLS = 12, 20
"""Fills of each stock between two solutions; more where sizes are few or items many, since what
they find there is used often."""
_MANY = 2000
"""More items than this are many."""
_FRAME = 0.01
"""What a frame costs there besides its length, as a part of a whole one, so that few are short."""
_DROPPED = 0.7
"""A third of the fills goes without this part of the items, so that patterns differ more."""
_SMALL = 4
"""A third goes without the items whose lots are smaller on average."""
_PAGE = 0.01
"""What a different printed sheet costs, as a part of a sheet: only like costs are weighed by it."""
_WORK = 1.6
"""The work, as a multiple of what ruin and recreate has for as many items."""
_ROUNDS, _LATER = 40, 6
"""Solutions at most, of the whole and of each rest."""
_PATIENCE = 20
"""After this many solutions without a gain no more are sought."""
_GAIN = 1e-5
"""A gain below this part of the cost is none; so much must a pattern be worth above its own."""
_LP_SHARE = 2
"""The linear program may take this part of the work."""
_LAST, _LAST_OF_FEW_SIZES = 20, 10
"""So many bins or fewer are left to ruin and recreate."""
_LAST_FILLS = 6
"""Fills tried for each of them first."""
_NEARLY = 0.7
"""A part of a bin from which on it is fixed as a whole one, when nothing is whole."""
_FLOOR = 0.02
"""An item is worth this part of the mean at the least, so that fills use what costs nothing."""


def patterns_by_fills(problem: Problem, best: Best, target: int) -> Best:
    """Bins by the linear program over fills, where they cost less than the best so far."""
    search = FillPatterns(problem)
    plan = search.plan(best.plan, target)
    return best.improved(problem, plan, search.whole - search.fills.work)


@dataclass(frozen=True, slots=True)
class Solution:
    """The linear program solved: its cost in bins, the columns in it and how much of each."""

    cost: float
    columns: list[int]
    amounts: Floats


class FillPatterns:
    """The patterns found so far, and plans made of them."""

    def __init__(self, problem: Problem) -> None:
        """The work, probes at orientations, is that of ruin and recreate."""
        self.problem = problem
        self.fills = RuinAndRecreate(problem)
        self.fills.work = int(self.fills.work * _WORK)
        self.whole = self.fills.work
        self.areas = np.array(problem.areas, dtype=np.float64)
        self.top_cost = max(
            bin_.cost * (bin_.height + bin_.overhead if bin_.roll else 1) for bin_ in problem.bins
        )
        self._limits: list[int | None] = [None] * len(problem.bins)
        self.found: list[tuple[FilledBin, Ints]] = []
        self._seen: set[tuple[int, int, frozenset[tuple[int, int]]]] = set()
        self._lots = [d / n for d, n in zip(problem.demands, problem.lots, strict=True)]
        often = problem.few_sizes or problem.items > _MANY
        self._fills = _MORE_FILLS if often else _FILLS
        self._frame = _FRAME if often and problem.is_roll else 0.0
        self._until = self.whole - self.whole // _LP_SHARE

    def plan(self, first: Plan, target: int) -> Plan:
        """Bins for all items; the search ends at the target cost."""
        for pattern in first:
            self._keep(self.fills.filled_bin(pattern))
        rest = np.array(self.problem.demands, dtype=np.int64)
        fixed: list[tuple[FilledBin, int]] = []
        solved = self._solve(rest, _ROUNDS)
        if not self.problem.is_roll:
            # No rounding of these patterns makes do with less, and others would have been found.
            target = max(target, int(np.ceil(solved.cost * self.top_cost - 1e-6)))
        last = _LAST_OF_FEW_SIZES if self.problem.few_sizes else _LAST
        nearly = 1.0
        while solved.cost > last and self._take(solved, rest, fixed, nearly):
            if not rest.any():
                break
            solved, nearly = self._solve(rest, _LATER), _NEARLY
        return self._finish(rest, fixed, target)

    def _keep(self, filled: FilledBin) -> int | None:
        """The number of a new column; None where it is known."""
        key = filled.bin, filled.cost, frozenset(filled.counts.items())
        if key in self._seen:
            return None
        self._seen.add(key)
        counts = np.zeros(len(self.areas), dtype=np.int64)
        for i, n in filled.counts.items():
            counts[i] = n
        self.found.append((filled, counts))
        return len(self.found) - 1

    def _solve(self, rest: Ints, rounds: int) -> Solution:
        """The program over the columns that the rest has items for, and new ones by its prices."""
        master = Master(rest, self._limits)
        columns: list[int] = []

        def add(n: int | None) -> None:
            if n is not None:
                filled, counts = self.found[n]
                columns.append(n)
                master.add(self._price_of(filled), counts, None)

        for n, (_, counts) in enumerate(self.found):
            if (counts <= rest).all():
                add(n)
        # These cover the rest, so that the program has a solution.
        for filled in self.fills.fill_bins(rest.tolist(), self._limits, 2) or ():
            add(self._keep(filled))
        cost, amounts, prices, _ = master.solve()
        idle = 0
        for _ in range(rounds):
            if idle == _PATIENCE or self.fills.work < self._until:
                break
            before, known = cost, len(columns)
            for filled in self._fill_by(prices, rest):
                add(self._keep(filled))
            if len(columns) > known:
                cost, amounts, prices, _ = master.solve()
            idle = 0 if before - cost > _GAIN * cost else idle + 1
        return Solution(cost, columns, amounts)

    def _price_of(self, filled: FilledBin) -> float:
        """The cost in bins, with those of a page for as many as a lot lasts and of a frame."""
        lot = min([self._lots[i] for i in filled.counts])
        return filled.cost / self.top_cost * (1 + _PAGE / lot) + self._frame

    def _fill_by(self, prices: Floats, rest: Ints) -> FilledBins:
        """Bins whose items cost more in the program than the bin does."""
        worths = prices / self.areas
        mean = float(worths[rest > 0].mean())
        self.fills.worths = [max(_FLOOR, worth / mean) for worth in worths.tolist()]
        left, each = rest.tolist(), prices.tolist()
        paying: FilledBins = []
        for n in range(self._fills):
            for bin_ in self.problem.bins:
                filled = self.fills.fill_bin(bin_, self._offer(left, n % 3))
                if filled is None:
                    continue
                worth = sum([n * each[i] for i, n in filled.counts.items()])
                if worth > self._price_of(filled) * (1 + _GAIN):
                    paying.append(filled)
        return paying

    def _offer(self, left: list[int], way: int) -> list[int]:
        """Items for a fill: all that are left, those in large lots, or some of them by chance."""
        if way == 1 and any(n for n, lot in zip(left, self._lots, strict=True) if lot >= _SMALL):
            return [n if lot >= _SMALL else 0 for n, lot in zip(left, self._lots, strict=True)]
        if way == 2:
            random = self.fills.random.random
            return [n if n and random() > _DROPPED else 0 for n in left]
        return left.copy()

    def _take(
        self, solved: Solution, rest: Ints, fixed: list[tuple[FilledBin, int]], nearly: float
    ) -> bool:
        """Fix the whole bins, or the nearly whole, else the most of one; whether any could be."""
        before = len(fixed)
        order = np.argsort(-solved.amounts, kind="stable").tolist()
        for n in order:
            times = int(solved.amounts[n] + 1 - nearly + 1e-6)
            if times < 1:
                break
            self._fix(solved.columns[n], times, rest, fixed)
        if len(fixed) == before and order:
            self._fix(solved.columns[order[0]], 1, rest, fixed)
        return len(fixed) > before

    def _fix(self, n: int, times: int, rest: Ints, fixed: list[tuple[FilledBin, int]]) -> None:
        filled, counts = self.found[n]
        used = counts > 0
        times = min(times, int((rest[used] // counts[used]).min()))
        if times:
            rest -= times * counts
            fixed.append((filled, times))

    def _finish(self, rest: Ints, fixed: list[tuple[FilledBin, int]], target: int) -> Plan:
        """The rest and the bins made once by ruin and recreate, beside those that repeat."""
        self.fills.worths = [1.0] * len(self.areas)
        filled = self.fills.fill_bins(rest.tolist(), self._limits, _LAST_FILLS)
        assert filled is not None, "open bins take every item"
        plan: Plan = {}
        repeated = 0
        for each, times in fixed:
            if times == 1:
                filled.append(each)
                continue
            plan[each.pattern] = plan.get(each.pattern, 0) + times
            repeated += times * each.cost
        if filled and repeated + cost_of_bins(filled) > target:
            filled = self.fills.regroup(filled, target - repeated, repeated)
        for each in filled:
            plan[each.pattern] = plan.get(each.pattern, 0) + 1
        return plan
