"""Straight cuts of small orders: ever fewer sheets, or ever shorter frames of a roll.

A goal is a number of sheets or a length of roll; where all pieces go in, the next one is harder.
It needs neither a compiler nor a solver. Source: Wei, Hu, Leung and Zhang, "An improved skyline
based heuristic for the 2D strip packing problem and its efficient implementation", 2017 (goals);
the panels and their refills are our own.
"""

from math import gcd

from layouts.nest.job import Job, Layout, Plan, Plate, plan_cost, used_length, with_demands
from layouts.nest.model import Slot
from layouts.nest.panels import PIECE, STACK, Panel
from layouts.nest.refilling import Refiller

_SHEET_WORK, _ROLL_WORK = 12, 24
"""Looks that a unit of effort buys for each part, up to so many."""
_MOST_PARTS = 200
_CELLS = 12_000
"""Most units of a plate's side; beyond, sizes round up, and what is found is pushed together."""
_FIRST = 60
"""A roll's first goal is this part of its bound above it."""
_DESCENT = 4
"""A roll's next goal takes off this part of what is left to the bound."""
_SHARES = 4
"""After this part of the work without reaching a goal the goal is relaxed."""
_RELAX = 2
"""A goal is relaxed by so many times the length that what lies beside would fill."""


def straight_plan(job: Job, plan: Plan, bound: int) -> Plan | None:
    """The plan, or one at less cost; the search ends at the bound.

    Of several stocks it takes that with the least cost for its area. None with limits and
    keep-outs, which are not for this road. Sets, as of kits, are tried one alone first.
    """
    plates = [p for p in job.plates if p.limit is None and len(p.regions[0]) == 1 and p.cost]
    plates = [p for p in plates if all(job.fits(i, p) for i, d in enumerate(job.demands) if d)]
    if not plates:
        return None
    areas = {p.index: p.width * (1 if p.roll else p.height) for p in plates}
    plate = min(plates, key=lambda p: (p.cost / areas[p.index], p.index))
    cost = plan_cost(job, plan)
    if plate.roll:
        return StraightSearch(job, plate).shorter(cost, bound) or plan
    sets = gcd(*job.demands)
    if sets > 1:
        one = with_demands(job, tuple(demand // sets for demand in job.demands))
        found = StraightSearch(one, plate).fewer(-(-cost // sets), -(-bound // sets))
        if found is not None:
            plan = {layout: copies * sets for layout, copies in found.items()}
            cost = plan_cost(job, plan)
    return (StraightSearch(job, plate).fewer(cost, bound) if cost > bound else None) or plan


class StraightSearch:
    """Plans for one job on one stock."""

    def __init__(self, job: Job, plate: Plate) -> None:
        """Sizes in whole units; the work follows from the job's effort and its parts."""
        self.job = job
        self.plate = plate
        wanted = [i for i, d in enumerate(job.demands) if d]
        grain = gcd(*(side for i in wanted for side in (job.widths[i], job.heights[i])))
        self.unit = max(grain, -(-max(plate.width, plate.height) // _CELLS))
        self.width, self.height = plate.width // self.unit, plate.height // self.unit
        w = [-(-side // self.unit) for side in job.widths]
        h = [-(-side // self.unit) for side in job.heights]
        self.kinds = sorted(wanted, key=lambda i: (-max(w[i], h[i]), -min(w[i], h[i]), i))
        ways = [
            [(w[i], h[i], n, False), (h[i], w[i], n, True)][: 1 + job.turnable[i]]
            for n, i in enumerate(self.kinds)
        ]
        demand = {n: job.demands[i] for n, i in enumerate(self.kinds)}
        self.refiller = Refiller(ways, demand, not plate.roll, job.seed)
        parts = min(_MOST_PARTS, sum(demand.values()))
        self.work = job.effort * parts * (_ROLL_WORK if plate.roll else _SHEET_WORK)

    def fewer(self, cost: int, bound: int) -> Plan | None:
        """Sheets at less than the cost, one less at a time down to the bound; None where none."""
        best: Plan | None = None
        count = (cost - 1) // self.plate.cost
        room = self.width * self.height
        while count * self.plate.cost >= bound and self.refiller.total <= count * room:
            self.refiller.begin(self.width, [self.height] * count)
            if not self.refiller.refill(self.work):
                break
            best = self._drawn()
            count -= 1
        return best

    def shorter(self, cost: int, bound: int) -> Plan | None:
        """Frames at less than the cost, shorter and shorter; None where none are found.

        A goal that is not reached is relaxed, the frames at hand with it.
        """
        plate, refiller = self.plate, self.refiller
        best: Plan | None = None
        most, least = -(-cost // plate.cost), -(-bound // plate.cost)
        goal = min(most - 1, least + least // _FIRST)
        heights: list[int] = []
        while refiller.work < self.work and least <= goal < most:
            before, heights = heights, self._heights(goal)
            if len(before) == len(heights) and before[-1] < heights[-1]:
                refiller.lengthen(heights[-1])
            else:
                refiller.begin(self.width, heights)
            if refiller.refill(min(self.work, refiller.work + self.work // _SHARES)):
                best = self._drawn()
                most = min(most, self._length(best))
                goal = min(goal, most - max(self.unit, (most - least) // _DESCENT))
            else:
                goal += self.unit * (1 + _RELAX * refiller.area_out // self.width)
        return best

    def _heights(self, goal: int) -> list[int]:
        """The frames' room for pieces, in units, all but the last whole."""
        whole = self.plate.height + self.plate.overhead
        heights = [self.height] * (goal // whole)
        rest = (goal % whole - self.plate.overhead) // self.unit
        return [*heights, rest] if rest > 0 else heights

    def _length(self, plan: Plan) -> int:
        return sum(copies * used_length(self.job, layout) for layout, copies in plan.items())

    def _drawn(self) -> Plan:
        """The plates in micrometers, pieces pushed together towards the corner."""
        plan: Plan = {}
        for root in self.refiller.roots:
            slots: list[Slot] = []
            self._lay(root, self.plate.left, self.plate.top, slots)
            if slots:
                layout = Layout(self.plate.index, tuple(sorted(slots)))
                plan[layout] = plan.get(layout, 0) + 1
        return plan

    def _lay(self, panel: Panel, x: int, y: int, slots: list[Slot]) -> tuple[int, int]:
        """Slots of a panel from its corner on; how far they reach."""
        if panel.kind == PIECE:
            i = self.kinds[panel.piece]
            slots.append(Slot(i, x, y, panel.turned))
            w, h = self.job.widths[i], self.job.heights[i]
            return (x + h, y + w) if panel.turned else (x + w, y + h)
        right, bottom = x, y
        for part in panel.parts:
            if panel.kind == STACK:
                end, y = self._lay(part, x, y, slots)
                bottom, right = y, max(right, end)
            else:
                x, end = self._lay(part, x, y, slots)
                right, bottom = x, max(bottom, end)
        return right, bottom
