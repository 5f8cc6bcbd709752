"""The search for the shortest fill of a roll, compiled, for more than the usual effort."""

from random import Random

import numpy as np

from layouts.nest.job import Job, Plate
from layouts.nest.strip import Reached, RollSearch
from layouts.nest.strip_fill import Place
from layouts.nest.strip_kernels import search_order

_FASTER = 40
"""Compiled looks for a plain one: the effort buys time, not looks."""


class CompiledSearch(RollSearch):
    """Ever shorter fills of one frame; several frames are filled plainly."""

    descent = 1

    def __init__(self, job: Job, plate: Plate, work: int) -> None:
        """`work` is the most plain looks to spend."""
        super().__init__(job, plate, work)
        ways = zip(job.widths, job.heights, job.turnable, strict=True)
        self.sides = np.array([(w, h, turn) for w, h, turn in ways], dtype=np.int64)
        self.kinds = np.array(sorted(self.first_orders()[0]), dtype=np.int64)
        self.fillable = np.array(self.filler.fillable, dtype=np.int64)

    def reach(self, goal: int, random: Random, share: int, starts: list[list[int]]) -> Reached:
        """The fill of frames of `goal` in all that leaves out least, within a share of the work."""
        if goal > self.plate.height:
            return super().reach(goal, random, share, starts)
        filler = self.filler
        room = (self.plate.width, goal, filler.total, filler.slack, filler.unit)
        state = np.array([1 + random.getrandbits(31)], dtype=np.int64)
        best: Reached | None = None
        for order in starts:
            # Parts of one kind are neighbors in `kinds`; each rank of the order gets one of them.
            ranks = np.argsort(np.array(order), kind="stable")
            parts = np.empty(len(order), dtype=np.int64)
            parts[ranks] = np.arange(len(order))
            looks = min(share, filler.work) * _FASTER // len(starts)
            out, places, left = search_order(
                parts,
                self.sides[self.kinds],
                np.array(room, dtype=np.int64),
                self.fillable,
                state,
                looks,
            )
            filler.work -= (looks - left) // _FASTER + 1
            if best is None or out < best.out:
                best = Reached(self.kinds[parts].tolist(), self._places(places), int(out))
            if not out:
                break
        assert best is not None
        return best

    def _places(self, places: "np.ndarray[tuple[int, int], np.dtype[np.int64]]") -> list[Place]:
        rows = zip(self.kinds.tolist(), places.tolist(), strict=True)
        return [(i, 0, x, y, bool(turned)) for i, (x, y, turned) in rows if x >= 0]
