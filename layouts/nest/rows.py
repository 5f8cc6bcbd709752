"""A proven minimum for any packing from rows of pieces alone, without a solver.

A slice across a packed sheet is a row of pieces no longer than the sheet is wide. A dual feasible
function gives each length a price such that no row is worth more than 1; a piece's price times its
height, over all pieces, is then a height the sheets must have together. Source: Fekete and
Schepers, "New classes of lower bounds for bin packing problems", 1998 (their u^(k) and U^(eps)).
"""

from collections.abc import Callable, Iterator
from math import gcd

from layouts.nest.bounds import bound_from
from layouts.nest.job import Job
from layouts.nest.model import Bound

SCALE = 10_000_000
"""Bar prices are whole numbers of this part of a sheet's worth for its width or height."""
_CELLS = 4000
"""Most cells of a row; beyond, sizes round down, which keeps the bound proven."""
_STEPS = 6
"""Most k tried, and most eps."""


def row_bound(job: Job) -> Bound | None:
    """The best bound from rows across or along one kind of stock; None where none is known.

    It does not hold for discs that a contour cutter may nest into each other.
    """
    if len(job.plates) != 1:
        return None
    plate = job.plates[0]
    wanted = [i for i, d in enumerate(job.demands) if d]
    unit = bar_unit(job, wanted)
    best: Bound | None = None
    for along in (False,) if plate.roll else (False, True):
        room = (plate.height if along else plate.width) // unit
        sizes = {s // unit for i in wanted for s in (job.widths[i], job.heights[i])}
        for price in _prices(room, sizes):
            bound = _bound(job, wanted, unit, along, price)
            if best is None or bound.cost > best.cost:
                best = bound
    return best


def _bound(
    job: Job, wanted: list[int], unit: int, along: bool, price: Callable[[int], int]
) -> Bound:
    plate = job.plates[0]
    duals = [0] * (4 * len(job.demands))
    total = 0
    for i in wanted:
        across, down = job.widths[i], job.heights[i]
        if along:
            across, down = down, across
        slot = 4 * i + 2 * along
        duals[slot], duals[slot + 1] = price(across // unit), price(down // unit)
        value = duals[slot] * down
        if job.turnable[i]:
            value = min(value, duals[slot + 1] * across)
        total += job.demands[i] * value
    worth = SCALE if plate.roll else SCALE * (plate.width if along else plate.height)
    return bound_from(job, "bar", total, [worth], tuple(duals), SCALE, unit)


def _prices(room: int, sizes: set[int]) -> Iterator[Callable[[int], int]]:
    """Functions from a length in a room to its price."""
    for k in range(1, _STEPS + 1):

        def steps(size: int, k: int = k) -> int:
            whole, rest = divmod((k + 1) * size, room)
            return min(SCALE, SCALE * whole // k if rest else SCALE * size // room)

        yield steps
    for least in sorted(s for s in sizes if 2 * s <= room)[-_STEPS:]:

        def halves(size: int, least: int = least) -> int:
            if size > room - least:
                return SCALE
            return 0 if size < least else SCALE * size // room

        yield halves


def bar_unit(job: Job, wanted: list[int]) -> int:
    """The sizes' common divisor, or a coarser unit that keeps the tables short."""
    unit = 0
    for i in wanted:
        unit = gcd(unit, gcd(job.widths[i], job.heights[i]))
    longest = max(max(p.width, 0 if p.roll else p.height) for p in job.plates)
    shortest = min(min(job.widths[i], job.heights[i]) for i in wanted)
    if longest // unit > _CELLS:
        unit = min(shortest, -(-longest // _CELLS))
    return unit
