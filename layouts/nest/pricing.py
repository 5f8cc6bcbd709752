"""Pricing: the arrangements of one plate that are worth most at given prices."""

from dataclasses import dataclass

import numpy as np

from layouts.nest import kernels
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

_LARGE = 3_000_000
"""From this cost of a table on, small gains in a demand table are passed over."""


@dataclass(frozen=True, slots=True)
class Column:
    """An arrangement as the LP sees it, with what it takes to draw it."""

    plate: int
    counts: Ints
    parts: tuple[tuple[Box, Table], ...]
    """For each region, its box and the rows of way, x, y placed in it."""


class Pricer:
    """Prices the arrangements of one plate."""

    def __init__(self, job: Job, plate: Plate, for_bound: bool = False) -> None:
        """Build the plate's table of rooms for the pieces that are wanted."""
        self.job = job
        self.plate = plate
        wanted = [i for i, d in enumerate(job.demands) if d]
        self.grid: Grid = make_grid(job, plate, wanted, for_bound)
        self._kinds = len(job.demands)
        self._skip = 10 if self.grid.cost < _LARGE else 8

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
                across = box[2] // grid.unit // way.width
                down = box[3] // grid.unit // way.height
                rows = np.array(
                    [
                        (n, a * way.width, b * way.height)
                        for a in range(across)
                        for b in range(down)
                    ],
                    dtype=np.int64,
                ).reshape(-1, 3)
                parts.append((box, rows))
            found.append(self._column(parts))
        return [column for column in found if column.counts.any()]

    def columns(self, values: Ints, floor: int) -> tuple[int, list[Column]]:
        """The plate's most value, and some arrangements worth more than `floor`.

        Any number of a piece may be used.
        """
        if not self.grid.ways:
            return 0, []
        grid = self.grid
        single, owner = self._single(values)
        best = self._table(single)
        most, way = self._best_way(best)
        if most <= floor:
            return most, []
        found: list[Column] = []
        firsts = [0] if len(way) > 1 else [0, *self._first_cuts(best, floor)]
        for first in firsts:
            parts = []
            for box in way:
                i, j = grid.room(box[2], box[3])
                rows = kernels.trace_price(
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
                parts.append((box, rows))
            found.append(self._column(parts))
        return most, found

    def demand_column(self, values: Ints, left: Ints) -> tuple[int, Column | None]:
        """A good arrangement that uses no piece oftener than is left, and its value."""
        if not self.grid.ways:
            return 0, None
        grid = self.grid
        single, owner = self._single(np.where(left > 0, values, 0))
        best, what, where = kernels.demand_table(
            single,
            owner,
            grid.kinds,
            left,
            values,
            grid.part_x,
            grid.half_x,
            grid.part_y,
            grid.half_y,
            _KINDS,
            self._skip,
        )
        _, way = self._best_way(best)
        rest = left.copy()
        parts = []
        for box in way:
            i, j = grid.room(box[2], box[3])
            rows = kernels.trace_demand(
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
        column = self._column(parts)
        return int(column.counts @ values), column

    def layout(self, column: Column) -> Layout:
        """The arrangement in sheet coordinates."""
        slots = []
        unit = self.grid.unit
        for (left, top, _, _), rows in column.parts:
            for way_index, x, y in rows.tolist():
                way = self.grid.ways[way_index]
                slots.append(
                    Slot(
                        way.piece,
                        self.plate.left + left + x * unit,
                        self.plate.top + top + y * unit,
                        way.turned,
                    )
                )
        return Layout(self.plate.index, tuple(sorted(slots)))

    def _table(self, single: Table) -> Table:
        grid = self.grid
        table: Table = kernels.price_table(
            single, grid.part_x, grid.half_x, grid.part_y, grid.half_y
        )
        return table

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

    def _best_way(self, best: Table) -> tuple[int, tuple[Box, ...]]:
        ways = []
        for n, way in enumerate(self.plate.regions):
            total = 0
            for box in way:
                i, j = self.grid.room(box[2], box[3])
                total += int(best[i, j])
            ways.append((total, -n, way))
        total, _, way = max(ways)
        return total, way

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

    def _column(self, parts: list[tuple[Box, Table]]) -> Column:
        counts = np.zeros(self._kinds, dtype=np.int64)
        for _, rows in parts:
            counts += np.bincount(self.grid.kinds[rows[:, 0]], minlength=self._kinds)
        return Column(self.plate.index, counts, tuple(parts))
