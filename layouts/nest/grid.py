"""A plate as a table of rooms: the widths and heights that cuts can reach.

Sizes are divided by their greatest common divisor. When the table would cost too much to fill, a
coarser unit is taken, for an answer one for each axis: sizes then round up for an answer and down
for a bound, so that the one can be cut and the other stays proven.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import gcd

import numpy as np

from layouts.nest.arrays import Ints, Table
from layouts.nest.job import Job, Plate, lying
from layouts.nest.model import DEFAULT_EFFORT
from layouts.nest.units import Units, units_by_loss

COST_CAP = 60_000_000
"""Most sums a table may take to fill; some 60 ms."""
_ODD_CAP = 8_000_000
"""The same for an answer of rounded sizes, where finer units gain little film for much work."""
_GAIN = 0.002
"""The part of the pieces' area that is not little."""
_DENSE = 0.75
"""Where this part of all whole heights can be reached, taking them all is quicker."""


@dataclass(frozen=True, slots=True)
class Way:
    """A piece lying one way: its rows and columns in the table."""

    piece: int
    turned: bool
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class Grid:
    """The table of one plate."""

    unit_x: int
    unit_y: int
    points_x: Ints
    points_y: Ints
    part_x: Table
    half_x: Ints
    part_y: Table
    half_y: Ints
    ways: tuple[Way, ...]
    rows: Ints
    """Row of each way's width."""
    columns: Ints
    """Column of each way's height."""
    kinds: Ints
    """Piece of each way."""
    exact: bool
    dense: bool
    """Whether the heights are all whole numbers from 0 on."""

    @property
    def cost(self) -> int:
        """Sums it takes to fill the table."""
        nx, ny = len(self.points_x), len(self.points_y)
        return nx * ny * (nx + ny) // 4

    def room(self, width: int, height: int) -> tuple[int, int]:
        """Row and column of the largest room within these micrometers."""
        i = int(np.searchsorted(self.points_x, width // self.unit_x, side="right")) - 1
        j = int(np.searchsorted(self.points_y, height // self.unit_y, side="right")) - 1
        return i, j


def make_grid(job: Job, plate: Plate, pieces: Sequence[int], for_bound: bool = False) -> Grid:
    """An exact table of the plate where that is cheap enough, else the best of rounded sizes."""
    grid = exact_grid(job, plate, pieces)
    if grid is None and not for_bound:
        ample = job.effort >= DEFAULT_EFFORT and not plate.roll
        cap = COST_CAP if ample and _gains(job, plate, pieces) else _ODD_CAP
        for _, units in units_by_loss(job, plate, pieces, cap):
            grid = _grid_at(job, plate, pieces, units, False, False, cap)
            if grid is not None and _holds(grid, job, plate, pieces):
                return grid
        grid = None
    wanted = max(_measure(job, pieces), (plate.width + plate.height) // 8000)
    while grid is None:
        wanted = max(wanted + 1, wanted * 5 // 4)
        grid = _grid_at(job, plate, pieces, (wanted, wanted), for_bound, False, COST_CAP)
    return grid


def exact_grid(job: Job, plate: Plate, pieces: Sequence[int], cap: int = COST_CAP) -> Grid | None:
    """The table in which every size is whole, if it costs no more sums than the cap."""
    unit = _measure(job, pieces)
    return _grid_at(job, plate, pieces, (unit, unit), False, True, cap)


def _measure(job: Job, pieces: Sequence[int]) -> int:
    """The common measure of all sizes, in micrometers."""
    return max(1, gcd(*(side for i in pieces for side in (job.widths[i], job.heights[i]))))


def _gains(job: Job, plate: Plate, pieces: Sequence[int]) -> bool:
    """Whether finer units lose so much less that the larger table is worth its time."""
    coarse, fine = (units_by_loss(job, plate, pieces, cap)[:1] for cap in (_ODD_CAP, COST_CAP))
    return not coarse or (bool(fine) and coarse[0][0] - fine[0][0] > _GAIN)


def _holds(grid: Grid, job: Job, plate: Plate, pieces: Sequence[int]) -> bool:
    """Whether each piece that the plate takes still fits, its sizes rounded up."""
    there = {way.piece for way in grid.ways}
    return all(i in there or not lying(job, plate, i) for i in pieces)


def _grid_at(
    job: Job,
    plate: Plate,
    pieces: Sequence[int],
    units: Units,
    for_bound: bool,
    exact: bool,
    cap: int,
) -> Grid | None:
    (unit_x, unit_y), up = units, 0 if for_bound else 1
    width, height = plate.width // unit_x, plate.height // unit_y
    ways = []
    for i in pieces:
        w, h = job.widths[i], job.heights[i]
        for turned in (False, True) if job.turnable[i] else (False,):
            a, b = (h, w) if turned else (w, h)
            a, b = (a + up * (unit_x - 1)) // unit_x, (b + up * (unit_y - 1)) // unit_y
            if a <= width and b <= height:
                ways.append(Way(i, turned, a, b))
    points_x = _sums([way.width for way in ways], width)
    points_y = _sums([way.height for way in ways], height)
    dense = len(points_y) >= _DENSE * (height + 1)
    if dense:
        points_y = np.arange(height + 1, dtype=np.int64)
    nx, ny = len(points_x), len(points_y)
    if nx * ny * (nx + ny) // 4 > cap:
        return None
    part_x, half_x = _parts(points_x)
    part_y, half_y = _parts(points_y)
    return Grid(
        unit_x=unit_x,
        unit_y=unit_y,
        points_x=points_x,
        points_y=points_y,
        part_x=part_x,
        half_x=half_x,
        part_y=part_y,
        half_y=half_y,
        ways=tuple(ways),
        rows=np.searchsorted(points_x, [way.width for way in ways]),
        columns=np.searchsorted(points_y, [way.height for way in ways]),
        kinds=np.array([way.piece for way in ways], dtype=np.int64),
        exact=exact,
        dense=dense,
    )


def _sums(sizes: Sequence[int], room: int) -> Ints:
    """0 and all sums of sizes up to the room, ascending."""
    reach = np.zeros(room + 1, dtype=np.bool_)
    reach[0] = True
    for size in sorted(set(sizes)):
        if size < 1:
            continue
        # Doubling steps reach every multiple of the size.
        step = size
        while step <= room:
            reach[step:] |= reach[: room + 1 - step].copy()
            step *= 2
    return np.flatnonzero(reach).astype(np.int64)


def _parts(points: Ints) -> tuple[Table, Ints]:
    """For row i and cut row k: the row of what is left; and the last cut row worth a try."""
    rest = points[:, None] - points[None, :]
    parts = np.searchsorted(points, rest, side="right") - 1
    halves = np.searchsorted(points, points // 2, side="right") - 1
    return np.maximum(parts, 0).astype(np.int32), halves.astype(np.int32)
