"""The plain search: sheets and frames filled by taste, then regrouped.

It needs neither a compiler nor a solver. A few sheets at a time are emptied and filled again;
what is better stays. The budget counts looks at ways to lay a piece, never time.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from random import Random

from layouts.nest.job import Box, Job, Layout, Plan, Plate, used_length
from layouts.nest.model import Slot
from layouts.nest.quick import fill
from layouts.nest.skyline import Place, Tables, any_taste, fill_box

_FIRST = 6
"""Fills tried for each sheet of the first plan."""
_SHORT_RUNS = 10
"""Fills tried of stock that does not suffice."""
_EFFORT_WORK, _PART_WORK, _MOST_PARTS = 4_000, 50, 600
"""Looks that a unit of effort buys, at all and for each part up to so many."""
_LEAST_GAIN = 2000
"""A gain below this part of the cost is none."""
_PATIENCE = 5
"""Without a gain for this part of the work, and half of what is spent, the search ends."""

_LEARN = 1.03
"""How much a piece's worth changes by one refill (sequential value correction)."""


@dataclass(frozen=True, slots=True)
class Sheetful:
    """One filled plate: what is on it, what it costs, and how well it is used."""

    layout: Layout
    counts: dict[int, int]
    cost: int
    share: float
    """Grown area of the pieces for the cost."""


Sheetfuls = list[Sheetful]


