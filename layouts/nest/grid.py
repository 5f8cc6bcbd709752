"""A plate as a table of rooms: the widths and heights that cuts can reach.

Sizes are divided by their greatest common divisor. When the table would cost too much to fill, a
coarser unit is taken: sizes then round up for an answer and down for a bound, so that the one can
be cut and the other stays proven.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import gcd

import numpy as np

from layouts.nest.arrays import Ints, Table
from layouts.nest.job import Job, Plate

COST_CAP = 60_000_000
"""Most sums a table may take to fill; some 60 ms."""
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

    unit: int
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
        i = int(np.searchsorted(self.points_x, width // self.unit, side="right")) - 1
        j = int(np.searchsorted(self.points_y, height // self.unit, side="right")) - 1
        return i, j


def make_grid(
    job: Job, plate: Plate, pieces: Sequence[int], for_bound: bool = False, cap: int = COST_CAP
) -> Grid:
    """The finest table of the plate whose cost is within the cap."""
    unit = 0
    for i in pieces:
        unit = gcd(unit, gcd(job.widths[i], job.heights[i]))
    unit = max(1, unit)
    grid = _grid_at(job, plate, pieces, unit, for_bound, exact=True, cap=cap)
    wanted = max(unit, (plate.width + plate.height) // 8000)
    while grid is None:
        wanted = max(wanted + 1, wanted * 5 // 4)
        grid = _grid_at(job, plate, pieces, wanted, for_bound, exact=False, cap=cap)
    return grid


def _grid_at(
    job: Job,
    plate: Plate,
    pieces: Sequence[int],
    unit: int,
    for_bound: bool,
    exact: bool,
    cap: int,
) -> Grid | None:
    width, height = plate.width // unit, plate.height // unit
    ways = []
    for i in pieces:
        w, h = job.widths[i], job.heights[i]
        if for_bound:
            w, h = w // unit, h // unit
        else:
            w, h = -(-w // unit), -(-h // unit)
        for turned in (False, True) if job.turnable[i] else (False,):
            a, b = (h, w) if turned else (w, h)
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
        unit=unit,
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
