"""The residual problem: the last bins, for what the LP's integer parts leave over.

Bins are filled one after the other, each worth as much as possible at the items' values; after a
pass the values of items that ended on poor bins rise (sequential value correction). Then a few bins
at a time are emptied and filled again (ruin and recreate), which gathers the waste on one bin until
it vanishes. Source: Mukhacheva and Zalgaller, "Linear programming cutting problems", 1993.
"""

import math
from collections import Counter
from collections.abc import Sequence

import numpy as np

from layouts.nest.patterns.grid import Ints
from layouts.nest.patterns.pricing import LARGE, SCALE, Column, Pricer
from layouts.nest.problem import Problem

_FAIR = 0.99
"""A sheet worth this part of its cost is filled again and again, as long as pieces are left."""

_FLOOR = 30
"""This part of its area is what a piece is worth at least, also where the LP gives nothing."""
_NOISE = (0.03, 0.1, 0.1, 0.3)
"""How much values are shaken before sheets are filled again."""

Filled = list[Column]
"""Sheets, one entry for each."""


class ResidualSearch:
    """Fills sheets with what is left."""

    def __init__(self, problem: Problem, pricers: Sequence[Pricer], seed: int) -> None:
        """`seed` starts the random choices; the same seed gives the same sheets."""
        self.problem = problem
        self.pricers = pricers
        self.random = np.random.default_rng(seed)
        self.areas = np.array(problem.areas, dtype=np.int64)
        self.fills = 0
        area = max(p.bin.width * p.bin.height for p in pricers)
        self.area_values = np.array([SCALE * a // area for a in problem.areas], dtype=np.int64)

    def fill(
        self, values: Ints, rest: Ints, limits: Sequence[int | None], hasty: bool = False
    ) -> Filled | None:
        """Sheets for everything left, or None if there is not enough stock."""
        rest = rest.copy()
        stock = list(limits)
        filled: Filled = []
        while rest.any():
            column = self._next(values, rest, stock, hasty)
            if column is None:
                return None
            used = column.counts > 0
            copies = 1
            if int(values @ column.counts) > _FAIR * column.cost:
                copies = int((rest[used] // column.counts[used]).min())
            limit = stock[column.bin]
            if limit is not None:
                copies = min(copies, limit)
                stock[column.bin] = limit - copies
            rest -= copies * column.counts
            filled.extend([column] * copies)
        return filled

    def _next(
        self, values: Ints, rest: Ints, stock: Sequence[int | None], hasty: bool
    ) -> Column | None:
        best: tuple[float, Column] | None = None
        for pricer in self.pricers:
            bin_ = pricer.bin.index
            if stock[bin_] == 0:
                continue
            column = pricer.bounded_column(values, rest, hasty)
            self.fills += 1
            if column is None or not column.counts.any():
                continue
            ratio = float(column.counts @ values) / column.cost
            if best is None or ratio > best[0]:
                best = (ratio, column)
        return None if best is None else best[1]

    def key(self, filled: Filled) -> tuple[int, float]:
        """Less is better: cost, then waste spread evenly."""
        cost = sum(column.cost for column in filled)
        return cost, -math.fsum(column.share**2 for column in filled)

    def correct(
        self,
        values: Ints,
        rest: Ints,
        limits: Sequence[int | None],
        passes: int,
        fills: int,
        target: int,
    ) -> Filled | None:
        """The best of several passes with corrected values.

        It stops at the target cost, and begins no further pass beyond this count of fills.
        """
        best: Filled | None = None
        worth = (values + self.area_values // _FLOOR).astype(np.float64)
        large = max(p.grid.cost for p in self.pricers) > LARGE
        for n in range(passes):
            hasty = large and n == 0
            filled = self.fill(worth.astype(np.int64), rest, limits, hasty)
            if filled is None:
                break
            if best is None or self.key(filled) < self.key(best):
                best = filled
            if self.key(best)[0] <= target or self.fills > fills:
                break
            for column in filled:
                used = np.flatnonzero(column.counts)
                fair = self.area_values[used] / max(column.share, 0.05)
                pull = 0.5 * column.counts[used] / (column.counts[used] + rest[used])
                worth[used] = (1 - pull) * worth[used] + pull * fair
        return best

    def regroup(
        self,
        filled: Filled,
        values: Ints,
        limits: Sequence[int | None],
        fills: int,
        target: int,
    ) -> Filled:
        """Empty a few sheets and fill them again, until the count of fills is reached.

        `limits` is the stock that all the sheets together may use.
        """
        bases = (
            values + self.area_values // _FLOOR,
            np.maximum(values, self.area_values // 2),
        )
        size = len(values)
        while len(filled) > 1 and self.key(filled)[0] > target and self.fills < fills:
            self.fills += 1
            order = sorted(range(len(filled)), key=lambda n: (filled[n].share, n))
            many = min(len(filled), int(self.random.integers(2, 7)))
            first = order[0] if self.random.random() < 0.7 else order[min(1, len(order) - 1)]
            others = [n for n in order if n != first]
            picked = self.random.choice(len(others), size=many - 1, replace=False)
            chosen = {first, *(others[int(p)] for p in picked)}
            old = [filled[n] for n in sorted(chosen)]
            rest = np.sum([column.counts for column in old], axis=0)
            spread = _NOISE[int(self.random.integers(len(_NOISE)))]
            noise = 1 + spread * self.random.standard_normal(size).clip(-2, 2)
            base = bases[int(self.random.integers(len(bases)))]
            spare = _spare(limits, filled, old)
            new = self.fill((base * noise).astype(np.int64), rest, spare)
            if new is not None and self.key(new) <= self.key(old):
                filled = [column for n, column in enumerate(filled) if n not in chosen] + new
        return filled


def _spare(limits: Sequence[int | None], filled: Filled, emptied: Filled) -> list[int | None]:
    """Stock free for the emptied sheets' pieces: what is not used, and theirs."""
    used = Counter(column.bin for column in filled)
    used.subtract(column.bin for column in emptied)
    return [None if limit is None else limit - used[n] for n, limit in enumerate(limits)]
