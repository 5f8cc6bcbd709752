"""A bin as a table of rooms: the widths and heights that guillotine cuts can reach.

Sizes are divided by their greatest common divisor (raster points; source: Terno, Lindemann and
Scheithauer, "Zuschnittprobleme und ihre praktische Loesung", 1987). When the table would cost too
much to fill, a coarser unit is taken, for an answer one for each axis: sizes then round up for an
answer and down for a bound, so that the one can be cut and the other stays proven. Markers come in
few heights and many lengths, so a fine unit fits the heights nearly and a coarse one the lengths,
or the other way round.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import gcd
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from layouts.nest.model import DEFAULT_EFFORT
from layouts.nest.problem import Bin, Problem, orientations_in

Ints = NDArray[np.signedinteger[Any]]
"""One axis of whole numbers."""
Table = NDArray[np.signedinteger[Any]]
"""Two axes of whole numbers."""
Floats = NDArray[np.float64]

_FINEST, _COARSEST, _TRIED = 1600, 120, 400
"""Units tried, as parts of the bin's longer side, and how many there are."""
_OFFERED = 40
_DENSITY = 3
"""A table is up to this many times smaller than if every length could be reached."""

Units = tuple[int, int]
"""The unit of widths and that of heights, in micrometers."""
COST_CAP = 60_000_000
"""Most sums a table may take to fill; some 60 ms."""
_ODD_CAP = 8_000_000
"""The same for an answer of rounded sizes, where finer units gain little film for much work."""
_GAIN = 0.002
"""The part of the pieces' area that is not little."""
_DENSE = 0.75
"""Where this part of all whole heights can be reached, taking them all is quicker."""


@dataclass(frozen=True, slots=True)
class Orientation:
    """An item in one orientation: its rows and columns in the table."""

    piece: int
    turned: bool
    width: int
    height: int


class Cuts(NamedTuple):
    """Where guillotine cuts may run in a table of nx rows (widths) by ny columns (heights).

    Row and column 0 are the empty room. Points are in grid units, ascending from 0.
    """

    points_x: Ints
    """(nx,) int64: the width of each row."""
    points_y: Ints
    """(ny,) int64: the height of each column."""
    part_x: Table
    """(nx, nx) int32: [i, k] is the row of what is left beside row k in row i."""
    half_x: Ints
    """(nx,) int32: the last row up to the middle of row i; cuts beyond only mirror."""
    part_y: Table
    """(ny, ny) int32: the same for columns."""
    half_y: Ints
    """(ny,) int32: the same for columns."""
    dense: bool
    """Whether the heights are all whole numbers from 0 on."""


