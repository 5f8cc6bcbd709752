"""Pricing: the arrangements of one plate that are worth most at given prices."""

from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from layouts.nest import demand_kernels, kernels
from layouts.nest.arrays import Ints, Table
from layouts.nest.grid import Grid, make_grid
from layouts.nest.job import Box, Job, Layout, Plate
from layouts.nest.model import Slot

SCALE = 100_000_000
"""Prices are whole numbers of this part of the dearest stock."""
_CUTS = 6
"""Arrangements returned besides the best: they differ in their first cut."""
_KINDS = 64
"""Most different pieces on one arrangement in a demand table."""

_BITS = 63
"""Marks of scarce pieces; pieces beyond share them."""
_NARROW = 1 << 30
"""Values below this have room for a sum in half the usual width."""
_THRIFT = 0.95
"""A roll's section is chosen for its value above this part of its cost: full, then long."""
_HASTY_TRIES = 96
"""Close looks at cuts in a hasty table, whose gains must be larger to count."""
LARGE = 3_000_000
"""From this cost of a table on, small gains in a demand table are passed over."""


@dataclass(frozen=True, slots=True)
class Column:
    """An arrangement as the LP sees it, with what it takes to draw it."""

    plate: int
    cost: int
    """In price units."""
    share: float
    """How full it is."""
    counts: Ints
    parts: tuple[tuple[Box, Table], ...]
    """For each region, its box and the rows of way, x, y placed in it."""


@dataclass(frozen=True, slots=True)
class Option:
    """A plate or section with its most value: what it costs and how it is parted."""

    value: int
    cost: int
    way: tuple[Box, ...]


