"""Ruin and recreate: a few bins at a time are emptied and refilled; improvements are kept.

It needs neither a compiler nor a solver. Contours are filled along a skyline, straight cuts by the
guillotine fill, with random weights each time; items that end on poor bins become worth more
(sequential value correction). The budget counts probes of an orientation at a place, never time.
Sources: Schrimpf, Schneider, Stamm-Wilbrandt and Dueck, "Record breaking optimization results using
the ruin and recreate principle", 2000 (doi:10.1006/jcph.1999.6413); Mukhacheva and Zalgaller,
"Linear programming cutting problems", 1993 (the correction).
"""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from operator import itemgetter
from random import Random

from layouts.nest.guillotine_fill import fill
from layouts.nest.model import Slot
from layouts.nest.problem import Best, Bin, Box, Pattern, Plan, Problem, used_length
from layouts.nest.skyline import PIECE, Place, SkylineFiller

_FIRST = 6
"""Fills tried for each sheet of the first plan."""
_SHORT_RUNS = 10
"""Fills tried of stock that does not suffice."""
_EFFORT_WORK, _PART_WORK, _MOST_PARTS = 4_000, 50, 600
"""Probes that a unit of effort buys, at all and for each item up to `_MOST_PARTS`."""
_LEAST_GAIN = 2000
"""A gain below this part of the cost is none."""
_PATIENCE, _PATIENCE_BESIDE = 5, 7
"""Without a gain for this part of the work, and half of what is spent, the search ends; the second
holds for the last frames beside those that stay."""
_BLANK = 20
"""A sheet less is sought with this multiple of the part of the others that would stay blank."""
_SHORT = 0.5
"""With few sizes this part of a roll's frames is filled on less than its full length."""

_LEARN = 1.03
"""How much a piece's worth changes by one refill (sequential value correction)."""


@dataclass(frozen=True, slots=True)
class FilledBin:
    """One filled bin: what is on it, what it costs, and how well it is used."""

    bin: int
    places: Sequence[Place]
    """Piece, x and y in sheet coordinates, turned."""
    counts: dict[int, int]
    cost: int
    share: float
    """Grown area of the pieces for the cost."""

    @property
    def pattern(self) -> Pattern:
        """The bin as the plan has it; most bins of a search never come that far."""
        return Pattern(self.bin, tuple(Slot(*place) for place in sorted(self.places)))


FilledBins = list[FilledBin]


def recreate(problem: Problem, best: Best, target: int) -> Best:
    """A few bins at a time emptied and filled again."""
    search = RuinAndRecreate(problem)
    whole = search.work
    plan = search.plan(best.plan, target)
    return best.improved(problem, plan, whole - search.work)


