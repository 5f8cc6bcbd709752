"""Compiled inner loops: the best guillotine layouts of a plate for given prices.

Imported only by the nester's later stages; the quick answer needs no compiler. Compiled code is
cached beside this file; `warm` in `layouts.nest.warming` fills the cache.

A plate's table has a row for each width and a column for each height that matter; `nx` and `ny`
count them with 0. `part_x[i, k]` is the row of the room left beside row k in row i.
"""

import numpy as np
from numba import njit

from layouts.nest.arrays import Ints, Table

FLAT = 0
"""A state that holds what a narrower or lower one holds."""
PIECE = 1
CUT_X = 2
CUT_Y = 3


@njit(cache=True)
def price_table(
    single: Table, part_x: Table, half_x: Ints, part_y: Table, half_y: Ints, dense: bool
) -> Table:
    """Most value of each room when sizes may repeat without end (exact on the grid).

    `dense`: the columns are all whole heights from 0 on, so that what is left of column j beside
    column k is column j - k. The heights of a row are then kept backwards too, which lets the
    processor add many at once.
    """
    nx, ny = single.shape
    best = single.copy()
    back = np.zeros(ny, dtype=single.dtype)
    for i in range(1, nx):
        row = best[i]
        below = best[i - 1]
        for j in range(ny):
            row[j] = max(row[j], below[j])
        for k in range(1, half_x[i] + 1):
            near = best[k]
            far = best[part_x[i, k]]
            for j in range(ny):
                row[j] = max(row[j], near[j] + far[j])
        for j in range(1, ny):
            most = max(row[j], row[j - 1])
            half = half_y[j]
            if dense:
                low = row[1 : half + 1]
                high = back[ny - j : ny - j + half]
                for k in range(half):
                    most = max(most, low[k] + high[k])
                back[ny - 1 - j] = most
            else:
                for k in range(1, half + 1):
                    most = max(most, row[k] + row[part_y[j, k]])
            row[j] = most
    return best


@njit(cache=True)
def trace_price(
    best: Table,
    single: Table,
    owner: Table,
    part_x: Table,
    half_x: Ints,
    part_y: Table,
    half_y: Ints,
    points_x: Ints,
    points_y: Ints,
    first: int,
    room_x: int,
    room_y: int,
) -> Table:
    """One best layout: rows of way (piece and turn), x, y in grid units.

    `first` forces the first cut: 0 none, k > 0 the standing cut at row k, k < 0 the lying cut at
    column -k.
    """
    out = np.empty((best.shape[0] * best.shape[1], 3), dtype=np.int64)
    count = 0
    stack = [(room_x, room_y, 0, 0, first)]
    while len(stack) > 0:
        i, j, x, y, forced = stack.pop()
        if forced > 0:
            stack.append((forced, j, x, y, 0))
            stack.append((part_x[i, forced], j, x + points_x[forced], y, 0))
            continue
        if forced < 0:
            stack.append((i, -forced, x, y, 0))
            stack.append((i, part_y[j, -forced], x, y + points_y[-forced], 0))
            continue
        value = best[i, j]
        if value <= 0:
            continue
        while best[i - 1, j] == value:
            i -= 1
        while best[i, j - 1] == value:
            j -= 1
        if single[i, j] == value:
            out[count, 0] = owner[i, j]
            out[count, 1] = x
            out[count, 2] = y
            count += 1
            continue
        found = False
        for k in range(1, half_x[i] + 1):
            if best[k, j] + best[part_x[i, k], j] == value:
                stack.append((k, j, x, y, 0))
                stack.append((part_x[i, k], j, x + points_x[k], y, 0))
                found = True
                break
        if found:
            continue
        for k in range(1, half_y[j] + 1):
            if best[i, k] + best[i, part_y[j, k]] == value:
                stack.append((i, k, x, y, 0))
                stack.append((i, part_y[j, k], x, y + points_y[k], 0))
                break
    return out[:count].copy()


@njit(cache=True)
def _overuse(
    a: int, b: int, kinds: Table, counts: Table, sizes: Ints, left: Ints, values: Ints, enough: int
) -> int:
    """Value counted too much when two layouts together hold more of a piece than is left.

    Counting ends when `enough` is reached.
    """
    over = 0
    p = q = 0
    while p < sizes[a] and q < sizes[b]:
        s, t = kinds[a, p], kinds[b, q]
        if s == t:
            extra = counts[a, p] + counts[b, q] - left[s]
            if extra > 0:
                over += int(extra * values[s])
                if over >= enough:
                    return over
            p += 1
            q += 1
        elif s < t:
            p += 1
        else:
            q += 1
    return over


@njit(cache=True)
def _merge(a: int, b: int, to: int, kinds: Table, counts: Table, sizes: Ints, left: Ints) -> bool:
    """Write the two layouts' counts, held down to what is left, to a third."""
    p = q = n = 0
    room = kinds.shape[1]
    while p < sizes[a] or q < sizes[b]:
        if n == room:
            return False
        s = kinds[a, p] if p < sizes[a] else 1 << 30
        t = kinds[b, q] if q < sizes[b] else 1 << 30
        kind = min(s, t)
        count = 0
        if s == kind:
            count += counts[a, p]
            p += 1
        if t == kind:
            count += counts[b, q]
            q += 1
        kinds[to, n] = kind
        counts[to, n] = min(count, left[kind])
        n += 1
    sizes[to] = n
    return True


