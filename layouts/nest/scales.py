"""A proven minimum for any packing of sheets from two scales, one across and one along.

A conservative scale gives each length a value such that no row of pieces within the room is worth
more than the scale's whole. Pieces with their sides so scaled still pack wherever the pieces did,
so that their scaled areas count against the scaled sheet's. Source: Fekete and Schepers, "A general
framework for bounds for higher-dimensional orthogonal packing problems", 2004; the scales are their
u^(k) and U^(eps) of 1998 and the length itself.
"""

from dataclasses import dataclass

import numpy as np

from layouts.nest.arrays import Ints
from layouts.nest.bounds import bound_from
from layouts.nest.job import Job
from layouts.nest.model import Bound
from layouts.nest.rows import bar_unit

_STEPS = 6
"""Most k tried."""
_LEAST = 60
"""Most eps tried."""


@dataclass(frozen=True, slots=True)
class _Scale:
    """Each piece's side across and its other side, scaled; and what the whole room counts."""

    whole: int
    upright: Ints
    turned: Ints


def scale_bound(job: Job, target: int) -> Bound | None:
    """The best bound of all pairs of scales; stops at the target cost. None where none is known.

    It holds for sheets of one size, and not for discs that may nest into each other.
    """
    wanted = [i for i, d in enumerate(job.demands) if d]
    if len(job.plates) != 1 or job.is_roll or not wanted:
        return None
    plate = job.plates[0]
    unit = bar_unit(job, wanted)
    widths = np.array([job.widths[i] // unit for i in wanted], dtype=np.int64)
    heights = np.array([job.heights[i] // unit for i in wanted], dtype=np.int64)
    demands = np.array([job.demands[i] for i in wanted], dtype=np.int64)
    turnable = np.array([job.turnable[i] for i in wanted])
    best: tuple[float, _Scale, _Scale] | None = None
    along = _scales(heights, widths, plate.height // unit)
    for across in _scales(widths, heights, plate.width // unit):
        for down in along:
            values = across.upright * down.upright
            turned = across.turned * down.turned
            np.minimum(values, turned, out=values, where=turnable)
            share = float(demands @ values) / (across.whole * down.whole)
            if best is None or share > best[0]:
                best = share, across, down
        if best is not None and (best[0] - 1e-9) * plate.cost > target - 1:
            break
    assert best is not None
    return _proven(job, wanted, unit, best[1], best[2])


def _proven(job: Job, wanted: list[int], unit: int, across: _Scale, down: _Scale) -> Bound:
    duals = [0] * (4 * len(job.demands))
    total = 0
    for n, i in enumerate(wanted):
        sides = (across.upright[n], across.turned[n], down.upright[n], down.turned[n])
        prices = [int(side) for side in sides]
        duals[4 * i : 4 * i + 4] = prices
        value = prices[0] * prices[2]
        if job.turnable[i]:
            value = min(value, prices[1] * prices[3])
        total += job.demands[i] * value
    whole = across.whole * down.whole
    return bound_from(job, "scales", total, [whole], tuple(duals), 1, unit)


def _scales(upright: Ints, turned: Ints, room: int) -> list[_Scale]:
    """Scales for a room; sizes beyond it, of ways a piece cannot lie, count as the whole."""
    sides = np.minimum(upright, room), np.minimum(turned, room)
    small = np.unique(np.concatenate(sides))
    small = small[2 * small <= room]
    least = small[:: max(1, -(-len(small) // _LEAST))].tolist()
    return [
        _Scale(room, *sides),
        *(
            _Scale(k * room, *(_stepped(side, k, room) for side in sides))
            for k in range(1, _STEPS + 1)
        ),
        *(_Scale(room, *(_parted(side, each, room) for side in sides)) for each in least),
    ]


def _stepped(side: Ints, k: int, room: int) -> Ints:
    """u^(k) times `k * room`."""
    whole, rest = np.divmod((k + 1) * side, room)
    return np.where(rest, np.minimum(whole, k) * room, side * k)


def _parted(side: Ints, least: int, room: int) -> Ints:
    """U^(eps) times `room`."""
    return np.where(side > room - least, room, np.where(side < least, 0, side))