@dataclass(frozen=True, slots=True)
class Grid:
    """The table of one bin; `unit_x` and `unit_y` are the micrometers of a grid unit."""

    unit_x: int
    unit_y: int
    cuts: Cuts
    orientations: tuple[Orientation, ...]
    rows: Ints
    """Row of each orientation's width."""
    columns: Ints
    """Column of each orientation's height."""
    kinds: Ints
    """Item of each orientation."""
    exact: bool
    """Whether every size is whole in grid units."""

    @property
    def cost(self) -> int:
        """Sums it takes to fill the table."""
        nx, ny = len(self.cuts.points_x), len(self.cuts.points_y)
        return nx * ny * (nx + ny) // 4

    def room(self, width: int, height: int) -> tuple[int, int]:
        """Row and column of the largest room within these micrometers."""
        i = int(np.searchsorted(self.cuts.points_x, width // self.unit_x, side="right")) - 1
        j = int(np.searchsorted(self.cuts.points_y, height // self.unit_y, side="right")) - 1
        return i, j


def make_grid(problem: Problem, bin_: Bin, pieces: Sequence[int], for_bound: bool = False) -> Grid:
    """An exact table of the bin where that is cheap enough, else the best of rounded sizes."""
    grid = exact_grid(problem, bin_, pieces)
    if grid is None and not for_bound:
        ample = problem.effort >= DEFAULT_EFFORT and not bin_.roll
        cap = COST_CAP if ample and _gains(problem, bin_, pieces) else _ODD_CAP
        for _, units in units_by_loss(problem, bin_, pieces, cap):
            grid = _grid_at(problem, bin_, pieces, units, False, False, cap)
            if grid is not None and _holds(grid, problem, bin_, pieces):
                return grid
        grid = None
    wanted = max(_measure(problem, pieces), (bin_.width + bin_.height) // 8000)
    while grid is None:
        wanted = max(wanted + 1, wanted * 5 // 4)
        grid = _grid_at(problem, bin_, pieces, (wanted, wanted), for_bound, False, COST_CAP)
    return grid


def exact_grid(
    problem: Problem, bin_: Bin, pieces: Sequence[int], cap: int = COST_CAP
) -> Grid | None:
    """The table in which every size is whole, if it costs no more sums than the cap."""
    unit = _measure(problem, pieces)
    return _grid_at(problem, bin_, pieces, (unit, unit), False, True, cap)


def _measure(problem: Problem, pieces: Sequence[int]) -> int:
    """The common measure of all sizes, in micrometers."""
    return max(1, gcd(*(side for i in pieces for side in (problem.widths[i], problem.heights[i]))))


def _gains(problem: Problem, bin_: Bin, pieces: Sequence[int]) -> bool:
    """Whether finer units lose so much less that the larger table is worth its time."""
    coarse, fine = (units_by_loss(problem, bin_, pieces, cap)[:1] for cap in (_ODD_CAP, COST_CAP))
    return not coarse or (bool(fine) and coarse[0][0] - fine[0][0] > _GAIN)


def _holds(grid: Grid, problem: Problem, bin_: Bin, pieces: Sequence[int]) -> bool:
    """Whether each piece that the bin takes still fits, its sizes rounded up."""
    there = {each.piece for each in grid.orientations}
    return all(i in there or not orientations_in(problem, bin_, i) for i in pieces)


def _grid_at(
    problem: Problem,
    bin_: Bin,
    pieces: Sequence[int],
    units: Units,
    for_bound: bool,
    exact: bool,
    cap: int,
) -> Grid | None:
    (unit_x, unit_y), up = units, 0 if for_bound else 1
    width, height = bin_.width // unit_x, bin_.height // unit_y
    orientations = []
    for i in pieces:
        w, h = problem.widths[i], problem.heights[i]
        for turned in (False, True) if problem.turnable[i] else (False,):
            a, b = (h, w) if turned else (w, h)
            a, b = (a + up * (unit_x - 1)) // unit_x, (b + up * (unit_y - 1)) // unit_y
            if a <= width and b <= height:
                orientations.append(Orientation(i, turned, a, b))
    points_x = _sums([each.width for each in orientations], width)
    points_y = _sums([each.height for each in orientations], height)
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
        cuts=Cuts(points_x, points_y, part_x, half_x, part_y, half_y, dense),
        orientations=tuple(orientations),
        rows=np.searchsorted(points_x, [each.width for each in orientations]),
        columns=np.searchsorted(points_y, [each.height for each in orientations]),
        kinds=np.array([each.piece for each in orientations], dtype=np.int64),
        exact=exact,
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


def units_by_loss(
    problem: Problem, bin_: Bin, pieces: Sequence[int], cap: int
) -> list[tuple[float, Units]]:
    """Pairs of units whose table may be had for ``cap`` sums, the least loss of area first.

    The loss is a part of the items' area; one that fits in both orientations counts half in each.
    """
    orientations = [
        (*sides, problem.demands[i] * 2 // len(fitting))
        for i in pieces
        for fitting in [orientations_in(problem, bin_, i)]
        for sides in fitting
    ]
    widths, heights, weights = np.array(orientations, dtype=np.int64).reshape(-1, 3).T
    longest = max(bin_.width, bin_.height)
    tried = np.geomspace(longest / _FINEST, longest / _COARSEST, _TRIED)
    units = np.unique(np.maximum(1, tried.astype(np.int64)))
    nx, ny = bin_.width // units[:, None], bin_.height // units[None, :]
    costly = nx * ny * (nx + ny) // 4 > _DENSITY * cap
    lost = _lost_area(units, widths, weights * heights)[:, None]
    lost = lost + _lost_area(units, heights, weights * widths)[None, :]
    lost /= max(1, int((widths * heights) @ weights))
    lost[costly] = np.inf
    order = np.argsort(lost, axis=None, kind="stable")[:_OFFERED]
    offers = (divmod(at, len(units)) for at in order.tolist())
    return [
        (float(lost[x, y]), (int(units[x]), int(units[y]))) for x, y in offers if not costly[x, y]
    ]


def _lost_area(units: Ints, sides: Ints, weights: Ints) -> Floats:
    """The area that rounding the sides up to each unit adds."""
    up = -(-sides[None, :] // units[:, None]) * units[:, None]
    lost: Floats = ((up - sides) @ weights).astype(np.float64)
    return lost
