"""A request in the nester's own terms: every size grown by the gap, every stock an open bin.

An item of width w and a gap g become one box of width w + g, and the bin's room grows by one gap
too; boxes that touch then are items exactly one gap apart. Lengths are whole micrometers.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import product

from layouts.nest.model import (
    Bound,
    Cutting,
    KeepOut,
    Lack,
    NestRequest,
    RollStock,
    SheetStock,
    Slot,
    Turn,
    Unplaced,
)

_FEW_SIZES = 8
"""The most sizes that count as few."""

Box = tuple[int, int, int, int]
"""x, y, width, height in grown micrometers, from the corner of the printable room."""


@dataclass(frozen=True, slots=True)
class Bin:
    """The printable room of one stock, grown by the gap; a roll's is its longest frame.

    `regions` are ways to divide the room around keep-outs, each a tuple of boxes.
    """

    key: str
    index: int
    width: int
    height: int
    left: int
    top: int
    regions: tuple[tuple[Box, ...], ...]
    cost: int
    limit: int | None
    roll: bool
    overhead: int
    """Length of a roll's frame beyond its grown contents: margins, leader, trailer less a gap."""
    stock_width: int
    stock_height: int

    def takes(self, orientations: Sequence[tuple[int, int]]) -> bool:
        """Whether one of these grown sizes fits somewhere on the empty bin."""
        boxes = [box for region in self.regions for box in region]
        return any(w <= box[2] and h <= box[3] for box in boxes for w, h in orientations)


@dataclass(frozen=True, slots=True)
class Problem:
    """All that a nester needs, sizes grown by the gap."""

    widths: tuple[int, ...]
    heights: tuple[int, ...]
    demands: tuple[int, ...]
    turnable: tuple[bool, ...]
    rounds: tuple[bool, ...]
    lots: tuple[int, ...]
    """How many lots each piece's whole demand is in."""
    bins: tuple[Bin, ...]
    gap: int
    guillotine: bool
    effort: int
    seed: int

    def lost(self, left: Sequence[int]) -> int:
        """The area of the given count of each unplaced item, without the gaps around them."""
        gap = self.gap
        return sum(
            n * (w - gap) * (h - gap)
            for n, w, h in zip(left, self.widths, self.heights, strict=True)
        )

    @property
    def areas(self) -> tuple[int, ...]:
        """Grown area of each piece."""
        return tuple(w * h for w, h in zip(self.widths, self.heights, strict=True))

    @property
    def items(self) -> int:
        """Number of items in all."""
        return sum(self.demands)

    @property
    def few_sizes(self) -> bool:
        """Whether so few sizes are asked for that fills find every pattern that matters."""
        return sum(1 for demand in self.demands if demand) <= _FEW_SIZES

    @property
    def nested_discs(self) -> bool:
        """Whether discs may lie nearer to each other than their boxes."""
        return not self.guillotine and any(self.rounds)

    @property
    def is_roll(self) -> bool:
        """Whether the stocks are rolls."""
        return bool(self.bins) and self.bins[0].roll

    def fits(self, piece: int, bin_: Bin) -> bool:
        """Whether the piece fits somewhere on an empty bin."""
        return bin_.takes(self.orientations(piece))

    def orientations(self, piece: int) -> list[tuple[int, int]]:
        """Grown width and height of the piece in each way in which it may lie."""
        w, h = self.widths[piece], self.heights[piece]
        return [(w, h), (h, w)] if self.turnable[piece] else [(w, h)]


@dataclass(frozen=True, slots=True)
class Pattern:
    """One filled bin, slots in sheet coordinates, sorted."""

    bin: int
    slots: tuple[Slot, ...]


Plan = dict[Pattern, int]
"""Patterns with their copies."""


@dataclass(frozen=True, slots=True)
class Best:
    """The best so far: a plan, what is proven, and the work of the latest stage.

    `guillotine_bound`, when known, holds for straight cuts only.
    """

    plan: Plan
    bound: Bound
    guillotine_bound: Bound | None = None
    work: int = 0

    def cost(self, problem: Problem) -> int:
        """Cost of the plan."""
        return plan_cost(problem, self.plan)

    def improved(self, problem: Problem, plan: Plan | None, work: int) -> Best:
        """With the cheaper of two plans, of equal ones that with fewer patterns."""
        if plan is not None:
            key = plan_cost(problem, plan), len(plan)
            if key < (self.cost(problem), len(self.plan)):
                return replace(self, plan=plan, work=work)
        return replace(self, work=work)

    def proven(self, bound: Bound | None) -> Best:
        """With the higher of two bounds."""
        if bound is None or bound.cost <= self.bound.cost:
            return self
        return replace(self, bound=bound)

    def proven_for_straight_cuts(self, bound: Bound | None) -> Best:
        """With a bound that holds for straight cuts."""
        return replace(self, guillotine_bound=bound)


