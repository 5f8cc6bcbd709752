"""Straight cuts of small orders: ever fewer sheets, or ever shorter frames of a roll.

A goal is a number of sheets or a length of roll. Some panels at a time are emptied and filled again
(ruin and recreate on the tree of cuts) until all items are in; what lies beside the bins takes part
in each refill, so that it comes in where waste has gathered. Then the next goal is harder. It needs
neither a compiler nor a solver. Source: Wei, Hu, Leung and Zhang, "An improved skyline based
heuristic for the 2D strip packing problem and its efficient implementation", 2017 (goals); the
panels and their refills are our own.
"""

from collections.abc import Sequence
from math import gcd, isqrt
from random import Random

from layouts.nest.lanes import (
    BLANK,
    PIECE,
    STACK,
    LanePacker,
    Orientation,
    Panel,
    Pool,
    as_root,
    longer,
)
from layouts.nest.model import Slot
from layouts.nest.problem import (
    Best,
    Bin,
    Pattern,
    Plan,
    Problem,
    open_bin,
    used_length,
    with_demands,
)

_SHEET_WORK, _ROLL_WORK = 12, 24
"""Probes that a unit of effort buys for each item, up to `_MOST_PARTS` of them."""
_MOST_PARTS = 200
_CELLS = 12_000
"""Most units of a bin's side; beyond, sizes round up, and what is found is pushed together."""
_FIRST = 60
"""A roll's first goal is this part of its bound above it."""
_DESCENT = 4
"""A roll's next goal takes off this part of what is left to the bound."""
_SHARES = 4
"""After this part of the work without reaching a goal the goal is relaxed."""
_RELAX = 2
"""A goal is relaxed by this many times the length that the items left out would fill."""
_STARTS = 20
"""Fills of whole bins of which the best begins a search."""
_MORE = 0.5
"""Chance of one more neighbor among the panels that are emptied together."""
_WITH_BLANK = 0.7
"""Chance that the blank panel beside is taken too."""
_LOSSES = (0, 0, 0, 1, 1, 2, 3, 4, 6, 9)
"""What a refill may lose, drawn at random, in hundredths of a middling piece."""
_MOVE_WORK = 3
"""What a choice of panels costs, in probes."""


