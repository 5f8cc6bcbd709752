"""Proven minima that hold for any packing, found without a solver.

By area; and by rows: a slice across a packed bin is a row of items no longer than the bin is wide.
A dual feasible function gives each length a price such that no row is worth more than 1; an item's
price times its height, over all items, is then a height that the bins must have together. Source:
Fekete and Schepers, "New classes of lower bounds for bin packing problems", 1998 (their u^(k) and
U^(eps)).
"""

from collections.abc import Callable, Iterator
from fractions import Fraction
from math import gcd

from layouts.nest.model import Bound
from layouts.nest.problem import Problem

SCALE = 10_000_000
"""Bar prices are whole numbers of this part of a bin's worth for its width or height."""
_CELLS = 4000
"""Most cells of a row; beyond, sizes round down, which keeps the bound proven."""
_STEPS = 6
"""Most k tried, and most eps."""


def disc_area(diameter: int) -> int:
    """Room that even the densest disc packing takes for one disc: sqrt(12)/4 d^2, rounded down.

    Source: L. Fejes Toth, 1940 (hexagonal packing is the densest).
    """
    return diameter * diameter * 866_025 // 1_000_000


def area_bound(problem: Problem) -> Bound:
    """The pieces' grown area against that of the stock that is cheapest for its area."""
    total = sum(
        d * (disc_area(w) if round_ else w * h)
        for d, w, h, round_ in zip(
            problem.demands, problem.widths, problem.heights, problem.rounds, strict=True
        )
    )
    return bound_from(
        problem, "area", total, [p.width * (1 if p.roll else p.height) for p in problem.bins]
    )


def bound_from(
    problem: Problem,
    kind: str,
    total: int,
    worths: list[int],
    duals: tuple[int, ...] = (),
    scale: int = 1,
    unit_um: int = 1,
) -> Bound:
    """The bound that follows from the pieces' total value and each bin's most.

    `worths` is a bin's most value, for rolls a micrometer's. Over several bins the count of
    sheets holds for any mix of them, and no bin is counted more often than there is of it.
    """
    offers = [
        (bin_, worth)
        for bin_, worth in zip(problem.bins, worths, strict=True)
        if worth > 0 and bin_.height > 0
    ]
    if problem.is_roll:
        frames = [up(Fraction(total, worth * bin_.height)) for bin_, worth in offers]
        lengths = [
            Fraction(total, worth) + count * bin_.overhead
            for (bin_, worth), count in zip(offers, frames, strict=True)
        ]
        costs = [length * bin_.cost for (bin_, _), length in zip(offers, lengths, strict=True)]
        cost = up(min(costs, default=Fraction(0)))
        length = up(Fraction(cost, max(1, max(bin_.cost for bin_ in problem.bins))))
        return Bound(kind, min(frames, default=0), length, cost, duals, scale, unit_um)
    cost = up(_least(total, [(worth, bin_.cost, bin_.limit) for bin_, worth in offers]))
    sheets = up(_least(total, [(worth, 1, bin_.limit) for bin_, worth in offers]))
    return Bound(kind, sheets, 0, cost, duals, scale, unit_um)


def _least(total: int, offers: list[tuple[int, int, int | None]]) -> Fraction:
    """Least price of a value from offers of a value at a price, each so often at most."""
    rest, price = Fraction(total), Fraction(0)
    for worth, each, limit in sorted(offers, key=lambda offer: Fraction(offer[1], offer[0])):
        times = rest / worth if limit is None else min(rest / worth, Fraction(limit))
        rest -= times * worth
        price += times * each
    return price


def up(value: Fraction) -> int:
    """Rounded up, exactly."""
    return -(-value.numerator // value.denominator)


def row_bound(problem: Problem) -> Bound | None:
    """The best bound from rows across or along one kind of stock; None where none is known.

    It does not hold for discs that a contour cutter may nest into each other.
    """
    if len(problem.bins) != 1:
        return None
    bin_ = problem.bins[0]
    wanted = [i for i, d in enumerate(problem.demands) if d]
    unit = bar_unit(problem, wanted)
    best: Bound | None = None
    for along in (False,) if bin_.roll else (False, True):
        room = (bin_.height if along else bin_.width) // unit
        sizes = {s // unit for i in wanted for s in (problem.widths[i], problem.heights[i])}
        for price in _prices(room, sizes):
            bound = _bound_along(problem, wanted, unit, along, price)
            if best is None or bound.cost > best.cost:
                best = bound
    return best


def _bound_along(
    problem: Problem, wanted: list[int], unit: int, along: bool, price: Callable[[int], int]
) -> Bound:
    bin_ = problem.bins[0]
    duals = [0] * (4 * len(problem.demands))
    total = 0
    for i in wanted:
        across, down = problem.widths[i], problem.heights[i]
        if along:
            across, down = down, across
        slot = 4 * i + 2 * along
        duals[slot], duals[slot + 1] = price(across // unit), price(down // unit)
        value = duals[slot] * down
        if problem.turnable[i]:
            value = min(value, duals[slot + 1] * across)
        total += problem.demands[i] * value
    worth = SCALE if bin_.roll else SCALE * (bin_.width if along else bin_.height)
    return bound_from(problem, "bar", total, [worth], tuple(duals), SCALE, unit)


def _prices(room: int, sizes: set[int]) -> Iterator[Callable[[int], int]]:
    """Functions from a length in a room to its price."""
    for k in range(1, _STEPS + 1):

        def steps(size: int, k: int = k) -> int:
            whole, rest = divmod((k + 1) * size, room)
            return min(SCALE, SCALE * whole // k if rest else SCALE * size // room)

        yield steps
    for least in sorted(s for s in sizes if 2 * s <= room)[-_STEPS:]:

        def halves(size: int, least: int = least) -> int:
            if size > room - least:
                return SCALE
            return 0 if size < least else SCALE * size // room

        yield halves


def bar_unit(problem: Problem, wanted: list[int]) -> int:
    """The sizes' common divisor, or a coarser unit that keeps the tables short."""
    unit = 0
    for i in wanted:
        unit = gcd(unit, gcd(problem.widths[i], problem.heights[i]))
    longest = max(max(p.width, 0 if p.roll else p.height) for p in problem.bins)
    shortest = min(min(problem.widths[i], problem.heights[i]) for i in wanted)
    if longest // unit > _CELLS:
        unit = min(shortest, -(-longest // _CELLS))
    return unit
