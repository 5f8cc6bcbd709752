"""The judge's second half: a proven bound computed again from its whole-number prices."""

import heapq
from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from layouts.nest.model import Bound, Cutting, Nest, NestRequest, RollStock, SheetStock, Turn

Line = NDArray[np.int64]
Room = tuple[int, int, int]
"""Width and height of a stock's printable room, grown by the gap, and its cost."""


def bound_faults(request: NestRequest, nest: Nest) -> list[str]:
    """Whether the bounds are what their prices prove, and not above the answer."""
    faults = []
    bounds = [("bound", nest.bound)]
    straight = nest.guillotine_bound
    # What holds for the cutting asked for holds for straight cuts: a lower bound follows from it.
    if straight is not None and straight.cost > nest.bound.cost:
        bounds.append(("guillotine bound", straight))
    for name, bound in bounds:
        proven = recompute(request, nest, bound)
        for word, said, true in (
            ("", bound.cost, proven.cost),
            (" of sheets", bound.sheets, proven.sheets),
            (" of length", bound.length_um, proven.length_um),
        ):
            if said > true:
                faults.append(f"{name}{word} {said} is not proven: its prices give {true}")
    if nest.bound.kind == "guillotine" and request.cutting is not Cutting.GUILLOTINE:
        faults.append("a guillotine bound does not hold for a contour cutter")
    free = request.cutting is Cutting.FREE
    rows = nest.bound.kind == "bar"
    if rows and free and any(piece.round for piece in request.pieces):
        faults.append("a bound from rows does not hold for discs that may nest into each other")
    cost = _cost(request, nest)
    if nest.bound.cost > cost:
        faults.append(f"bound {nest.bound.cost} above the answer's {cost}")
    if nest.bound.sheets > nest.sheets:
        faults.append(f"bound {nest.bound.sheets} above the answer's {nest.sheets} sheets")
    return faults


def _cost(request: NestRequest, nest: Nest) -> int:
    total = 0
    costs = {stock.key: stock.cost for stock in request.stocks}
    for a in nest.arrangements:
        each = a.length_um if isinstance(request.stocks[0], RollStock) else 1
        total += a.copies * each * costs[a.stock]
    return total


@dataclass(frozen=True, slots=True)
class Proven:
    """Minimums that a bound's prices prove: cost, sheets (or frames) of any mix, roll length."""

    cost: int
    sheets: int
    length_um: int


def recompute(request: NestRequest, nest: Nest, bound: Bound) -> Proven:
    """The bound that the prices prove for the pieces that were placed."""
    counts = [piece.demand for piece in request.pieces]
    for rest in nest.unplaced:
        counts[rest.piece] -= rest.count
    if bound.kind == "area":
        values = [
            (p.width_um + request.gap_um) * (p.height_um + request.gap_um)
            if not p.round
            else _disc_share(p.width_um + request.gap_um)
            for p in request.pieces
        ]
    elif bound.kind == "bar":
        values = _bar_values(request, bound)
    else:
        values = list(bound.duals)
    total = sum(n * v for n, v in zip(counts, values, strict=True))
    if total <= 0:
        return Proven(0, 0, 0)
    return _proven(request, bound, total)


def _disc_share(diameter: int) -> int:
    """Area that every disc packing needs: the densest, hexagonal, takes sqrt(12) r^2 a disc."""
    # sqrt(12) / 4 = 0.866025...; rounded down, so that the bound stays one.
    return diameter * diameter * 866_025 // 1_000_000


