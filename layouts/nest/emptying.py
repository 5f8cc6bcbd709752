"""Fewer sheets by emptying one after the other into the rest: the search for hard small orders.

It counts every piece for itself, so it is for orders of some hundred pieces of many sizes, on
sheets of one size without keep-outs, for a contour cutter. It is compiled, and loaded when called.
"""

from math import gcd

import numpy as np

from layouts.nest.arrays import Ints, Table
from layouts.nest.job import Job, Layout, Plan
from layouts.nest.model import Slot

_MOST_PARTS = 2000
"""Beyond this number of pieces one sheet more or less is little."""
_FEW = 3
"""Pieces of one size, on average."""
_EFFORT_WORK = 90_000
"""Looks at ways to lay a piece that a unit of effort buys."""
_MIX = 0x9E3779B97F4A7C15
"""Spreads the seed over the bits of the first state (source: Knuth, golden ratio)."""


def may_empty(job: Job) -> bool:
    """Whether the search serves the job."""
    if job.is_roll or job.guillotine or len(job.plates) != 1 or sum(job.demands) > _MOST_PARTS:
        return False
    plate = job.plates[0]
    return plate.regions == (((0, 0, plate.width, plate.height),),)


def is_various(job: Job) -> bool:
    """Whether most sizes are wanted but a few times, so that equal sheets are not to be had."""
    return sum(job.demands) <= _FEW * sum(1 for demand in job.demands if demand)


def emptied(job: Job, plan: Plan, target: int) -> Plan:
    """The plan on fewer sheets, or itself; the search ends at the target cost or with its work."""
    from layouts.nest.emptying_kernels import empty_sheets
    from layouts.nest.refill_kernels import Goods

    plate = job.plates[0]
    kinds = [i for i, demand in enumerate(job.demands) for _ in range(demand)]
    unit = gcd(*(side for i in kinds for side in (job.widths[i], job.heights[i])))
    sizes = np.array([(job.widths[i] // unit, job.heights[i] // unit) for i in kinds], np.int64)
    turns = np.array([job.turnable[i] for i in kinds])
    home, spots = _laid(job, plan, kinds, unit)
    sheets = sum(plan.values())
    found, _ = empty_sheets(
        Goods(sizes, turns, np.ones(len(kinds)), np.ones(len(kinds))),
        home,
        spots,
        sheets,
        plate.width // unit,
        plate.height // unit,
        -(-target // plate.cost),
        job.effort * _EFFORT_WORK,
        np.array([(job.seed * 2 + 1) * _MIX % 2**64], dtype=np.uint64),
    )
    if found == sheets:
        return plan
    filled: list[list[Slot]] = [[] for _ in range(found)]
    for i, sheet, (x, y, turned) in zip(kinds, home.tolist(), spots.tolist(), strict=True):
        filled[sheet].append(Slot(i, plate.left + x * unit, plate.top + y * unit, bool(turned)))
    fewer: Plan = {}
    for slots in filled:
        layout = Layout(plate.index, tuple(sorted(slots)))
        fewer[layout] = fewer.get(layout, 0) + 1
    return fewer


def _laid(job: Job, plan: Plan, kinds: list[int], unit: int) -> tuple[Ints, Table]:
    """Sheet, and x, y and turned in units, for each single piece of a plan."""
    plate = job.plates[0]
    entries: list[list[int]] = [[] for _ in job.demands]
    for n, kind in enumerate(kinds):
        entries[kind].append(n)
    home = np.empty(len(kinds), dtype=np.int64)
    spots = np.empty((len(kinds), 3), dtype=np.int64)
    sheets = [layout for layout, copies in plan.items() for _ in range(copies)]
    for sheet, layout in enumerate(sheets):
        for slot in layout.slots:
            n = entries[slot.piece].pop()
            x, y = slot.x_um - plate.left, slot.y_um - plate.top
            home[n], spots[n] = sheet, (x // unit, y // unit, slot.turned)
    return home, spots
