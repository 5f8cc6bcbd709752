"""Fewer different sheets: those that can be made several times go first, the rest as before.

A sheet is filled with pieces of which there are enough for many equal ones, and taken as often as
there are pieces, where it costs no more than its pieces do in the nest so far; else fewer copies
are asked for. Source: Haessler, "A heuristic programming solution to a nonlinear cutting stock
problem", 1971 (aspiration levels of trim and of copies); the prices of pieces are our own.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from layouts.nest.answer import arrangement_of, cost_of, repeated_first
from layouts.nest.bounds import disc_area
from layouts.nest.faces import Stack, assign_faces, face_stacks, most_copies, take_faces
from layouts.nest.model import DEFAULT_EFFORT, Arrangement, Nest, NestRequest, StageRun
from layouts.nest.problem import Problem, make_problem
from layouts.nest.recreate import FilledBin, RuinAndRecreate

_LEAST = 3
"""Fewer different sheets than this are few."""
_OFTEN = 10
"""So are those of which each is made this many times on average."""
_EACH_WORK = 400
"""Probes that a unit of effort buys for each different sheet that may be saved."""
_MOST_WORK = 2
"""The work is this many times that of ruin and recreate at most."""
_ROUNDS = 4
"""Nests tried; each learns from the one before what a piece costs."""
_TRIES = 100
"""Fills tried for each sheet to repeat, at the usual effort."""
_HOPELESS = {4: 0.03, 19: 0.01}
"""After this many fills the search for a sheet ends if it still lacks this part of the aim."""
_FULL = 0.9
"""Pieces for a sheet must have this part of its area together to be worth a fill."""
_FEWER = (3, 4)
"""Where no sheet reaches the aim, this part of the copies is asked for next."""
_LOWER, _HIGHER = 0.005, 0.0015
"""How the aim moves: down, unless a round's nest was costlier than the one before all."""
_REST_EFFORTS = (10, 60)
"""Percent of the effort for the rest: a look, and a search where that came near."""
_NEAR = 0.003
"""As near as this part of the whole cost."""
_LEAST_SPENT, _LEAST_SAVED = 10, 5
"""Repeated sheets must be this part of the cost, and more by this part of the arrangements than
their own, or nesting the rest again is not worth its time."""

Lots = Mapping[int, Stack]
"""For each piece, how many are left of each of its lots."""


def with_repeats(
    request: NestRequest, found: Nest, lay_out: Callable[[NestRequest, int], Nest]
) -> Nest:
    """The nest, or one that costs no more and has fewer different sheets.

    Printed sheets, told apart by the pieces' lots, and arrangements count together. On a roll least
    length comes first, so not a micrometer is given up for fewer frames. ``lay_out`` nests the rest
    and may stop at the cost given with it.
    """
    if found.distinct < _LEAST or found.sheets >= _OFTEN * found.distinct:
        return found
    if all(max(piece.lots or (piece.demand,)) < 2 for piece in request.pieces):
        return found  # No two printed sheets can be equal.
    search = _Repeats(request, found, lay_out)
    if not search.worthwhile:
        return found
    whole = search.fills.work
    best, fewest = found, search.different(found)
    for _ in range(_ROUNDS):
        other = search.attempt()
        if other is not None and search.different(other) < fewest:
            best, fewest = other, search.different(other)
        if search.done:
            break
    before, after = cost_of(request, found), cost_of(request, best)
    run = StageRun("repeated patterns", before, after, whole - search.fills.work)
    return replace(best, stages=(*found.stages, run))


