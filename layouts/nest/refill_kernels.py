"""Compiled: one sheet filled from its top edge down by a taste drawn for it.

The same skyline as in `layouts.nest.skyline`, for pieces that are one entry each, and along either
side of the sheet. Sizes are whole numbers; chance comes from a state that is handed in.
"""

from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

from layouts.nest.arrays import Floats, Ints, Table

Flags = NDArray[np.bool_]
State = NDArray[np.uint64]
"""One number, never 0, that chance goes on from."""

_CELLS = 512
"""Cells of the table of widths that pieces side by side can fill."""
_FILL_LOOKS, _WAY_LOOKS, _PLACE_LOOKS = 20, 3, 5
"""What a fill, a way to lie and a place cost besides, in looks at ways to lie."""
_SORTED, _MOVED = 64, 8
"""Moves of a way, when they are sorted and when one is gone, that cost a look."""


MEASURE, LYING, FLUSH, SNUG, DEAD, ALONG = range(6)
"""A taste, how a fill weighs its choices: what a piece's worth follows, how much long sides across
are favored, what a straight edge with a neighbor and a step filled whole are worth, the price of an
area that nothing can fill any more, and whether to fill from the left edge instead of the top."""
TASTE = 6


class Goods(NamedTuple):
    """What there is to lay out, one entry each: sides, whether it may turn, worth of its area.

    `urges` times the worth is what a fill goes by: chance, kept where it did well.
    """

    sizes: Table
    turns: Flags
    worths: Floats
    urges: Floats


class Ways(NamedTuple):
    """How pieces may lie, by falling worth: piece, turned or not, width, height, worth."""

    owner: Ints
    turned: Ints
    wide: Ints
    high: Ints
    worth: Floats


@njit(cache=True)
def draw(state: State) -> float:
    """The next number in [0, 1); xorshift (source: Marsaglia, "Xorshift RNGs", 2003)."""
    x = state[0]
    x ^= x << np.uint64(13)
    x ^= x >> np.uint64(7)
    x ^= x << np.uint64(17)
    state[0] = x
    return float(x >> np.uint64(11)) * (1.0 / 9007199254740992.0)


@njit(cache=True)
def pick(state: State, count: int) -> int:
    """A whole number below `count`."""
    return int(draw(state) * count)


@njit(cache=True)
def any_taste(taste: Floats, state: State) -> None:
    """A taste drawn anew, so that fills differ."""
    taste[MEASURE] = pick(state, 6)
    taste[LYING] = 1.0 + (0.0, 0.0, 0.2, -0.2)[pick(state, 4)]
    taste[FLUSH] = 1.0 + (0.0, 0.1, 0.3)[pick(state, 3)]
    taste[SNUG] = 1.0 + (0.0, 0.0, 0.1, 0.3)[pick(state, 4)]
    taste[DEAD] = (0.3, 1.0, 3.0)[pick(state, 3)]
    taste[ALONG] = pick(state, 2)


@njit(cache=True)
def any_urges(goods: Goods, pieces: Ints, state: State) -> None:
    """Urges drawn anew, by one strength of chance for all."""
    noise = (0.0, 0.05, 0.15, 0.4)[pick(state, 4)]
    for i in pieces:
        goods.urges[i] = 1.0 + noise * (2.0 * draw(state) - 1.0)


@njit(cache=True)
def _measured(measure: int, a: int, b: int) -> int:
    """What a piece of these sides counts as, about an area."""
    if measure < 2:
        return a * b
    if measure == 2:
        return max(a, b) ** 2
    if measure == 3:
        return (a + b) ** 2 // 4
    return a * a if measure == 4 else b * b


@njit(cache=True)
def _all_ways(
    goods: Goods, pieces: Ints, width: int, height: int, taste: Floats
) -> tuple[Ways, int]:
    """Every way to lie that the empty room admits, and their number."""
    most = 2 * len(pieces)
    owner, turned = np.empty(most, np.int64), np.empty(most, np.int64)
    wide, high = np.empty(most, np.int64), np.empty(most, np.int64)
    worths = np.empty(most, np.float64)
    count = 0
    for i in pieces:
        base = goods.worths[i] * goods.urges[i]
        for t in range(2 if goods.turns[i] else 1):
            across = 1 - t if taste[ALONG] else t
            a, b = goods.sizes[i, across], goods.sizes[i, 1 - across]
            if a > width or b > height:
                continue
            worth = base * _measured(int(taste[MEASURE]), a, b)
            if a > b:
                worth *= taste[LYING]
            at = count
            while at > 0 and worths[at - 1] < worth:
                owner[at], turned[at], worths[at] = owner[at - 1], turned[at - 1], worths[at - 1]
                wide[at], high[at] = wide[at - 1], high[at - 1]
                at -= 1
            owner[at], turned[at], worths[at], wide[at], high[at] = i, t, worth, a, b
            count += 1
    return Ways(owner, turned, wide, high, worths), count