def straight_goals(problem: Problem, best: Best, target: int) -> Best:
    """Straight cuts at less cost than the best; the search ends at the target.

    Of several stocks it takes that with the least cost for its area. On sheets equal sets, as of
    one plant after the other, are tried first: one of them, then as many copies.
    """
    bin_ = open_bin(problem)
    if bin_ is None:
        return best
    cost = best.cost(problem)
    search = StraightGoals(problem, bin_)
    if bin_.roll:
        plan = search.shorter(cost, target)
        return best.improved(problem, plan, search.refiller.work)
    work, sets = 0, gcd(*problem.demands)
    if sets > 1:
        one = with_demands(problem, tuple(demand // sets for demand in problem.demands))
        first = StraightGoals(one, bin_)
        found = first.fewer(-(-cost // sets), -(-target // sets))
        work = first.refiller.work
        if found is not None:
            plan = {pattern: copies * sets for pattern, copies in found.items()}
            best = best.improved(problem, plan, work)
            cost = best.cost(problem)
    plan = search.fewer(cost, target) if cost > target else None
    return best.improved(problem, plan, work + search.refiller.work)


class StraightGoals:
    """Plans for one problem on one stock."""

    def __init__(self, problem: Problem, bin_: Bin) -> None:
        """Sizes in whole units; the work follows from the problem's effort and its parts."""
        self.problem = problem
        self.bin = bin_
        wanted = [i for i, d in enumerate(problem.demands) if d]
        grain = gcd(*(side for i in wanted for side in (problem.widths[i], problem.heights[i])))
        self.unit = max(grain, -(-max(bin_.width, bin_.height) // _CELLS))
        self.width, self.height = bin_.width // self.unit, bin_.height // self.unit
        w = [-(-side // self.unit) for side in problem.widths]
        h = [-(-side // self.unit) for side in problem.heights]
        self.kinds = sorted(wanted, key=lambda i: (-max(w[i], h[i]), -min(w[i], h[i]), i))
        orientations = [
            [(w[i], h[i], n, False), (h[i], w[i], n, True)][: 1 + problem.turnable[i]]
            for n, i in enumerate(self.kinds)
        ]
        demand = {n: problem.demands[i] for n, i in enumerate(self.kinds)}
        self.refiller = Refiller(orientations, demand, not bin_.roll, problem.seed)
        parts = min(_MOST_PARTS, sum(demand.values()))
        self.work = problem.effort * parts * (_ROLL_WORK if bin_.roll else _SHEET_WORK)

    def fewer(self, cost: int, bound: int) -> Plan | None:
        """Sheets at less than the cost, one less at a time down to the bound; None where none."""
        best: Plan | None = None
        count = (cost - 1) // self.bin.cost
        room = self.width * self.height
        while count * self.bin.cost >= bound and self.refiller.total <= count * room:
            self.refiller.begin(self.width, [self.height] * count)
            if not self.refiller.refill(self.work):
                break
            best = self._draw_bins()
            count -= 1
        return best

    def shorter(self, cost: int, bound: int) -> Plan | None:
        """Frames at less than the cost, shorter and shorter; None where none are found.

        A goal that is not reached is relaxed, the frames at hand with it.
        """
        bin_, refiller = self.bin, self.refiller
        best: Plan | None = None
        most, least = -(-cost // bin_.cost), -(-bound // bin_.cost)
        goal = min(most - 1, least + least // _FIRST)
        heights: list[int] = []
        while refiller.work < self.work and least <= goal < most:
            before, heights = heights, self._heights(goal)
            if len(before) == len(heights) and before[-1] < heights[-1]:
                refiller.lengthen(heights[-1])
            else:
                refiller.begin(self.width, heights)
            if refiller.refill(min(self.work, refiller.work + self.work // _SHARES)):
                best = self._draw_bins()
                most = min(most, self._length(best))
                goal = min(goal, most - max(self.unit, (most - least) // _DESCENT))
            else:
                goal += self.unit * (1 + _RELAX * refiller.area_out // self.width)
        return best

    def _heights(self, goal: int) -> list[int]:
        """The frames' room for pieces, in units, all but the last whole."""
        whole = self.bin.height + self.bin.overhead
        heights = [self.height] * (goal // whole)
        rest = (goal % whole - self.bin.overhead) // self.unit
        return [*heights, rest] if rest > 0 else heights

    def _length(self, plan: Plan) -> int:
        return sum(copies * used_length(self.problem, pattern) for pattern, copies in plan.items())

    def _draw_bins(self) -> Plan:
        """The bins in micrometers, pieces pushed together toward the corner."""
        plan: Plan = {}
        for root in self.refiller.roots:
            slots: list[Slot] = []
            self._lay(root, self.bin.left, self.bin.top, slots)
            if slots:
                pattern = Pattern(self.bin.index, tuple(sorted(slots)))
                plan[pattern] = plan.get(pattern, 0) + 1
        return plan

    def _lay(self, panel: Panel, x: int, y: int, slots: list[Slot]) -> tuple[int, int]:
        """Slots of a panel from its corner on; how far they reach."""
        if panel.kind == PIECE:
            i = self.kinds[panel.piece]
            slots.append(Slot(i, x, y, panel.turned))
            w, h = self.problem.widths[i], self.problem.heights[i]
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


class Refiller:
    """Bins cut, and the pieces beside them; the budget counts probes at orientations."""

    def __init__(
        self, orientations: Sequence[Sequence[Orientation]], demand: Pool, sheets: bool, seed: int
    ) -> None:
        """`ways` are each piece's orientations, hard pieces first.

        On sheets long pieces count for more than their area, since few sheets have room for them.
        """
        self.demand = demand
        self.areas = [w * h for (w, h, _, _), *_ in orientations]
        self.total = sum(n * self.areas[i] for i, n in demand.items())
        self.worths = self.areas
        if sheets:
            self.worths = [w * h * isqrt(max(w, h) << 20) for (w, h, _, _), *_ in orientations]
        self.middling = self._worth(demand) // sum(demand.values())
        self.random = Random(seed)
        self.packer = LanePacker(orientations, self.random)
        self.roots: list[Panel] = []
        self.pool: Pool = {}
        self._moves = 0

    @property
    def work(self) -> int:
        """Probes spent so far."""
        return self.packer.work + _MOVE_WORK * self._moves

    @property
    def area_out(self) -> int:
        """Area of the pieces beside, in square units."""
        return sum(n * self.areas[i] for i, n in self.pool.items())

    def begin(self, width: int, heights: Sequence[int]) -> None:
        """Fill bins one after the other, the best of several times."""
        most = self._worth(self.demand)
        for n in range(_STARTS):
            pool = dict(self.demand)
            roots = [as_root(self.packer.fill(width, height, pool)) for height in heights]
            out = self._worth(pool)
            if out < most or not n:
                self.roots, self.pool, most = roots, pool, out
            if not out:
                break

    def lengthen(self, height: int) -> None:
        """The last bin made higher."""
        self.roots[-1] = longer(self.roots[-1], height)

    def refill(self, until: int) -> bool:
        """Whether all pieces are placed before so much work is spent."""
        out = self._worth(self.pool)
        random = self.random.random
        cut = [panel for root in self.roots for panel in root.cut_panels()]
        while out and self.work < until:
            at = int(random() * len(cut))
            panel = cut[at]
            if panel.kind >= PIECE:
                cut[at] = cut[-1]
                cut.pop()
                continue
            self._moves += 1
            chosen = self._neighbors(panel)
            new, left = self._refill(panel, chosen)
            if new is None:
                continue
            now = self._worth(left)
            if (now - out) * 100 > _LOSSES[int(random() * len(_LOSSES))] * self.middling:
                continue
            out, self.pool = now, left
            cut += new.cut_panels()
            panel.put(chosen, new, any(panel is root for root in self.roots))
        return not out

    def _neighbors(self, panel: Panel) -> list[Panel]:
        """Some parts of a panel at random, mostly with its blank one."""
        random, parts = self.random.random, panel.parts
        many = 1
        while random() < _MORE:
            many += 1
        if many >= len(parts):
            return parts[:]
        chosen = self.random.sample(parts, many)
        if parts[-1].kind == BLANK and parts[-1] not in chosen and random() < _WITH_BLANK:
            chosen.append(parts[-1])
        return chosen

    def _refill(self, panel: Panel, chosen: Sequence[Panel]) -> tuple[Panel | None, Pool]:
        """The chosen parts as one, filled again, and what then lies beside; None if full."""
        left = dict(self.pool)
        if len(chosen) == 1 and chosen[0].kind >= PIECE:
            return None, left
        for part in chosen:
            part.empty_into(left)
        width, height = panel.width, panel.height
        if panel.kind == STACK:
            height = sum(part.height for part in chosen)
        else:
            width = sum(part.width for part in chosen)
        if not any(_has_blank(part) for part in chosen):
            return None, left
        return self.packer.fill(width, height, left), left

    def _worth(self, pool: Pool) -> int:
        return sum(n * self.worths[i] for i, n in pool.items())


def _has_blank(panel: Panel) -> bool:
    return panel.kind == BLANK or any(_has_blank(part) for part in panel.parts)