def fewest_different(problem: Problem) -> int:
    """No nest has fewer different printed sheets and arrangements together than this.

    At least one of every lot lies on some sheet, and each different sheet has its room once.
    """
    rooms = max(bin_.width * bin_.height for bin_ in problem.bins)
    areas = (
        disc_area(w) if round_ else w * h
        for w, h, round_ in zip(problem.widths, problem.heights, problem.rounds, strict=True)
    )
    wanted = zip(areas, problem.lots, problem.demands, strict=True)
    return 1 + -(-sum(area * lots for area, lots, demand in wanted if demand) // rooms)


@dataclass(frozen=True, slots=True)
class _Repeat:
    sheet: FilledBin
    copies: int


class _Repeats:
    """Nests of one request by sheets made several times. The budget counts probes at pieces."""

    def __init__(
        self, request: NestRequest, found: Nest, lay_out: Callable[[NestRequest, int], Nest]
    ) -> None:
        self.request = request
        self.found = found
        self.lay_out = lay_out
        self.problem, _ = make_problem(request)
        self.fills = RuinAndRecreate(self.problem)
        self.cost = cost_of(request, found)
        self.lots = {
            i: [(str(n), lot) for n, lot in enumerate(piece.lots or (piece.demand,))]
            for i, piece in enumerate(request.pieces)
        }
        saved = self.different(found) - fewest_different(self.problem)
        self.worthwhile = saved * _LEAST_SAVED >= found.distinct
        """Whether the sheets that may be saved are worth a search, which they pay for."""
        most, paid = _MOST_WORK * self.fills.work, saved * _EACH_WORK * request.effort
        self.fills.work = min(most, paid)
        self.tries = max(1, request.effort * _TRIES // DEFAULT_EFFORT)
        self.prices = self._prices_in(found)
        self.aim = 1.0
        """What a repeated sheet must be worth at the least, for its cost."""
        # If half of the sheets are worth less than this, full ones cannot make up for it.
        self.fullness = self._fullness()
        self.costly = False
        """Whether a rest was half of the order or more, whose nest on sheets costs as much."""

    @property
    def done(self) -> bool:
        """Whether another attempt is out of reach or too costly in time."""
        return self.costly or self.fills.work <= 0 or self.aim < self.fullness

    def different(self, nest: Nest) -> int:
        """Printed sheets and arrangements, as many as there are different ones."""
        return len(assign_faces(nest, self.lots)) + nest.distinct

    def attempt(self) -> Nest | None:
        """A nest of repeated sheets and the rest; None where few repeat or it is costlier."""
        repeats, left = self._find_repeats()
        spent = sum(each.sheet.cost * each.copies for each in repeats)
        saved = sum(each.copies - 1 for each in repeats)
        if spent * _LEAST_SPENT < self.cost or saved * _LEAST_SAVED < self.found.distinct:
            self.aim -= _LOWER
            return None
        budget = self.cost - spent
        rest = self._rest(repeats, left)
        parts = sum(piece.demand for piece in rest.pieces)
        self.costly = not self.problem.is_roll and 2 * parts >= sum(self.problem.demands)
        for percent in _REST_EFFORTS:
            last = self.found.arrangements[:0]
            over = -budget
            if parts:
                effort = max(1, rest.effort * percent // 100)
                answer = self.lay_out(replace(rest, effort=effort), budget)
                if answer.unplaced:
                    return None
                last, over = answer.arrangements, cost_of(rest, answer) - budget
            nest = self._join_nests(repeats, last)
            if over <= 0 or over > _NEAR * self.cost:
                break
        self._learn(nest)
        self.aim += _HIGHER if over > 0 else -_LOWER
        return nest if over <= 0 else None

    def _find_repeats(self) -> tuple[list[_Repeat], Lots]:
        """Sheets to make several times, and what is left for others."""
        left = face_stacks(self.found, self.lots)
        limits = [bin_.limit for bin_ in self.problem.bins]
        self._set_worths()
        room = _FULL * min(bin_.width * bin_.height for bin_ in self.problem.bins)
        repeats: list[_Repeat] = []
        copies = max(stack.most for stack in left.values())
        while copies > 1 and self.fills.work > 0:
            enough = [left[i].slots(copies) if i in left else 0 for i in range(len(self.prices))]
            area = sum(n * a for n, a in zip(enough, self.problem.areas, strict=True))
            sheet = self._best(enough, copies, limits) if area >= room else None
            if sheet is None:
                copies = min(copies - 1, copies * _FEWER[0] // _FEWER[1])
                continue
            limit = limits[sheet.bin]
            most = most_copies(left, sheet.counts, self.found.sheets if limit is None else limit)
            take_faces(left, sheet.counts, most, exact=True)
            if limit is not None:
                limits[sheet.bin] = limit - most
            repeats.append(_Repeat(sheet, most))
        return repeats, left

    def _best(self, enough: list[int], copies: int, limits: list[int | None]) -> FilledBin | None:
        """The sheet with the most value for its cost among many fills, if it reaches the target."""
        bins = []
        for bin_ in self.problem.bins:
            limit = limits[bin_.index]
            if limit is None or limit >= copies:
                bins.append(bin_)
        best, most = None, 0.0
        for n in range(self.tries):
            for bin_ in bins:
                sheet = self.fills.fill_bin(bin_, enough.copy())
                if sheet is not None and self._share(sheet) > most:
                    best, most = sheet, self._share(sheet)
            if most < self.aim - _HOPELESS.get(n, self.aim) or self.fills.work <= 0:
                return None
        return best if most >= self.aim else None

    def _share(self, sheet: FilledBin) -> float:
        """The cost of the sheet's pieces elsewhere, relative to the sheet's own cost."""
        worth = sum(self.prices[i] * count for i, count in sheet.counts.items())
        return worth / max(1, sheet.cost)

    def _prices_in(self, nest: Nest) -> list[float]:
        """What each piece costs in a nest: the pieces of a sheet pay for it by their area."""
        areas = self.problem.areas
        costs, made = [0.0] * len(areas), self._count_made(nest)
        stock_costs = {stock.key: stock.cost for stock in self.request.stocks}
        for each in nest.arrangements:
            cost = stock_costs[each.stock] * (each.length_um if self.problem.is_roll else 1)
            rate = each.copies * cost / sum(areas[slot.piece] for slot in each.slots)
            for slot in each.slots:
                costs[slot.piece] += rate * areas[slot.piece]
        return [cost / n if n else 0.0 for cost, n in zip(costs, made, strict=True)]

    def _fullness(self) -> float:
        """The part of the printable rooms that the pieces and their gaps fill in the nest."""
        bins = {bin_.key: bin_ for bin_ in self.problem.bins}
        room = 0
        for each in self.found.arrangements:
            bin_ = bins[each.stock]
            height = each.length_um - bin_.overhead if bin_.roll else bin_.height
            room += each.copies * bin_.width * height
        made = self._count_made(self.found)
        return sum(n * area for n, area in zip(made, self.problem.areas, strict=True)) / room

    def _count_made(self, nest: Nest) -> list[int]:
        made = [0] * len(self.problem.areas)
        for each in nest.arrangements:
            for slot in each.slots:
                made[slot.piece] += each.copies
        return made

    def _learn(self, nest: Nest) -> None:
        """Prices half way to those of another nest, which together are the cost again."""
        prices = [a + b for a, b in zip(self.prices, self._prices_in(nest), strict=True)]
        total = math.fsum(p * n for p, n in zip(prices, self._count_made(nest), strict=True))
        self.prices = [price * self.cost / total for price in prices]

    def _set_worths(self) -> None:
        """Fills like pieces the better, the costlier they are for their area."""
        worths = [price / a for price, a in zip(self.prices, self.problem.areas, strict=True)]
        mean = sum(worths) / sum(1 for worth in worths if worth)
        self.fills.worths = [worth / mean for worth in worths]

    def _rest(self, repeats: list[_Repeat], left: Lots) -> NestRequest:
        """What the repeated sheets leave over, of pieces and of limited stock."""
        used: Counter[int] = Counter()
        for each in repeats:
            used[each.sheet.bin] += each.copies
        pieces = tuple(
            piece.times(left[i].total if i in left else 0)
            for i, piece in enumerate(self.request.pieces)
        )
        stocks = tuple(
            stock if stock.limit is None else replace(stock, limit=stock.limit - used[i])
            for i, stock in enumerate(self.request.stocks)
        )
        return replace(self.request, pieces=pieces, stocks=stocks)

    def _join_nests(self, repeats: list[_Repeat], rest: tuple[Arrangement, ...]) -> Nest:
        """One nest of both, equal arrangements as one."""
        copies: Counter[Arrangement] = Counter()
        made = [arrangement_of(self.problem, each.sheet.pattern, each.copies) for each in repeats]
        for each in (*made, *rest):
            copies[replace(each, copies=1)] += each.copies
        arrangements = [replace(each, copies=count) for each, count in copies.items()]
        arrangements.sort(key=repeated_first)
        stock = sum(a.copies * a.width_um * a.length_um for a in arrangements)
        return replace(self.found, arrangements=tuple(arrangements), stock_um2=stock)
