"""Units for tables of sizes without a common measure: those that rounding up loses least by.

Markers come in few heights and many lengths, so each axis of a table has a unit of its own: a
fine one that fits the heights nearly, and a coarse one for the lengths, or the other way round.
"""

from collections.abc import Sequence

import numpy as np

from layouts.nest.arrays import Floats, Ints
from layouts.nest.job import Job, Plate, lying

_FINEST, _COARSEST, _TRIED = 1600, 120, 400
"""Units tried, as parts of the plate's longer side, and how many there are."""
_OFFERED = 40
_DENSITY = 3
"""A table is up to this many times smaller than if every length could be reached."""

Units = tuple[int, int]
"""The unit of widths and that of heights, in micrometers."""


def units_by_loss(
    job: Job, plate: Plate, pieces: Sequence[int], cap: int
) -> list[tuple[float, Units]]:
    """Pairs of units whose table may be had for ``cap`` sums, the least loss of area first.

    The loss is a part of the pieces' area; a piece that fits both ways counts half each way.
    """
    ways = [
        (*way, job.demands[i] * 2 // len(fitting))
        for i in pieces
        for fitting in [lying(job, plate, i)]
        for way in fitting
    ]
    widths, heights, weights = np.array(ways, dtype=np.int64).reshape(-1, 3).T
    longest = max(plate.width, plate.height)
    tried = np.geomspace(longest / _FINEST, longest / _COARSEST, _TRIED)
    units = np.unique(np.maximum(1, tried.astype(np.int64)))
    nx, ny = plate.width // units[:, None], plate.height // units[None, :]
    costly = nx * ny * (nx + ny) // 4 > _DENSITY * cap
    lost = _lost(units, widths, weights * heights)[:, None]
    lost = lost + _lost(units, heights, weights * widths)[None, :]
    lost /= max(1, int((widths * heights) @ weights))
    lost[costly] = np.inf
    order = np.argsort(lost, axis=None, kind="stable")[:_OFFERED]
    offers = (divmod(at, len(units)) for at in order.tolist())
    return [
        (float(lost[x, y]), (int(units[x]), int(units[y]))) for x, y in offers if not costly[x, y]
    ]


def _lost(units: Ints, sides: Ints, weights: Ints) -> Floats:
    """The area that rounding the sides up to each unit adds."""
    up = -(-sides[None, :] // units[:, None]) * units[:, None]
    lost: Floats = ((up - sides) @ weights).astype(np.float64)
    return lost