def orientations_in(problem: Problem, bin_: Bin, piece: int) -> list[tuple[int, int]]:
    """Width and height of a piece in each orientation in which the bin takes it."""
    return [(a, b) for a, b in problem.orientations(piece) if a <= bin_.width and b <= bin_.height]


def open_bin(problem: Problem) -> Bin | None:
    """The bin of least cost for its area, of those that any number of any item goes into.

    Bins in limited number or with keep-outs are left aside, and so are free ones.
    """
    bins = [
        bin_
        for bin_ in problem.bins
        if bin_.limit is None and len(bin_.regions[0]) == 1 and bin_.cost
        if all(problem.fits(i, bin_) for i, demand in enumerate(problem.demands) if demand)
    ]
    areas = {bin_.index: bin_.width * (1 if bin_.roll else bin_.height) for bin_ in bins}
    return min(bins, key=lambda bin_: (bin_.cost / areas[bin_.index], bin_.index), default=None)


def free_rooms(request: NestRequest) -> tuple[tuple[int, int], ...]:
    """Width and height of every free room of the stocks, in micrometers."""
    gap = request.gap_um
    return tuple(
        (width - gap, height - gap)
        for n, stock in enumerate(request.stocks)
        for region in _bin(n, stock, gap).regions
        for _, _, width, height in region
    )


def make_problem(request: NestRequest) -> tuple[Problem, tuple[Unplaced, ...]]:
    """The problem, and the pieces that fit no stock; their demand is 0 in the problem."""
    gap = request.gap_um
    bins = tuple(_bin(i, stock, gap) for i, stock in enumerate(request.stocks))
    problem = Problem(
        widths=tuple(p.width_um + gap for p in request.pieces),
        heights=tuple(p.height_um + gap for p in request.pieces),
        demands=tuple(p.demand for p in request.pieces),
        turnable=tuple(p.turn is Turn.FREE and p.width_um != p.height_um for p in request.pieces),
        rounds=tuple(p.round for p in request.pieces),
        lots=tuple(max(1, len(p.lots)) for p in request.pieces),
        bins=bins,
        gap=gap,
        guillotine=request.cutting is Cutting.GUILLOTINE,
        effort=request.effort,
        seed=request.seed,
    )
    misfits = []
    for i, piece in enumerate(request.pieces):
        if piece.demand and not any(problem.fits(i, bin_) for bin_ in bins):
            misfits.append(_misfit(i, piece.demand, request))
    lost = {m.piece for m in misfits}
    demands = tuple(0 if i in lost else d for i, d in enumerate(problem.demands))
    return with_demands(problem, demands), tuple(misfits)


def with_demands(problem: Problem, demands: tuple[int, ...]) -> Problem:
    """The same problem with other demands."""
    return replace(problem, demands=demands)


def used_length(problem: Problem, pattern: Pattern) -> int:
    """Length of a roll's frame holding this pattern, blank ends included."""
    bin_ = problem.bins[pattern.bin]
    end = max(
        s.y_um + (problem.widths if s.turned else problem.heights)[s.piece] - bin_.top
        for s in pattern.slots
    )
    return end + bin_.overhead


def plan_cost(problem: Problem, plan: Plan) -> int:
    """Cost of all sheets, or of all roll length."""
    total = 0
    for pattern, copies in plan.items():
        bin_ = problem.bins[pattern.bin]
        each = used_length(problem, pattern) if bin_.roll else 1
        total += copies * each * bin_.cost
    return total


def longest_cost(problem: Problem) -> int:
    """On a roll no plan costs less than a frame as long as the longest piece as it must lie.

    No prices prove that, so it ends a search and is no bound.
    """
    if not problem.is_roll:
        return 0
    shortest = (
        min(
            bin_.cost * (length + bin_.overhead)
            for bin_ in problem.bins
            for _, length in orientations_in(problem, bin_, i)
        )
        for i, demand in enumerate(problem.demands)
        if demand
    )
    return max(shortest, default=0)


def _misfit(index: int, count: int, request: NestRequest) -> Unplaced:
    piece = request.pieces[index]
    if not request.stocks:
        return Unplaced(index, count, Lack.NO_STOCK, piece.width_um, piece.height_um)
    width_um, height_um = _least_stock(index, request)
    return Unplaced(index, count, Lack.TOO_LARGE, width_um, height_um)