class PlainSearch:
    """Plans for one job, better ones as the work goes on."""

    def __init__(self, job: Job) -> None:
        """The work follows from the job's effort and its number of parts."""
        self.job = job
        parts = min(_MOST_PARTS, sum(job.demands))
        self.work = job.effort * (_EFFORT_WORK + _PART_WORK * parts)
        self.random = Random(job.seed)
        self.tables: Tables = {}
        self.worths = [1.0] * len(job.demands)

    def plan(self, first: Plan, target: int) -> Plan:
        """The best plan found from the first one on; the search ends at the target cost."""
        first_filled: Sheetfuls = []
        for layout, copies in first.items():
            first_filled += [self._sheetful(layout)] * copies
        best = first_filled
        own = self._filled(list(self.job.demands), self._limits(), _FIRST)
        if own is not None and _key(own) < _key(best):
            best = own
        best = self._regroup(best, target)
        if _cost(best) == _cost(first_filled):
            return first
        plan: Plan = {}
        for sheet in best:
            plan[sheet.layout] = plan.get(sheet.layout, 0) + 1
        return plan

    def _limits(self) -> list[int | None]:
        return [plate.limit for plate in self.job.plates]

    def _sheetful(self, layout: Layout) -> Sheetful:
        job = self.job
        plate = job.plates[layout.plate]
        counts: dict[int, int] = {}
        for slot in layout.slots:
            counts[slot.piece] = counts.get(slot.piece, 0) + 1
        area = sum(n * job.widths[i] * job.heights[i] for i, n in counts.items())
        cost = plate.cost * (used_length(job, layout) if plate.roll else 1)
        # A free stock is as good as one can be.
        return Sheetful(layout, counts, cost, area / max(1, cost))

    def fill_plate(self, plate: Plate, left: list[int]) -> Sheetful | None:
        """One plate filled by a random taste; `left` is counted down."""
        way = self.random.choice(plate.regions)
        slots = self._straight(plate, way, left) if self.job.guillotine else []
        if not self.job.guillotine:
            pieces = [i for i, n in enumerate(left) if n]
            taste = any_taste(self.job, pieces, self.worths, self.random)
            places: list[Place] = []
            for box in way:
                found, work = fill_box(box, taste, left, self.tables)
                self.work -= work
                places += found
            slots = [Slot(i, plate.left + x, plate.top + y, t) for i, x, y, t in places]
        if not slots:
            return None
        return self._sheetful(Layout(plate.index, tuple(sorted(slots))))

    def _straight(self, plate: Plate, way: Sequence[Box], left: list[int]) -> list[Slot]:
        """The same by straight cuts: pieces in a shaken order into the boxes they fit best."""
        pieces = [i for i, n in enumerate(left) if n]
        taste = any_taste(self.job, pieces, self.worths, self.random)
        order = list(dict.fromkeys(way.piece for way in taste.ways))
        work = [0]
        slots, _, _ = fill(self.job, plate, way, order, left, self.random.randrange(3), work)
        self.work += 12 * work[0] - 100
        for slot in slots:
            left[slot.piece] -= 1
        return list(slots)

    def most(self, plan: Plan, left: list[int]) -> tuple[Plan, list[int]]:
        """Of stock that does not suffice, the plan that leaves least area over, and what it leaves.

        The one given, with what it leaves, stays where no other leaves less.
        """
        areas = self.job.areas
        lost = sum(n * area for n, area in zip(left, areas, strict=True))
        for _ in range(_SHORT_RUNS):
            rest = list(self.job.demands)
            filled = self._fill_stock(rest, self._limits(), _FIRST)
            over = sum(n * area for n, area in zip(rest, areas, strict=True))
            if over < lost:
                plan, left, lost = dict(Counter(sheet.layout for sheet in filled)), rest, over
        return plan, left

    def _filled(self, left: list[int], limits: list[int | None], tries: int) -> Sheetfuls | None:
        """Sheets for all that is left; None where the stock does not suffice."""
        filled = self._fill_stock(left, limits, tries)
        return None if any(left) else filled

    def _fill_stock(self, left: list[int], limits: list[int | None], tries: int) -> Sheetfuls:
        """Sheets each the fullest for its cost of some tries; `left` and limits are counted down.

        It ends with the pieces or the stock.
        """
        filled: Sheetfuls = []
        while any(left):
            best: Sheetful | None = None
            for _ in range(tries):
                for plate in self.job.plates:
                    if limits[plate.index] == 0:
                        continue
                    sheet = self.fill_plate(plate, left.copy())
                    if sheet and (best is None or sheet.share > best.share):
                        best = sheet
            if best is None:
                break
            copies = min(left[i] // n for i, n in best.counts.items())
            limit = limits[best.layout.plate]
            if limit is not None:
                copies = min(copies, limit)
                limits[best.layout.plate] = limit - copies
            filled += [best] * copies
            for i, n in best.counts.items():
                left[i] -= copies * n
        return filled

    def _regroup(self, filled: Sheetfuls, target: int) -> Sheetfuls:
        """Empty a few sheets and fill them again, as long as that brings something.

        What only moves waste about serves the search and is not kept for itself.
        """
        best, least = filled, _cost(filled)
        whole = self.work
        # A whole sheet is gained at once or not at all, so that patience is for rolls.
        patience = whole // _PATIENCE if self.job.is_roll else whole
        mark, until = least, whole - patience
        while self.work > max(0, until) and least > target:
            chosen = self._chosen(filled)
            old = [filled[n] for n in chosen]
            left = [0] * len(self.job.demands)
            for sheet in old:
                for i, n in sheet.counts.items():
                    left[i] += n
            tries = self.random.choice((1, 1, 2))
            new = self._filled(left, self._spare(filled, old), tries)
            if new is not None:
                self._learn(new)
            if new is None or _key(new) > _key(old):
                continue
            filled = [sheet for n, sheet in enumerate(filled) if n not in chosen] + new
            if _cost(filled) < least:
                best, least = filled, _cost(filled)
            if (mark - least) * _LEAST_GAIN > mark:
                mark = least
                until = self.work - patience - (whole - self.work) // 2
        return best

    def _learn(self, filled: Sheetfuls) -> None:
        """Pieces that ended on the poorest sheet are worth more from now on, others less."""
        if len(filled) < 2:
            return
        for i in min(filled, key=lambda sheet: sheet.share).counts:
            self.worths[i] = min(2.0, self.worths[i] * _LEARN)
        for i in max(filled, key=lambda sheet: sheet.share).counts:
            self.worths[i] = max(0.5, self.worths[i] / _LEARN)

    def _chosen(self, filled: Sheetfuls) -> set[int]:
        """A few sheets, half the time with one of the poorest."""
        random = self.random
        many = min(len(filled), random.choice((1, 2, 2, 2, 3, 3, 4)))
        chosen = set(random.sample(range(len(filled)), many))
        self.work -= len(filled)
        if random.random() < 0.5:
            poor = sorted(range(len(filled)), key=lambda n: filled[n].share)
            chosen.discard(min(chosen))
            chosen.add(poor[min(len(poor) - 1, int(random.expovariate(1.0)))])
        return chosen

    def _spare(self, filled: Sheetfuls, emptied: Sheetfuls) -> list[int | None]:
        """Stock free for the emptied sheets' pieces: what is not used, and theirs."""
        spare = self._limits()
        for sheets, sign in ((filled, -1), (emptied, 1)):
            for sheet in sheets:
                limit = spare[sheet.layout.plate]
                if limit is not None:
                    spare[sheet.layout.plate] = limit + sign
        return spare


def _cost(filled: Sheetfuls) -> int:
    return sum(sheet.cost for sheet in filled)


def _key(filled: Sheetfuls) -> tuple[int, float]:
    """Less is better: cost, then waste gathered on few sheets."""
    return _cost(filled), -sum(sheet.share**2 for sheet in filled)