def _proven(request: NestRequest, bound: Bound, total: int) -> Proven:
    rolls: list[tuple[Fraction, int]] = []
    sheets: list[tuple[int, int, int]] = []
    for stock in request.stocks:
        width, height, _ = _room(stock, request.gap_um)
        if width <= 0 or height <= 0:
            continue
        if isinstance(stock, RollStock):
            worth = _width_worth(request, bound, width)
            if worth:
                share = Fraction(total, worth)
                frames = _up(share / height)
                length = share + frames * (stock.frame_um - height)
                rolls.append((length * stock.cost, frames))
        else:
            worth = _sheet_worth(request, bound, width, height)
            # Of stock without a limit nobody needs more than the value at one a sheet.
            sheets.append((worth, stock.cost, total if stock.limit is None else stock.limit))
    if rolls:
        cost = _up(min(cost for cost, _ in rolls))
        costliest = max(1, max(stock.cost for stock in request.stocks))
        return Proven(cost, min(frames for _, frames in rolls), -(-cost // costliest))
    cost = _up(_cheapest(total, sheets))
    return Proven(cost, _up(_cheapest(total, [(worth, 1, n) for worth, _, n in sheets])), 0)


def _cheapest(total: int, sheets: list[tuple[int, int, int]]) -> Fraction:
    """Least cost of a total worth from sheets of a worth, a cost and a number, parts allowed."""
    cost, missing = Fraction(0), Fraction(total)
    useful = [each for each in sheets if each[0] > 0]
    while useful and missing > 0:
        best = min(useful, key=lambda each: Fraction(each[1], each[0]))
        useful.remove(best)
        used = min(missing / best[0], Fraction(best[2]))
        cost += used * best[1]
        missing -= used * best[0]
    return cost


def _up(value: Fraction) -> int:
    return -(-value.numerator // value.denominator)


def _room(stock: SheetStock | RollStock, gap: int) -> Room:
    m = stock.margins
    width = stock.width_um - m.left_um - m.right_um + gap
    ends = m.top_um + m.bottom_um - gap
    if isinstance(stock, SheetStock):
        return width, stock.height_um - ends, stock.cost
    ends = max(0, ends + stock.leader_um + stock.trailer_um)
    return width, stock.frame_um - ends, stock.cost


def _width_worth(request: NestRequest, bound: Bound, width: int) -> int:
    """Most value that a micrometer of roll length can carry."""
    if bound.kind == "area":
        return width
    return _knapsack(_bars(request, bound, along=False), width // bound.unit_um)


def _sheet_worth(request: NestRequest, bound: Bound, width: int, height: int) -> int:
    if bound.kind == "area":
        return width * height
    if bound.kind == "bar":
        across = _knapsack(_bars(request, bound, along=False), width // bound.unit_um)
        along = _knapsack(_bars(request, bound, along=True), height // bound.unit_um)
        return across * height + along * width
    return guillotine_worth(request, bound, width, height)


def _bar_values(request: NestRequest, bound: Bound) -> list[int]:
    values = []
    for i, piece in enumerate(request.pieces):
        w, h = piece.width_um + request.gap_um, piece.height_um + request.gap_um
        upright, turned, upright_along, turned_along = bound.duals[4 * i : 4 * i + 4]
        value = upright * h + upright_along * w
        if piece.turn is Turn.FREE and w != h:
            value = min(value, turned * w + turned_along * h)
        values.append(value)
    return values


def _bars(request: NestRequest, bound: Bound, along: bool) -> list[tuple[int, int]]:
    """Size along the bar in the bound's unit, and worth, for each piece and way to lie."""
    bars = []
    for i, piece in enumerate(request.pieces):
        sides = [piece.width_um + request.gap_um, piece.height_um + request.gap_um]
        if along:
            sides.reverse()
        bars.append((sides[0] // bound.unit_um, bound.duals[4 * i + 2 * along]))
        if piece.turn is Turn.FREE and sides[0] != sides[1]:
            bars.append((sides[1] // bound.unit_um, bound.duals[4 * i + 2 * along + 1]))
    return bars


def _knapsack(bars: list[tuple[int, int]], room: int) -> int:
    """Most worth of any number of bars within the room: reachable lengths and their best."""
    sizes: dict[int, int] = {}
    for size, worth in bars:
        if size <= room and worth > 0:
            sizes[size] = max(worth, sizes.get(size, 0))
    best = {0: 0}
    pending = [0]
    while pending:
        at = heapq.heappop(pending)
        for size, worth in sizes.items():
            to = at + size
            if to > room:
                continue
            if to not in best:
                heapq.heappush(pending, to)
                best[to] = best[at] + worth
            else:
                best[to] = max(best[to], best[at] + worth)
    return max(best.values())


def guillotine_worth(request: NestRequest, bound: Bound, width: int, height: int) -> int:
    """Highest value that straight cuts can get from the room, sizes rounded down to the grid."""
    ways: dict[tuple[int, int], int] = {}
    for i, piece in enumerate(request.pieces):
        w = (piece.width_um + request.gap_um) // bound.unit_um
        h = (piece.height_um + request.gap_um) // bound.unit_um
        for way in [(w, h), (h, w)] if piece.turn is Turn.FREE else [(w, h)]:
            ways[way] = max(bound.duals[i], ways.get(way, 0))
    xs = _reachable({w for w, _ in ways}, width // bound.unit_um)
    ys = _reachable({h for _, h in ways}, height // bound.unit_um)
    best = np.zeros((len(xs), len(ys)), dtype=np.int64)
    for (w, h), value in ways.items():
        room = best[np.searchsorted(xs, w) :, np.searchsorted(ys, h) :]
        np.maximum(room, value, out=room)
    halves = [_halves(ys, j) for j in range(len(ys))]
    for i in range(1, len(xs)):
        near, far = _halves(xs, i)
        if len(near):
            np.maximum(best[i], (best[near] + best[far]).max(axis=0), out=best[i])
        np.maximum(best[i], best[i - 1], out=best[i])
        _lying_cuts(best[i], halves)
    return int(best[-1, -1])


def _halves(points: Line, at: int) -> tuple[Line, Line]:
    """For each cut up to the middle: the point cut at, and the largest within the rest."""
    near = np.arange(1, np.searchsorted(points, points[at] // 2, side="right"))
    far = np.searchsorted(points, points[at] - points[near], side="right") - 1
    return near, far


def _lying_cuts(row: Line, halves: list[tuple[Line, Line]]) -> None:
    """Rooms of one width, from low to high: the best of themselves and of two halves."""
    for j in range(1, len(row)):
        near, far = halves[j]
        most = row[j - 1]
        if len(near):
            most = max(most, (row[near] + row[far]).max())
        row[j] = max(row[j], most)


def _reachable(sizes: set[int], room: int) -> Line:
    """0 and every sum of sizes within the room, in order."""
    sums = {0}
    pending = [0]
    while pending:
        at = pending.pop()
        for size in sizes:
            if at + size <= room and at + size not in sums:
                sums.add(at + size)
                pending.append(at + size)
    return np.array(sorted(sums), dtype=np.int64)
