"""Rolls packed towards a goal: all pieces into frames of a given length, by trial of orders.

A local search changes the order in which pieces are offered until nothing is left out; then the
goal gets shorter. It needs neither a compiler nor a solver. Source: Wei, Hu, Leung and Zhang, "An
improved skyline based heuristic for the 2D strip packing problem and its efficient
implementation", 2017 (goals and exchanges).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from random import Random

from layouts.nest.job import Job, Layout, Plan, Plate
from layouts.nest.model import DEFAULT_EFFORT, Slot
from layouts.nest.strip_fill import STEP_WORK, Fill, Filler, Place

_PART_WORK = 100
"""Looks that a unit of effort buys for each part, up to so many parts."""
_MOST_PARTS = 200
_COMPILED_WORK = 10_000
"""Plain looks for whose time a unit of effort pays in the compiled search."""
_FRAMES = 2
"""Beyond so many frames, filling one after the other is the weaker way."""
_SHARES = 6
"""After this part of the work without reaching a goal the goal is relaxed."""


@dataclass(frozen=True, slots=True)
class Reached:
    """How far a goal was reached: the order, the places it gives, the area left out."""

    order: list[int]
    places: list[Place]
    out: int


def strip_plan(job: Job, cost: int, bound: int) -> Plan | None:
    """Frames of one roll with all pieces at less than the cost given, or None.

    The roll is that with the least cost for its width; limits and keep-outs are not for this road.
    """
    plates = [p for p in job.plates if p.limit is None and len(p.regions[0]) == 1 and p.cost]
    plates = [p for p in plates if all(job.fits(i, p) for i, d in enumerate(job.demands) if d)]
    if not plates:
        return None
    plate = min(plates, key=lambda p: (p.cost / p.width, p.index))
    if cost > _FRAMES * plate.cost * (plate.height + plate.overhead):
        return None
    places = _search_for(job, plate).improve(cost, bound)
    return None if places is None else _drawn(plate, places)


def _search_for(job: Job, plate: Plate) -> "RollSearch":
    """The plain search; the compiled one where more than the usual effort is asked for."""
    if job.effort <= DEFAULT_EFFORT:
        parts = min(_MOST_PARTS, sum(job.demands))
        return RollSearch(job, plate, job.effort * _PART_WORK * parts)
    from layouts.nest.strip_compiled import CompiledSearch

    return CompiledSearch(job, plate, job.effort * _COMPILED_WORK)


def _drawn(plate: Plate, places: Sequence[Place]) -> Plan:
    frames: dict[int, list[Slot]] = {}
    for i, frame, x, y, turned in places:
        slot = Slot(i, plate.left + x, plate.top + y, turned)
        frames.setdefault(frame, []).append(slot)
    plan: Plan = {}
    for slots in frames.values():
        layout = Layout(plate.index, tuple(sorted(slots)))
        plan[layout] = plan.get(layout, 0) + 1
    return plan


class RollSearch:
    """Ever shorter fills of one roll."""

    descent = 4
    """Each goal takes off this part of what is left to the bound."""

    def __init__(self, job: Job, plate: Plate, work: int) -> None:
        """`work` is the most looks to spend."""
        self.job = job
        self.plate = plate
        self.filler = Filler(job, plate, work)

    def first_orders(self) -> list[list[int]]:
        """Orders to start from: large pieces first, by several measures."""
        w, h = self.job.widths, self.job.heights
        parts = [i for i, d in enumerate(self.job.demands) for _ in range(d)]
        measures = (
            lambda i: (-w[i] * h[i], i),
            lambda i: (-max(w[i], h[i]), -min(w[i], h[i]), i),
            lambda i: (-w[i] - h[i], i),
        )
        return [sorted(parts, key=measure) for measure in measures]

    def improve(self, cost: int, bound: int) -> list[Place] | None:
        """Places that cost less than given, or None; ends where the bound forbids better ones.

        Each goal lies a part of the way to the bound. One that is not reached is relaxed by the
        area left out; what reaches a goal starts the next one.
        """
        random = Random(self.job.seed)
        share, grain = self.filler.work // _SHARES, self.filler.grain
        best: Reached | None = None
        most, least = cost // self.plate.cost, bound // self.plate.cost
        floor = -(-self.filler.total // (self.plate.width * grain)) * grain
        starts = self.first_orders()
        length = most
        while self.filler.work > 0:
            if length >= most:
                length = most - max(1, (most - least) // self.descent)
            goal = max(self._content(length), floor)
            if goal > self._content(most - 1):
                break
            fill = self.reach(goal, random, share, starts)
            starts = [fill.order]
            if fill.out:
                length += max(grain, fill.out // self.plate.width)
                if length >= most:
                    starts = self.first_orders()
            elif self.length(fill.places) < most:
                best, most = fill, self.length(fill.places)
                length = most
        return None if best is None else best.places

    def _content(self, length: int) -> int:
        """Room for pieces in that length of roll, without the frames' ends, in whole units."""
        frames = -(-length // (self.plate.height + self.plate.overhead))
        return (length - frames * self.plate.overhead) // self.filler.grain * self.filler.grain

    def length(self, places: Sequence[Place]) -> int:
        """Roll length with the frames' ends."""
        ends: dict[int, int] = {}
        for i, frame, _, y, turned in places:
            bottom = y + (self.job.widths if turned else self.job.heights)[i]
            ends[frame] = max(bottom, ends.get(frame, 0))
        return sum(ends.values()) + len(ends) * self.plate.overhead

    def reach(self, goal: int, random: Random, share: int, starts: list[list[int]]) -> Reached:
        """The fill of frames of `goal` in all that leaves out least, within a share of the work."""
        heights = [self.plate.height] * (goal // self.plate.height)
        if goal % self.plate.height:
            heights.append(goal % self.plate.height)
        until = max(0, self.filler.work - share)
        best: Fill | None = None
        for order in starts:
            fill = self.filler.fill(order, heights, None, 0, self.filler.total)
            if fill is not None and (best is None or fill.out < best.out):
                best = fill
        assert best is not None
        while best.out and self.filler.work > until:
            self.filler.work -= STEP_WORK
            order = best.order[:]
            one, two = (int(random.random() * len(order)) for _ in range(2))
            if order[one] == order[two]:
                continue
            same = self.filler.same_steps(best, min(one, two), max(one, two))
            order[one], order[two] = order[two], order[one]
            best = self.filler.fill(order, heights, best, same, best.out) or best
        return Reached(best.order, [step.place for step in best.steps], best.out)