def _least_stock(index: int, request: NestRequest) -> tuple[int, int]:
    """Width and length of the smallest stock for a piece: one of those given, grown.

    Margins and keep-out zones stay where they are. Where a piece lies free of the zones it also
    does when moved left and up as far as it goes: against the margin or behind a zone.
    """
    piece, gap = request.pieces[index], request.gap_um
    orientations = [(piece.width_um, piece.height_um)]
    if piece.turn is Turn.FREE:
        orientations.append((piece.height_um, piece.width_um))
    sizes = set()
    for n, stock in enumerate(request.stocks):
        m, top, end = stock.margins, stock.margins.top_um, stock.margins.bottom_um
        if isinstance(stock, RollStock):
            top, length = top + stock.leader_um, stock.frame_um
            end = max(end + stock.trailer_um, gap - top)
        else:
            length = stock.height_um
        lefts = {m.left_um, *(z.x_um + z.width_um + gap for z in stock.keep_outs)}
        tops = {top, *(z.y_um + z.height_um + gap for z in stock.keep_outs)}
        for (w, h), x, y in product(orientations, lefts, tops):
            width = max(stock.width_um, max(x, m.left_um) + w + m.right_um)
            height = max(length, max(y, top) + h + end)
            sizes.add((width * height, width, height, n))
    grown = [(w + gap, h + gap) for w, h in orientations]
    return next(
        (width, height)
        for _, width, height, n in sorted(sizes)
        if _bin(n, _grown(request.stocks[n], width, height), gap).takes(grown)
    )


def _grown(stock: SheetStock | RollStock, width: int, length: int) -> SheetStock | RollStock:
    if isinstance(stock, RollStock):
        return replace(stock, width_um=width, frame_um=length)
    return replace(stock, width_um=width, height_um=length)


def _bin(index: int, stock: SheetStock | RollStock, gap: int) -> Bin:
    m = stock.margins
    top, overhead, height = m.top_um, 0, 0
    if isinstance(stock, RollStock):
        top += stock.leader_um
        # Frames are at least a gap apart, even without margins.
        overhead = max(0, top + m.bottom_um + stock.trailer_um - gap)
        height = stock.frame_um - overhead
    else:
        height = stock.height_um - m.top_um - m.bottom_um + gap
    width = stock.width_um - m.left_um - m.right_um + gap
    return Bin(
        key=stock.key,
        index=index,
        width=width,
        height=height,
        left=m.left_um,
        top=top,
        regions=_regions(width, height, m.left_um, top, stock.keep_outs, gap),
        cost=stock.cost,
        limit=stock.limit,
        roll=isinstance(stock, RollStock),
        overhead=overhead,
        stock_width=stock.width_um,
        stock_height=height + overhead if isinstance(stock, RollStock) else stock.height_um,
    )


def _regions(
    width: int, height: int, left: int, top: int, keep_outs: tuple[KeepOut, ...], gap: int
) -> tuple[tuple[Box, ...], ...]:
    """The room divided around the keep-outs, once into vertical and once into horizontal strips."""
    whole = (0, 0, width, height)
    if not keep_outs:
        return ((whole,),)
    orientations = []
    for standing in (True, False):
        boxes = [whole]
        for out in keep_outs:
            hole = (out.x_um - left, out.y_um - top, out.width_um + gap, out.height_um + gap)
            boxes = [part for box in boxes for part in _around(box, hole, standing)]
        orientations.append(tuple(boxes))
    return tuple(dict.fromkeys(orientations))


def _around(box: Box, hole: Box, standing: bool) -> list[Box]:
    """The rest of a box around a hole."""
    x, y, w, h = box
    x0, y0 = max(x, hole[0]), max(y, hole[1])
    x1, y1 = min(x + w, hole[0] + hole[2]), min(y + h, hole[1] + hole[3])
    if x0 >= x1 or y0 >= y1:
        return [box]
    if standing:
        parts = [
            (x, y, x0 - x, h),
            (x1, y, x + w - x1, h),
            (x0, y, x1 - x0, y0 - y),
            (x0, y1, x1 - x0, y + h - y1),
        ]
    else:
        parts = [
            (x, y, w, y0 - y),
            (x, y1, w, y + h - y1),
            (x, y0, x0 - x, y1 - y0),
            (x1, y0, x + w - x1, y1 - y0),
        ]
    return [part for part in parts if part[2] > 0 and part[3] > 0]