@njit(cache=True)
def demand_table(
    single: Table,
    owner: Table,
    kind_of: Ints,
    left: Ints,
    values: Ints,
    part_x: Table,
    half_x: Ints,
    part_y: Table,
    half_y: Ints,
    kinds: Table,
    counts: Table,
    sizes: Ints,
    marks: Ints,
    scarce: Ints,
    skip: int,
    tries: int,
) -> tuple[Table, Table, Table]:
    """Good value of each room when no piece may occur oftener than is left of it.

    Each room keeps one layout, the best found, so the table is a strong heuristic, not exact.
    Cuts that promise less than a 2 ** -`skip` part more than the best so far are passed over, and
    at most `tries` cuts are looked at closely, the most promising first. `kinds`, `counts`,
    `sizes` and `marks` are room to work in: a row for each layout kept. `scarce` has a bit for
    each piece that one sheet could use up, so that most pairs of layouts need no closer look.
    Returns value, what the room does (FLAT, PIECE, CUT_X, CUT_Y), and with which row or way.
    """
    nx, ny = single.shape
    best = np.zeros((nx, ny), dtype=np.int64)
    what = np.zeros((nx, ny), dtype=np.int8)
    where = np.zeros((nx, ny), dtype=np.int32)
    home = np.zeros((nx, ny), dtype=np.int32)
    sizes[0] = 0
    marks[0] = 0
    promise = np.zeros(nx + ny, dtype=np.int64)
    used = 1
    for i in range(1, nx):
        for j in range(1, ny):
            most, act, at = best[i - 1, j], 0, 0
            source = home[i - 1, j]
            if best[i, j - 1] > most:
                most, at, source = best[i, j - 1], 1, home[i, j - 1]
            if single[i, j] > most:
                most, act, at = single[i, j], PIECE, owner[i, j]
            one = two = 0
            across = half_x[i]
            cuts = across + half_y[j]
            hope = 0
            for k in range(1, across + 1):
                value = best[k, j] + best[part_x[i, k], j]
                promise[k - 1] = value
                hope = max(hope, value)
            row = best[i]
            for k in range(1, half_y[j] + 1):
                value = row[k] + row[part_y[j, k]]
                promise[across + k - 1] = value
                hope = max(hope, value)
            floor = hope - (hope >> 8)
            least = most + (most >> skip)
            looks = 0
            c = (7 * i + 13 * j) % max(cuts, 1)
            for step in range(2 * cuts):
                if looks == tries or hope <= least:
                    break
                if step == cuts:
                    floor = 0
                c = c + 1 if c + 1 < cuts else 0
                value = promise[c]
                if value < floor or value <= least:
                    continue
                if c < across:
                    k = c + 1
                    a, b = home[k, j], home[part_x[i, k], j]
                else:
                    k = c - across + 1
                    a, b = home[i, k], home[i, part_y[j, k]]
                looks += 1
                promise[c] = 0
                if marks[a] & marks[b]:
                    enough = value - most
                    value -= _overuse(a, b, kinds, counts, sizes, left, values, enough)
                if value > most:
                    most, at, one, two = value, k, a, b
                    least = most + (most >> skip)
                    act = CUT_X if c < across else CUT_Y
            if act == PIECE:
                kinds[used, 0] = kind_of[at]
                counts[used, 0] = 1
                sizes[used] = 1
                marks[used] = scarce[kind_of[at]]
                source = used
                used += 1
            elif act != FLAT:
                if _merge(one, two, used, kinds, counts, sizes, left):
                    marks[used] = marks[one] | marks[two]
                    source = used
                    used += 1
                else:
                    most, act, at, source = best[i - 1, j], FLAT, 0, home[i - 1, j]
            best[i, j], what[i, j], where[i, j], home[i, j] = most, act, at, source
    return best, what, where


@njit(cache=True)
def trace_demand(
    what: Table,
    where: Table,
    kind_of: Ints,
    left: Ints,
    part_x: Table,
    part_y: Table,
    points_x: Ints,
    points_y: Ints,
    room_x: int,
    room_y: int,
) -> Table:
    """The layout a demand table keeps for a room: rows of way, x, y in grid units."""
    rest = left.copy()
    out = np.empty((what.shape[0] * what.shape[1], 3), dtype=np.int64)
    count = 0
    stack = [(room_x, room_y, 0, 0)]
    while len(stack) > 0:
        i, j, x, y = stack.pop()
        if i == 0 or j == 0:
            continue
        at = where[i, j]
        if what[i, j] == FLAT:
            if at == 0:
                stack.append((i - 1, j, x, y))
            else:
                stack.append((i, j - 1, x, y))
        elif what[i, j] == PIECE:
            if rest[kind_of[at]] > 0:
                rest[kind_of[at]] -= 1
                out[count, 0] = at
                out[count, 1] = x
                out[count, 2] = y
                count += 1
        elif what[i, j] == CUT_X:
            stack.append((at, j, x, y))
            stack.append((part_x[i, at], j, x + points_x[at], y))
        else:
            stack.append((i, at, x, y))
            stack.append((i, part_y[j, at], x, y + points_y[at]))
    return out[:count].copy()


@njit(cache=True)
def bar_table(sizes: Ints, prices: Ints, room: int) -> tuple[Ints, Ints]:
    """Unbounded knapsack over lengths 0 to `room`: best worth, and the last bar (-1: none)."""
    best = np.zeros(room + 1, dtype=np.int64)
    choice = np.full(room + 1, -1, dtype=np.int32)
    for at in range(1, room + 1):
        most = best[at - 1]
        last = -1
        for n in range(len(sizes)):
            if sizes[n] <= at:
                value = best[at - sizes[n]] + prices[n]
                if value > most:
                    most = value
                    last = n
        best[at] = most
        choice[at] = last
    return best, choice
