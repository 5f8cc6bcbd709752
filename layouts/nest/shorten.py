"""Goal lengths: all items into frames of a given length of roll, then into shorter ones.

A local search exchanges items in the sequence in which they are offered until none is left out;
then the goal gets shorter. It needs neither a compiler nor a solver. Source: Wei, Hu, Leung and
Zhang, "An improved skyline based heuristic for the 2D strip packing problem and its efficient
implementation", 2017 (goals and exchanges).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from random import Random

from layouts.nest.model import Slot
from layouts.nest.problem import Best, Bin, Pattern, Plan, Problem, open_bin
from layouts.nest.sequence_fill import STEP_WORK, Fill, Place, SequenceFiller

_PART_WORK = 100
"""Probes that a unit of effort buys for each item, up to `_MOST_PARTS` of them."""
_MOST_PARTS = 200
_FRAMES = 2
"""With more frames than this, filling one after the other is the weaker way."""
_SHARES = 6
"""After this part of the work without reaching a goal the goal is relaxed."""


@dataclass(frozen=True, slots=True)
class Reached:
    """How far a goal was reached: the order, the places it gives, the area left out."""

    order: list[int]
    places: list[Place]
    out: int


def goal_lengths(problem: Problem, best: Best, target: int) -> Best:
    """Frames of one roll, shorter and shorter; for orders of few frames only."""
    bin_ = open_bin(problem)
    cost = best.cost(problem)
    if bin_ is None or cost > _FRAMES * bin_.cost * (bin_.height + bin_.overhead):
        return best
    whole = problem.effort * _PART_WORK * min(_MOST_PARTS, problem.items)
    search = GoalLengths(problem, bin_, whole)
    places = search.improve(cost, target)
    plan = None if places is None else _draw_bin(bin_, places)
    return best.improved(problem, plan, whole - search.filler.work)


def _draw_bin(bin_: Bin, places: Sequence[Place]) -> Plan:
    frames: dict[int, list[Slot]] = {}
    for i, frame, x, y, turned in places:
        slot = Slot(i, bin_.left + x, bin_.top + y, turned)
        frames.setdefault(frame, []).append(slot)
    plan: Plan = {}
    for slots in frames.values():
        pattern = Pattern(bin_.index, tuple(sorted(slots)))
        plan[pattern] = plan.get(pattern, 0) + 1
    return plan


class GoalLengths:
    """Ever shorter fills of one roll."""

    descent = 4
    """Each goal takes off this part of what is left to the bound."""

    def __init__(self, problem: Problem, bin_: Bin, work: int) -> None:
        """`work` is the most probes to spend."""
        self.problem = problem
        self.bin = bin_
        self.filler = SequenceFiller(problem, bin_, work)

    def first_orders(self) -> list[list[int]]:
        """Orders to start from: large pieces first, by several measures."""
        w, h = self.problem.widths, self.problem.heights
        parts = [i for i, d in enumerate(self.problem.demands) for _ in range(d)]
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
        random = Random(self.problem.seed)
        share, grain = self.filler.work // _SHARES, self.filler.grain
        best: Reached | None = None
        most, least = cost // self.bin.cost, bound // self.bin.cost
        floor = -(-self.filler.total // (self.bin.width * grain)) * grain
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
                length += max(grain, fill.out // self.bin.width)
                if length >= most:
                    starts = self.first_orders()
            elif self.length(fill.places) < most:
                best, most = fill, self.length(fill.places)
                length = most
        return None if best is None else best.places

    def _content(self, length: int) -> int:
        """Room for pieces in that length of roll, without the frames' ends, in whole units."""
        frames = -(-length // (self.bin.height + self.bin.overhead))
        return (length - frames * self.bin.overhead) // self.filler.grain * self.filler.grain

    def length(self, places: Sequence[Place]) -> int:
        """Roll length with the frames' ends."""
        ends: dict[int, int] = {}
        for i, frame, _, y, turned in places:
            bottom = y + (self.problem.widths if turned else self.problem.heights)[i]
            ends[frame] = max(bottom, ends.get(frame, 0))
        return sum(ends.values()) + len(ends) * self.bin.overhead

    def reach(self, goal: int, random: Random, share: int, starts: list[list[int]]) -> Reached:
        """The fill of frames of `goal` in all that leaves out least, within a share of the work."""
        heights = [self.bin.height] * (goal // self.bin.height)
        if goal % self.bin.height:
            heights.append(goal % self.bin.height)
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
