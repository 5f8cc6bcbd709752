"""The pricing problem: the patterns of one bin that are worth most at given dual prices.

Tables of rooms are filled and traced by the compiled kernels. Values and costs are whole price
units, of which `SCALE` make the costliest stock.
"""

from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from layouts.nest.model import Slot
from layouts.nest.patterns import bounded_kernels, kernels
from layouts.nest.patterns.grid import Grid, Ints, Table, make_grid
from layouts.nest.problem import Bin, Box, Pattern, Problem

SCALE = 100_000_000
"""Prices are whole numbers of this part of the costliest stock."""
_CUTS = 6
"""Patterns returned besides the best: they differ in their first cut."""
_KINDS = 64
"""Most different pieces on one pattern in a bounded table."""

_BITS = 63
"""Marks of scarce pieces; pieces beyond share them."""
_NARROW = 1 << 30
"""Values below this have room for a sum in half the usual width."""
_THRIFT = 0.95
"""A roll's section is chosen for its value above this part of its cost: full, then long."""
_HASTY_TRIES = 96
"""Cuts tried closely in a hasty table, whose gains must be larger to count."""
LARGE = 3_000_000
"""From this cost of a table on, small gains in a bounded table are passed over."""


@dataclass(frozen=True, slots=True)
class Column:
    """A pattern as the LP sees it, with the data to draw it."""

    bin: int
    cost: int
    """In price units."""
    share: float
    """How full it is."""
    counts: Ints
    parts: tuple[tuple[Box, Table], ...]
    """For each region, its box and the rows of orientation, x, y placed in it."""


@dataclass(frozen=True, slots=True)
class Option:
    """A bin or section at its highest value: its cost and how it is divided."""

    value: int
    cost: int
    region: tuple[Box, ...]