class RuinAndRecreate:
    """Plans for one problem, better ones as the work goes on."""

    def __init__(self, problem: Problem) -> None:
        """The work follows from the problem's effort and its number of parts."""
        self.problem = problem
        parts = min(_MOST_PARTS, sum(problem.demands))
        self.work = problem.effort * (_EFFORT_WORK + _PART_WORK * parts)
        self.random = Random(problem.seed)
        self.skyline = SkylineFiller(problem)
        self.worths = [1.0] * len(problem.demands)
        self.areas = problem.areas
        self._lengths = [self._short_lengths(bin_) for bin_ in problem.bins]

    def plan(self, first: Plan, target: int) -> Plan:
        """The best plan found from the first one on; the search ends at the target cost."""
        first_filled: FilledBins = []
        for pattern, copies in first.items():
            first_filled += [self.filled_bin(pattern)] * copies
        best = first_filled
        own = self.fill_bins(list(self.problem.demands), self._limits(), _FIRST)
        if own is not None and _key(own) < _key(best):
            best = own
        best = self.regroup(best, target)
        if cost_of_bins(best) == cost_of_bins(first_filled):
            return first
        plan: Plan = {}
        for sheet in best:
            plan[sheet.pattern] = plan.get(sheet.pattern, 0) + 1
        return plan

    def _short_lengths(self, bin_: Bin) -> list[int]:
        """Lengths from half a frame on that rows of one size end at; none where sizes are many.

        Few sizes leave a full frame ragged, and a shorter one may end with all of its rows.
        """
        problem = self.problem
        open_roll = bin_.roll and len(bin_.regions[0]) == 1
        if problem.guillotine or not open_roll or not problem.few_sizes:
            return []
        return sorted(
            {
                rows * down
                for i, demand in enumerate(problem.demands)
                if demand
                for _, down in problem.orientations(i)
                for rows in range(-(-bin_.height // (2 * down)), bin_.height // down + 1)
            }
        )

    def _limits(self) -> list[int | None]:
        return [bin_.limit for bin_ in self.problem.bins]

    def filled_bin(self, pattern: Pattern) -> FilledBin:
        """What a pattern holds."""
        bin_ = self.problem.bins[pattern.bin]
        length = used_length(self.problem, pattern) if bin_.roll else 0
        places = [(s.piece, s.x_um, s.y_um, s.turned) for s in pattern.slots]
        return self._measured(bin_, places, length)

    def _measured(self, bin_: Bin, places: Sequence[Place], length: int) -> FilledBin:
        """A filled bin with its cost; `length` is that of a roll's frame."""
        counts = Counter(map(itemgetter(0), places))
        areas = self.areas
        area = sum([n * areas[i] for i, n in counts.items()])
        cost = bin_.cost * (length if bin_.roll else 1)
        # A free stock is as good as one can be.
        return FilledBin(bin_.index, places, counts, cost, area / max(1, cost))

    def fill_bin(self, bin_: Bin, left: list[int]) -> FilledBin | None:
        """One bin filled by random weights; `left` is counted down."""
        region = self.random.choice(bin_.regions)
        lengths = self._lengths[bin_.index]
        if lengths and self.random.random() < _SHORT:
            region = ((0, 0, bin_.width, self.random.choice(lengths)),)
        pieces = [i for i, n in enumerate(left) if n]
        weights = self.skyline.random_weights(pieces, self.worths, self.random)
        places: list[Place] = []
        reach = 0
        x0, y0 = bin_.left, bin_.top
        if self.problem.guillotine:
            order = list(dict.fromkeys(way[PIECE] for way in weights.ways))
            straight, reach = self._straight(bin_, region, order, left)
            places = [(i, x0 + x, y0 + y, turned) for i, x, y, turned in straight]
        else:
            for x, y, width, height in region:
                filled = self.skyline.fill((x0 + x, y0 + y, width, height), weights, left)
                self.work -= filled.work
                places += filled.places
                reach = max(reach, filled.reach - y0)
        return self._measured(bin_, places, reach + bin_.overhead) if places else None

    def _straight(
        self, bin_: Bin, region: Sequence[Box], order: Sequence[int], left: list[int]
    ) -> tuple[list[Place], int]:
        """Pieces in an order into the boxes that they fit best, by straight cuts."""
        work = [0]
        places, _, reach = fill(
            self.problem, bin_, region, order, left, self.random.randrange(3), work
        )
        self.work += 12 * work[0] - 100
        for i, _, _, _ in places:
            left[i] -= 1
        return places, reach

    def most(self, plan: Plan, left: list[int]) -> tuple[Plan, list[int]]:
        """The plan that leaves the least area over when stock runs short, and what it leaves.

        The one given, with what it leaves, stays where no other leaves less.
        """
        lost = self.problem.lost(left)
        for _ in range(_SHORT_RUNS):
            rest = list(self.problem.demands)
            filled = self._fill_stock(rest, self._limits(), _FIRST)
            over = self.problem.lost(rest)
            if over < lost:
                plan, left, lost = dict(Counter(sheet.pattern for sheet in filled)), rest, over
        return plan, left

    def fill_bins(self, left: list[int], limits: list[int | None], tries: int) -> FilledBins | None:
        """Sheets for all that is left; None where the stock does not suffice."""
        filled = self._fill_stock(left, limits, tries)
        return None if any(left) else filled

    def _fill_stock(self, left: list[int], limits: list[int | None], tries: int) -> FilledBins:
        """Sheets each the fullest for its cost of some tries; `left` and limits are counted down.

        It ends with the pieces or the stock.
        """
        filled: FilledBins = []
        while any(left):
            best: FilledBin | None = None
            for _ in range(tries):
                for bin_ in self.problem.bins:
                    if limits[bin_.index] == 0:
                        continue
                    sheet = self.fill_bin(bin_, left.copy())
                    if sheet and (best is None or sheet.share > best.share):
                        best = sheet
            if best is None:
                break
            copies = min(left[i] // n for i, n in best.counts.items())
            limit = limits[best.bin]
            if limit is not None:
                copies = min(copies, limit)
                limits[best.bin] = limit - copies
            filled += [best] * copies
            for i, n in best.counts.items():
                left[i] -= copies * n
        return filled

    def regroup(self, filled: FilledBins, target: int, fixed: int = 0) -> FilledBins:
        """Empty a few sheets and fill them again, as long as that brings something.

        What only moves waste about serves the search and is not kept for itself. `fixed` is the
        cost of sheets that stay, beside which a gain is weighed.
        """
        best, least = filled, cost_of_bins(filled)
        whole = self.work
        if self.problem.is_roll:
            patience = whole // (_PATIENCE_BESIDE if fixed else _PATIENCE)
        else:
            patience = self._sheet_work(filled)
        mark, until = least, whole - patience
        while self.work > max(0, until) and least > target:
            chosen = self._choose_bins(filled)
            old = [filled[n] for n in chosen]
            left = [0] * len(self.problem.demands)
            for sheet in old:
                for i, n in sheet.counts.items():
                    left[i] += n
            tries = self.random.choice((1, 1, 2))
            new = self.fill_bins(left, self._spare(filled, old), tries)
            if new is not None:
                self._learn(new)
            if new is None or _key(new) > _key(old):
                continue
            filled = [sheet for n, sheet in enumerate(filled) if n not in chosen] + new
            if cost_of_bins(filled) < least:
                best, least = filled, cost_of_bins(filled)
            if (mark - least) * _LEAST_GAIN > mark + fixed:
                mark = least
                until = self.work - patience - (whole - self.work) // 2
        return best

    def _sheet_work(self, filled: FilledBins) -> int:
        """The work for one sheet less: the less, the fuller the others would have to be."""
        rooms = [self.problem.bins[sheet.bin] for sheet in filled]
        areas = [bin_.width * bin_.height for bin_ in rooms]
        room = sum(areas) - min(areas)
        area = sum(n * self.areas[i] for sheet in filled for i, n in sheet.counts.items())
        return int(self.work * min(1, max(0, room - area) * _BLANK / max(1, room)))

    def _learn(self, filled: FilledBins) -> None:
        """Pieces that ended on the poorest sheet are worth more from now on, others less."""
        if len(filled) < 2:
            return
        for i in min(filled, key=lambda sheet: sheet.share).counts:
            self.worths[i] = min(2.0, self.worths[i] * _LEARN)
        for i in max(filled, key=lambda sheet: sheet.share).counts:
            self.worths[i] = max(0.5, self.worths[i] / _LEARN)

    def _choose_bins(self, filled: FilledBins) -> set[int]:
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

    def _spare(self, filled: FilledBins, emptied: FilledBins) -> list[int | None]:
        """Stock free for the emptied sheets' pieces: what is not used, and theirs."""
        spare = self._limits()
        for sheets, sign in ((filled, -1), (emptied, 1)):
            for sheet in sheets:
                limit = spare[sheet.bin]
                if limit is not None:
                    spare[sheet.bin] = limit + sign
        return spare


def cost_of_bins(filled: FilledBins) -> int:
    """What all of them cost."""
    return sum(sheet.cost for sheet in filled)


def _key(filled: FilledBins) -> tuple[int, float]:
    """Less is better: cost, then waste gathered on few sheets."""
    return cost_of_bins(filled), -math.fsum(sheet.share**2 for sheet in filled)