@njit(cache=True)
def _dead_widths(ways: Ways, count: int, room: int) -> tuple[Ints, int]:
    """For each cell of free width what no row of pieces can fill; and the cell's size.

    Bit n of `reach` tells whether a row of pieces, each as it lies at most once, is n cells long;
    widths round up, so that a row that fits in cells fits.
    """
    cell = (room + _CELLS - 1) // _CELLS
    cells = room // cell
    words = cells // 64 + 1
    reach = np.zeros(words, dtype=np.uint64)
    reach[0] = np.uint64(1)
    for n in range(count):
        step = (ways.wide[n] + cell - 1) // cell
        jump, bits = step // 64, np.uint64(step % 64)
        rest = np.uint64(64) - bits
        for at in range(words - 1, jump - 1, -1):
            moved = reach[at - jump] << bits
            if bits and at > jump:
                moved |= reach[at - jump - 1] >> rest
            reach[at] |= moved
    dead = np.empty(cells + 1, dtype=np.int64)
    last = 0
    for at in range(cells + 1):
        if (reach[at // 64] >> np.uint64(at % 64)) & np.uint64(1):
            last = at
        dead[at] = (at - last) * cell
    return dead, cell


@njit(cache=True)
def _best_way(
    ways: Ways,
    count: int,
    free: int,
    room: int,
    before: int,
    after: int,
    taste: Floats,
    dead: Ints,
    cell: int,
) -> tuple[int, int]:
    """The way that suits the step best, or -1, and the looks it took."""
    best, score = -1, -1e300
    flush, snug, price = taste[FLUSH], taste[SNUG], taste[DEAD]
    most = flush * snug
    for n in range(count):
        worth = ways.worth[n]
        if worth * most <= score:
            return best, n
        a, b = ways.wide[n], ways.high[n]
        if a > free or b > room:
            continue
        if b in (before, after):
            worth *= flush
        if a == free:
            worth *= snug
        worth -= price * dead[(free - a) // cell] * b
        if worth > score:
            best, score = n, worth
    return best, count


@njit(cache=True)
def _without(ways: Ways, count: int, piece: int) -> int:
    """Drop a piece's ways; gives how many are left."""
    kept = 0
    for n in range(count):
        if ways.owner[n] != piece:
            if kept != n:
                ways.owner[kept], ways.turned[kept] = ways.owner[n], ways.turned[n]
                ways.wide[kept], ways.high[kept] = ways.wide[n], ways.high[n]
                ways.worth[kept] = ways.worth[n]
            kept += 1
    return kept


@njit(cache=True)
def _cover(
    starts: Ints, tops: Ints, steps: int, at: int, start: int, width: int, level: int
) -> int:
    """Lower a part at either end of a step to a level; gives the number of steps."""
    if width < starts[at + 1] - starts[at]:
        for n in range(steps, at, -1):
            starts[n + 1], tops[n] = starts[n], tops[n - 1]
        steps += 1
        if start == starts[at]:
            starts[at + 1] = start + width
        else:
            at += 1
            starts[at] = start
    tops[at] = level
    for n in (at + 1, at):
        if 0 < n < steps and tops[n] == tops[n - 1]:
            for m in range(n, steps):
                starts[m] = starts[m + 1]
                tops[m] = tops[m + 1]
            steps -= 1
    return steps


@njit(cache=True)
def fill(
    goods: Goods,
    pieces: Ints,
    width: int,
    height: int,
    taste: Floats,
    spare: int,
    spots: Table,
) -> int:
    """Fill a sheet from the given pieces and give the looks it took.

    `spots[piece]` becomes x, y, turned; x is -1 for those left. Gives up, with minus the looks,
    when more than `spare` area is wasted.
    """
    along = taste[ALONG] > 0
    if along:
        width, height = height, width
    ways, count = _all_ways(goods, pieces, width, height, taste)
    looks = _FILL_LOOKS + _WAY_LOOKS * count + count * count // _SORTED
    dead, cell = _dead_widths(ways, count, width)
    for i in pieces:
        spots[i, 0] = -1
    starts = np.zeros(len(pieces) + 3, dtype=np.int64)
    tops = np.zeros(len(pieces) + 3, dtype=np.int64)
    starts[1], steps = width, 1
    while count > 0:
        at = 0
        for n in range(1, steps):
            if tops[n] < tops[at]:
                at = n
        x, y, free = starts[at], tops[at], starts[at + 1] - starts[at]
        before = (tops[at - 1] if at > 0 else height) - y
        after = (tops[at + 1] if at + 1 < steps else height) - y
        if y >= height:
            break
        best, more = _best_way(ways, count, free, height - y, before, after, taste, dead, cell)
        looks += more + _PLACE_LOOKS + steps + count // _MOVED
        if best < 0:
            level = min(before, after)
            spare -= free * level
            if spare < 0:
                return -looks
            steps = _cover(starts, tops, steps, at, x, free, y + level)
            continue
        # Against the longer neighbor, where the piece leaves no crack.
        a, i = ways.wide[best], ways.owner[best]
        start = x if before >= after else x + free - a
        spots[i, 0], spots[i, 1] = (y, start) if along else (start, y)
        spots[i, 2] = ways.turned[best]
        steps = _cover(starts, tops, steps, at, start, a, y + ways.high[best])
        count = _without(ways, count, i)
    return looks