class Pricer:
    """Prices the patterns of one bin."""

    def __init__(self, problem: Problem, bin_: Bin, top_cost: int, for_bound: bool = False) -> None:
        """Build the bin's table of rooms for the requested pieces.

        `top_cost` is worth `SCALE` price units. On a roll the bin is its longest section, and every
        shorter section is available at its length.
        """
        self.problem = problem
        self.bin = bin_
        self.top_cost = top_cost
        wanted = [i for i, d in enumerate(problem.demands) if d]
        self.grid: Grid = make_grid(problem, bin_, wanted, for_bound)
        self._kinds = len(problem.demands)
        self._areas = np.array(problem.areas, dtype=np.int64)
        self._rooms = np.array([each.width * each.height for each in self.grid.orientations])
        self._most = bin_.width * bin_.height // self._areas
        self.tables = 0
        """Tables filled so far."""
        self._space: bounded_kernels.Space | None = None
        self._tries = 64 if self.grid.cost < LARGE else 200
        self._skip = 10 if self.grid.cost < LARGE else 6

    def worth(self, values: Ints) -> int:
        """Highest value of the bin at these prices, keep-outs ignored."""
        if not self.grid.orientations:
            return 0
        best = self._table(self._single(values)[0])
        i, j = self.grid.room(self.bin.width, self.bin.height)
        return int(best[i, j])

    def uniform_columns(self) -> list[Column]:
        """For each item and orientation, rows and columns of nothing else."""
        grid = self.grid
        found = []
        for n, lying in enumerate(grid.orientations):
            parts = []
            for box in self.bin.regions[0]:
                across = box[2] // grid.unit_x // lying.width
                down = box[3] // grid.unit_y // lying.height
                rows = np.array(
                    [
                        (n, a * lying.width, b * lying.height)
                        for a in range(across)
                        for b in range(down)
                    ],
                    dtype=np.int64,
                ).reshape(-1, 3)
                parts.append((box, rows))
            found.append(self._column(parts, self.cost_of(self.bin.height)))
        return [column for column in found if column.counts.any()]

    def columns(self, values: Ints, stock_price: int) -> tuple[Fraction, list[Column]]:
        """The bin's most value for its cost, and arrangements worth more than they cost.

        `stock_price` comes on top of the cost. Any number of a piece may be used.
        """
        if not self.grid.orientations:
            return Fraction(0), []
        single, owner = self._single(values)
        best = self._table(single)
        options = self._options(best)
        most = max(Fraction(option.value, option.cost) for option in options)
        least = SCALE // 1_000_000
        paying = [o for o in options if o.value > o.cost + stock_price + least]
        found: list[Column] = []
        for option in self._spread_options(paying):
            firsts = [0]
            if len(option.region) == 1 and not self.bin.roll:
                firsts += self._first_cuts(best, option.cost + stock_price + least)
            for first in firsts:
                parts = [
                    (box, self._trace(best, single, owner, box, first)) for box in option.region
                ]
                found.append(self._column(parts, option.cost))
        return most, found

    def best_column(self, values: Ints) -> Column:
        """One arrangement of a sheet that is worth most."""
        single, owner = self._single(values)
        best = self._table(single)
        option = self._options(best)[0]
        parts = [(box, self._trace(best, single, owner, box, 0)) for box in option.region]
        return self._column(parts, option.cost)

    def _trace(self, best: Table, single: Table, owner: Table, box: Box, first: int) -> Table:
        grid = self.grid
        i, j = grid.room(box[2], box[3])
        rows: Table = kernels.trace_price(best, single, owner, grid.cuts, first, i, j)
        return rows

    def bounded_column(self, values: Ints, left: Ints, hasty: bool = False) -> Column | None:
        """A good arrangement that uses no piece more often than is left."""
        if not self.grid.orientations:
            return None
        grid = self.grid
        single, owner = self._single(np.where(left > 0, values, 0))
        self.tables += 1
        best, what, where = bounded_kernels.bounded_table(
            self._narrow(single),
            owner,
            grid.cuts,
            bounded_kernels.Supply(
                grid.kinds,
                np.minimum(left, bounded_kernels.COUNT_MOST),
                values,
                self._scarce(left),
            ),
            self._workspace(),
            7 if hasty else self._skip,
            _HASTY_TRIES if hasty else self._tries,
        )
        option = _thrifty(self._options(best))
        rest = left.copy()
        parts = []
        for box in option.region:
            i, j = grid.room(box[2], box[3])
            rows = bounded_kernels.trace_bounded(what, where, grid.kinds, rest, grid.cuts, i, j)
            rest -= np.bincount(grid.kinds[rows[:, 0]], minlength=self._kinds)
            parts.append((box, rows))
        return self._column(parts, option.cost)

    def trimmed(self, column: Column, left: Ints) -> Column:
        """The arrangement without pieces beyond the remaining demand."""
        if (column.counts <= left).all():
            return column
        spare = left.copy()
        parts = []
        for box, rows in column.parts:
            kept = []
            for row in rows.tolist():
                piece = int(self.grid.kinds[row[0]])
                if spare[piece] > 0:
                    spare[piece] -= 1
                    kept.append(row)
            parts.append((box, np.array(kept, dtype=np.int64).reshape(-1, 3)))
        return self._column(parts, column.cost)

    def _scarce(self, left: Ints) -> Ints:
        """A bit for each piece of which one bin could hold more than are left."""
        few = left < self._most
        return np.where(few, 1 << np.cumsum(few) % _BITS, 0)

    def _workspace(self) -> bounded_kernels.Space:
        """Room for a demand table's layouts, made once."""
        if self._space is None:
            rows = len(self.grid.cuts.points_x) * len(self.grid.cuts.points_y) + 2
            self._space = bounded_kernels.Space(
                np.empty(rows * _KINDS, dtype=np.int64),
                np.empty(rows, dtype=np.int64),
                np.empty(rows, dtype=np.int64),
            )
        return self._space

    def pattern(self, column: Column) -> Pattern:
        """The arrangement in sheet coordinates."""
        slots = []
        unit_x, unit_y = self.grid.unit_x, self.grid.unit_y
        for (left, top, _, _), rows in column.parts:
            for orientation_index, x, y in rows.tolist():
                lying = self.grid.orientations[orientation_index]
                slots.append(
                    Slot(
                        lying.piece,
                        self.bin.left + left + x * unit_x,
                        self.bin.top + top + y * unit_y,
                        lying.turned,
                    )
                )
        return Pattern(self.bin.index, tuple(sorted(slots)))

    def _table(self, single: Table) -> Table:
        """Most value of each room."""
        grid = self.grid
        self.tables += 1
        table: Table = kernels.price_table(self._narrow(single), grid.cuts)
        return table.astype(np.int64)

    def _narrow(self, single: Table) -> Table:
        """The values in half the width of numbers, where no sum of them can grow too large."""
        grid = self.grid
        worths = single[grid.rows, grid.columns]
        most = float((worths / self._rooms).max()) * grid.cuts.points_x[-1] * grid.cuts.points_y[-1]
        return single.astype(np.int32) if most < _NARROW else single

    def _single(self, values: Ints) -> tuple[Table, Table]:
        """Value of the best piece that fills each room exactly, and its orientation."""
        grid = self.grid
        shape = (len(grid.cuts.points_x), len(grid.cuts.points_y))
        single = np.zeros(shape, dtype=np.int64)
        owner = np.zeros(shape, dtype=np.int32)
        worth = values[grid.kinds]
        order = np.argsort(worth, kind="stable")
        single[grid.rows[order], grid.columns[order]] = worth[order]
        owner[grid.rows[order], grid.columns[order]] = order
        return single, owner

    def _options(self, best: Table) -> list[Option]:
        """The options: the bin divided by its best region, or any section of a roll."""
        grid = self.grid
        bin_ = self.bin
        if bin_.roll:
            i, _ = grid.room(bin_.width, bin_.height)
            lengths = (grid.cuts.points_y[1:] * grid.unit_y).tolist()
            values = best[i, 1:].tolist()
            return [
                Option(value, self.cost_of(length), ((0, 0, bin_.width, length),))
                for value, length in zip(values, lengths, strict=True)
            ]
        parted = []
        for n, region in enumerate(bin_.regions):
            rooms = [grid.room(box[2], box[3]) for box in region]
            parted.append((sum(int(best[i, j]) for i, j in rooms), -n, region))
        total, _, region = max(parted)
        return [Option(total, self.cost_of(bin_.height), region)]

    def cost_of(self, length: int) -> int:
        """Cost of the sheet, or of a roll's section of this length, in price units."""
        each = length if self.bin.roll else 1
        return max(1, SCALE * self.bin.cost * each // self.top_cost)

    def _spread_options(self, options: list[Option]) -> list[Option]:
        """The most profitable options for their cost, without near duplicates."""
        order = sorted(options, key=lambda o: (-o.value / o.cost, o.cost))
        return order[: 3 * _CUTS : 3]

    def _first_cuts(self, best: Table, floor: int) -> list[int]:
        grid = self.grid
        i, j = grid.room(self.bin.width, self.bin.height)
        ks = np.arange(1, int(grid.cuts.half_x[i]) + 1)
        standing = best[ks, j] + best[grid.cuts.part_x[i, ks], j]
        ls = np.arange(1, int(grid.cuts.half_y[j]) + 1)
        orientations_in = best[i, ls] + best[i, grid.cuts.part_y[j, ls]]
        values = np.concatenate([standing, orientations_in])
        cuts = np.concatenate([ks, -ls])
        order = np.argsort(-values, kind="stable")
        return [int(cuts[n]) for n in order[: 3 * _CUTS : 3] if values[n] > floor]

    def _column(self, parts: list[tuple[Box, Table]], cost: int) -> Column:
        counts = np.zeros(self._kinds, dtype=np.int64)
        for _, rows in parts:
            counts += np.bincount(self.grid.kinds[rows[:, 0]], minlength=self._kinds)
        room = self.bin.width * (parts[0][0][3] if self.bin.roll else self.bin.height)
        share = float(counts @ self._areas) / room
        return Column(self.bin.index, cost, share, counts, tuple(parts))


def _thrifty(options: list[Option]) -> Option:
    """The option with most value above most of its cost, else with most value for its cost."""
    best = max(options, key=lambda o: o.value - int(_THRIFT * o.cost))
    if best.value > int(_THRIFT * best.cost):
        return best
    return max(options, key=lambda o: o.value / o.cost)
