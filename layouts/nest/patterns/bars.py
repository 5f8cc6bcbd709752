"""The bar relaxation: a proven minimum for any packing, from one-dimensional cuts.

Slice a packed sheet across: every slice is a row of bars no longer than the sheet is wide. Slice it
along: the same with heights. Prices for bars of both kinds together price every packing. Source:
Scheithauer, "LP-based bounds for the container and multi-container loading problem", 1999.
"""

from collections.abc import Sequence

import numpy as np

from layouts.nest.bounds import SCALE, bar_unit, bound_from
from layouts.nest.covering_program import new_model
from layouts.nest.model import Bound
from layouts.nest.patterns import kernels
from layouts.nest.patterns.grid import Floats, Ints
from layouts.nest.problem import Bin, Problem

_ROUNDS = 80
_INFINITY = 1e30
_FINE = 1 << 40


def bar_bound(problem: Problem) -> Bound:
    """The bar bound of the problem: sheets, or roll length.

    It does not hold for discs that a contour cutter may nest into each other.
    """
    relaxation = _Bars(problem)
    relaxation.solve()
    return relaxation.bound()


class _Bars:
    """The LP: worth of bars across and along, most for the demand, no bar row above 1.

    Variables, for each piece i: its value u, then prices across upright, across turned, along
    upright, along turned. A row for each orientation keeps u below what its bars are worth; rows
    for combinations of bars are added as a knapsack finds them broken.
    """

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.wanted = [i for i, d in enumerate(problem.demands) if d]
        # The largest bin in each direction: what holds for it holds for all.
        self.width = max(bin_.width for bin_ in problem.bins)
        self.height = max(bin_.height for bin_ in problem.bins)
        self.roll = problem.is_roll
        self.unit = bar_unit(problem, self.wanted)
        self.lp = new_model()
        self._variables()

    def _orientations(self, i: int) -> list[tuple[int, int, int]]:
        """Slot among the prices, width and height, for each orientation of item i."""
        w, h = self.problem.widths[i], self.problem.heights[i]
        return [(0, w, h), (1, h, w)] if self.problem.turnable[i] else [(0, w, h)]

    def _variables(self) -> None:
        problem = self.problem
        none = np.empty(0)
        free = np.empty(0, dtype=np.int32)
        top = max(problem.demands)
        for n, i in enumerate(self.wanted):
            self.lp.addCol(-problem.demands[i] / top, 0.0, 1.0, 0, free, none)
            orientations = self._orientations(i)
            for along in (False, True):
                for turned in (0, 1):
                    room = self.height if along else self.width
                    usable = any(
                        slot == turned and (h if along else w) <= room
                        for slot, w, h in orientations
                    )
                    most = 1.0 if usable and not (along and self.roll) else 0.0
                    self.lp.addCol(0.0, 0.0, most, 0, free, none)
            for turned, w, h in orientations:
                if w > self.width or h > self.height:
                    continue
                columns = np.array([5 * n, 5 * n + 1 + turned, 5 * n + 3 + turned], dtype=np.int32)
                factors = np.array([1.0, -h / self.height, -w / self.width])
                self.lp.addRow(-_INFINITY, 0.0, 3, columns, factors)
        # One row for the shares of both directions: together a sheet is worth 1.
        self.shares = 5 * len(self.wanted)
        for n in (0, 1):
            most = 0.0 if n and self.roll else 1.0
            self.lp.addCol(0.0, 0.0, most, 0, free, none)
        both = np.array([self.shares, self.shares + 1], dtype=np.int32)
        self.lp.addRow(-_INFINITY, 1.0, 2, both, np.ones(2))

    def solve(self) -> None:
        """Add broken bar rows until none is left."""
        for _ in range(_ROUNDS):
            self.lp.run()
            self.values = np.array(self.lp.getSolution().col_value)
            broken = False
            for along in (False, True) if not self.roll else (False,):
                broken |= self._add_cut(along)
            if not broken:
                break

    def _add_cut(self, along: bool) -> bool:
        columns, sizes = self._bars(along)
        room = self.height if along else self.width
        prices = self.values[columns]
        worth, counts = knapsack(sizes, prices, room // self.unit)
        share = self.shares + int(along)
        if worth <= self.values[share] + 1e-7:
            return False
        used = np.flatnonzero(counts)
        index = np.append(np.array(columns)[used], share).astype(np.int32)
        factors = np.append(counts[used].astype(np.float64), -1.0)
        self.lp.addRow(-_INFINITY, 0.0, len(index), index, factors)
        return True

    def _bars(self, along: bool) -> tuple[list[int], list[int]]:
        columns, sizes = [], []
        room = self.height if along else self.width
        for n, i in enumerate(self.wanted):
            for turned, w, h in self._orientations(i):
                size = h if along else w
                if size <= room:
                    columns.append(5 * n + 1 + 2 * along + turned)
                    sizes.append(size // self.unit)
        return columns, sizes

    def bound(self) -> Bound:
        """The bound, from prices rounded down to whole numbers."""
        problem = self.problem
        duals = [0] * (4 * len(problem.demands))
        for n, i in enumerate(self.wanted):
            for slot in range(4):
                room = self.width if slot > 1 else self.height
                price = max(0.0, float(self.values[5 * n + 1 + slot]))
                duals[4 * i + slot] = int(price * SCALE * (self.width + self.height) / room)
        total = 0
        for i in self.wanted:
            total += problem.demands[i] * bar_value(problem, i, duals)
        worths = [self._worth(bin_, duals) for bin_ in problem.bins]
        return bound_from(problem, "bar", total, worths, tuple(duals), SCALE, self.unit)

    def _worth(self, bin_: Bin, duals: Sequence[int]) -> int:
        across = _most(self.problem, self.wanted, duals, bin_.width, self.unit, along=False)
        if bin_.roll:
            return across
        along = _most(self.problem, self.wanted, duals, bin_.height, self.unit, along=True)
        return across * bin_.height + along * bin_.width


def bar_value(problem: Problem, i: int, duals: Sequence[int]) -> int:
    """The least value of piece i in either orientation."""
    w, h = problem.widths[i], problem.heights[i]
    upright, turned, upright_along, turned_along = duals[4 * i : 4 * i + 4]
    value = upright * h + upright_along * w
    if problem.turnable[i]:
        value = min(value, turned * w + turned_along * h)
    return value


def _most(
    problem: Problem, wanted: Sequence[int], duals: Sequence[int], room: int, unit: int, along: bool
) -> int:
    """Highest value of a row of bars in the room, in whole numbers."""
    sizes, prices = [], []
    for i in wanted:
        w, h = problem.widths[i], problem.heights[i]
        if along:
            w, h = h, w
        sizes.append(w // unit)
        prices.append(duals[4 * i + 2 * along])
        if problem.turnable[i]:
            sizes.append(h // unit)
            prices.append(duals[4 * i + 2 * along + 1])
    best, _ = kernels.bar_table(np.array(sizes), np.array(prices), room // unit)
    return int(best[-1])


def knapsack(sizes: Sequence[int], prices: Floats, room: int) -> tuple[float, Ints]:
    """Any number of bars within the room: highest value, and how many of each."""
    whole = np.floor(prices * _FINE).astype(np.int64)
    best, choice = kernels.bar_table(np.array(sizes), whole, room)
    counts = np.zeros(len(sizes), dtype=np.int64)
    at = room
    while at > 0:
        n = int(choice[at])
        if n < 0:
            at -= 1
        else:
            counts[n] += 1
            at -= sizes[n]
    return float(best[-1]) / _FINE, counts