class Pricer:
    """Prices the arrangements of one plate."""

    def __init__(self, job: Job, plate: Plate, top_cost: int, for_bound: bool = False) -> None:
        """Build the plate's table of rooms for the pieces that are wanted.

        `top_cost` is worth `SCALE` price units. On a roll the plate is its longest section, and
        every shorter section can be had for its length.
        """
        self.job = job
        self.plate = plate
        self.top_cost = top_cost
        wanted = [i for i, d in enumerate(job.demands) if d]
        self.grid: Grid = make_grid(job, plate, wanted, for_bound)
        self._kinds = len(job.demands)
        self._areas = np.array(job.areas, dtype=np.int64)
        self._rooms = np.array([way.width * way.height for way in self.grid.ways])
        self._most = plate.width * plate.height // self._areas
        self._space: tuple[Ints, Ints, Ints] | None = None
        self._tries = 64 if self.grid.cost < LARGE else 200
        self._skip = 10 if self.grid.cost < LARGE else 6

    def worth(self, values: Ints) -> int:
        """Most value that the plate can carry at these prices, keep-outs ignored."""
        if not self.grid.ways:
            return 0
        best = self._table(self._single(values)[0])
        i, j = self.grid.room(self.plate.width, self.plate.height)
        return int(best[i, j])

    def uniform_columns(self) -> list[Column]:
        """For each piece and way it may lie, rows and columns of nothing else."""
        grid = self.grid
        found = []
        for n, way in enumerate(grid.ways):
            parts = []
            for box in self.plate.regions[0]:
                across = box[2] // grid.unit_x // way.width
                down = box[3] // grid.unit_y // way.height
                rows = np.array(
                    [
                        (n, a * way.width, b * way.height)
                        for a in range(across)
                        for b in range(down)
                    ],
                    dtype=np.int64,
                ).reshape(-1, 3)
                parts.append((box, rows))
            found.append(self._column(parts, self.cost_of(self.plate.height)))
        return [column for column in found if column.counts.any()]

    def columns(self, values: Ints, stock_price: int) -> tuple[Fraction, list[Column]]:
        """The plate's most value for its cost, and arrangements worth more than they cost.

        `stock_price` comes on top of the cost. Any number of a piece may be used.
        """
        if not self.grid.ways:
            return Fraction(0), []
        single, owner = self._single(values)
        best = self._table(single)
        options = self._options(best)
        most = max(Fraction(option.value, option.cost) for option in options)
        least = SCALE // 1_000_000
        paying = [o for o in options if o.value > o.cost + stock_price + least]
        found: list[Column] = []
        for option in self._spread(paying):
            firsts = [0]
            if len(option.way) == 1 and not self.plate.roll:
                firsts += self._first_cuts(best, option.cost + stock_price + least)
            for first in firsts:
                parts = [(box, self._trace(best, single, owner, box, first)) for box in option.way]
                found.append(self._column(parts, option.cost))
        return most, found

    def best_column(self, values: Ints) -> Column:
        """One arrangement of a sheet that is worth most."""
        single, owner = self._single(values)
        best = self._table(single)
        option = self._options(best)[0]
        parts = [(box, self._trace(best, single, owner, box, 0)) for box in option.way]
        return self._column(parts, option.cost)

    def _trace(self, best: Table, single: Table, owner: Table, box: Box, first: int) -> Table:
        grid = self.grid
        i, j = grid.room(box[2], box[3])
        rows: Table = kernels.trace_price(
            best,
            single,
            owner,
            grid.part_x,
            grid.half_x,
            grid.part_y,
            grid.half_y,
            grid.points_x,
            grid.points_y,
            first,
            i,
            j,
        )
        return rows

    def demand_column(self, values: Ints, left: Ints, hasty: bool = False) -> Column | None:
        """A good arrangement that uses no piece oftener than is left."""
        if not self.grid.ways:
            return None
        grid = self.grid
        single, owner = self._single(np.where(left > 0, values, 0))
        best, what, where = demand_kernels.demand_table(
            self._narrowed(single),
            owner,
            grid.kinds,
            np.minimum(left, demand_kernels.COUNT_MOST),
            values,
            grid.part_x,
            grid.half_x,
            grid.part_y,
            grid.half_y,
            grid.dense,
            *self._workspace(),
            self._scarce(left),
            7 if hasty else self._skip,
            _HASTY_TRIES if hasty else self._tries,
        )
        option = _thrifty(self._options(best))
        rest = left.copy()
        parts = []
        for box in option.way:
            i, j = grid.room(box[2], box[3])
            rows = demand_kernels.trace_demand(
                what,
                where,
                grid.kinds,
                rest,
                grid.part_x,
                grid.part_y,
                grid.points_x,
                grid.points_y,
                i,
                j,
            )
            rest -= np.bincount(grid.kinds[rows[:, 0]], minlength=self._kinds)
            parts.append((box, rows))
        return self._column(parts, option.cost)

    def trimmed(self, column: Column, left: Ints) -> Column:
        """The arrangement without what is beyond the pieces left."""
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
        """A bit for each piece of which one plate could hold more than are left."""
        few = left < self._most
        return np.where(few, 1 << np.cumsum(few) % _BITS, 0)

    def _workspace(self) -> tuple[Ints, Ints, Ints]:
        """Room for a demand table's layouts, made once."""
        if self._space is None:
            rows = len(self.grid.points_x) * len(self.grid.points_y) + 2
            self._space = (
                np.empty(rows * _KINDS, dtype=np.int64),
                np.empty(rows, dtype=np.int64),
                np.empty(rows, dtype=np.int64),
            )
        return self._space

    def layout(self, column: Column) -> Layout:
        """The arrangement in sheet coordinates."""
        slots = []
        unit_x, unit_y = self.grid.unit_x, self.grid.unit_y
        for (left, top, _, _), rows in column.parts:
            for way_index, x, y in rows.tolist():
                way = self.grid.ways[way_index]
                slots.append(
                    Slot(
                        way.piece,
                        self.plate.left + left + x * unit_x,
                        self.plate.top + top + y * unit_y,
                        way.turned,
                    )
                )
        return Layout(self.plate.index, tuple(sorted(slots)))

    def _table(self, single: Table) -> Table:
        """Most value of each room."""
        grid = self.grid
        table: Table = kernels.price_table(
            self._narrowed(single), grid.part_x, grid.half_x, grid.part_y, grid.half_y, grid.dense
        )
        return table.astype(np.int64)

    def _narrowed(self, single: Table) -> Table:
        """The values in half the width of numbers, where no sum of them can grow too large."""
        grid = self.grid
        worths = single[grid.rows, grid.columns]
        most = float((worths / self._rooms).max()) * grid.points_x[-1] * grid.points_y[-1]
        return single.astype(np.int32) if most < _NARROW else single

    def _single(self, values: Ints) -> tuple[Table, Table]:
        """Value of the best piece that fills each room exactly, and its way."""
        grid = self.grid
        shape = (len(grid.points_x), len(grid.points_y))
        single = np.zeros(shape, dtype=np.int64)
        owner = np.zeros(shape, dtype=np.int32)
        worth = values[grid.kinds]
        order = np.argsort(worth, kind="stable")
        single[grid.rows[order], grid.columns[order]] = worth[order]
        owner[grid.rows[order], grid.columns[order]] = order
        return single, owner

    def _options(self, best: Table) -> list[Option]:
        """What may be bought: the plate parted its best way, or any section of a roll."""
        grid = self.grid
        plate = self.plate
        if plate.roll:
            i, _ = grid.room(plate.width, plate.height)
            lengths = (grid.points_y[1:] * grid.unit_y).tolist()
            values = best[i, 1:].tolist()
            return [
                Option(value, self.cost_of(length), ((0, 0, plate.width, length),))
                for value, length in zip(values, lengths, strict=True)
            ]
        ways = []
        for n, way in enumerate(plate.regions):
            rooms = [grid.room(box[2], box[3]) for box in way]
            ways.append((sum(int(best[i, j]) for i, j in rooms), -n, way))
        total, _, way = max(ways)
        return [Option(total, self.cost_of(plate.height), way)]

    def cost_of(self, length: int) -> int:
        """Cost of the sheet, or of a roll's section of this length, in price units."""
        each = length if self.plate.roll else 1
        return max(1, SCALE * self.plate.cost * each // self.top_cost)

    def _spread(self, options: list[Option]) -> list[Option]:
        """The options that pay most for their cost, none twice much the same."""
        order = sorted(options, key=lambda o: (-o.value / o.cost, o.cost))
        return order[: 3 * _CUTS : 3]

    def _first_cuts(self, best: Table, floor: int) -> list[int]:
        grid = self.grid
        i, j = grid.room(self.plate.width, self.plate.height)
        ks = np.arange(1, int(grid.half_x[i]) + 1)
        standing = best[ks, j] + best[grid.part_x[i, ks], j]
        ls = np.arange(1, int(grid.half_y[j]) + 1)
        lying = best[i, ls] + best[i, grid.part_y[j, ls]]
        values = np.concatenate([standing, lying])
        cuts = np.concatenate([ks, -ls])
        order = np.argsort(-values, kind="stable")
        return [int(cuts[n]) for n in order[: 3 * _CUTS : 3] if values[n] > floor]

    def _column(self, parts: list[tuple[Box, Table]], cost: int) -> Column:
        counts = np.zeros(self._kinds, dtype=np.int64)
        for _, rows in parts:
            counts += np.bincount(self.grid.kinds[rows[:, 0]], minlength=self._kinds)
        room = self.plate.width * (parts[0][0][3] if self.plate.roll else self.plate.height)
        share = float(counts @ self._areas) / room
        return Column(self.plate.index, cost, share, counts, tuple(parts))


def _thrifty(options: list[Option]) -> Option:
    """The option with most value above most of its cost, else with most value for its cost."""
    best = max(options, key=lambda o: o.value - int(_THRIFT * o.cost))
    if best.value > int(_THRIFT * best.cost):
        return best
    return max(options, key=lambda o: o.value / o.cost)
