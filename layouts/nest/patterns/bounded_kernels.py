"""Compiled inner loops: good guillotine patterns that use no item more often than is left.

Tables are those of `layouts.nest.patterns.kernels`.
"""

from typing import NamedTuple

import numpy as np

from layouts.nest.patterns.grid import Cuts, Ints, Table
from layouts.nest.patterns.kernels import njit, promise_across, promise_along, push_along

FLAT = 0
"""A state that holds what a narrower or lower one holds."""
PIECE = 1
CUT_X = 2
CUT_Y = 3
COUNT_BITS = 24
COUNT_MOST = (1 << COUNT_BITS) - 1
"""A pattern's entry is an item's number above these bits and its count in them."""


@njit(cache=True)
def _overuse(
    a: int, b: int, items: Ints, starts: Ints, left: Ints, values: Ints, enough: int
) -> int:
    """Overcounted value when patterns a and b together hold more of an item than is left.

    Arrays as in `Space` and `Supply`. Counting ends when `enough` is reached.
    """
    over = 0
    p, p_end = starts[a], starts[a + 1]
    q, q_end = starts[b], starts[b + 1]
    while p < p_end and q < q_end:
        s, t = items[p] >> COUNT_BITS, items[q] >> COUNT_BITS
        if s == t:
            extra = (items[p] & COUNT_MOST) + (items[q] & COUNT_MOST) - left[s]
            if extra > 0:
                over += int(extra * values[s])
                if over >= enough:
                    return over
        p += s <= t
        q += t <= s
    return over


@njit(cache=True)
def _merge(a: int, b: int, to: int, items: Ints, starts: Ints, left: Ints) -> bool:
    """Write the counts of patterns a and b, capped at what is left, as pattern `to`.

    Arrays as in `Space` and `Supply`. False where there is no room for it.
    """
    p, p_end = starts[a], starts[a + 1]
    q, q_end = starts[b], starts[b + 1]
    at = starts[to]
    if at + p_end - p + q_end - q > len(items):
        return False
    while p < p_end and q < q_end:
        one, two = items[p], items[q]
        s, t = one >> COUNT_BITS, two >> COUNT_BITS
        if s == t:
            count = (one & COUNT_MOST) + (two & COUNT_MOST)
            items[at] = s << COUNT_BITS | min(count, left[s])
        else:
            items[at] = min(one, two)
        at += 1
        p += s <= t
        q += t <= s
    for n in range(p, p_end):
        items[at] = items[n]
        at += 1
    for n in range(q, q_end):
        items[at] = items[n]
        at += 1
    starts[to + 1] = at
    return True


class Supply(NamedTuple):
    """The remaining count of each of n items, and the value of one."""

    kind_of: Ints
    """(orientations,) int64: the item of each orientation."""
    left: Ints
    """(n,) int64: how many are left, at most `COUNT_MOST`."""
    values: Ints
    """(n,) int64: worth of one, in price units."""
    scarce: Ints
    """(n,) int64: a bit for each item that one bin could use up, else 0."""


class Space(NamedTuple):
    """Room to work in: the patterns kept. Pattern p has the items from starts[p] on, by item."""

    items: Ints
    """(entries,) int64: an item's number above `COUNT_BITS` bits, its count in them."""
    starts: Ints
    """(patterns + 2,) int64."""
    marks: Ints
    """(patterns + 2,) int64: the `scarce` bits of a pattern's items together."""


@njit(cache=True)
def bounded_table(
    single: Table, owner: Table, cuts: Cuts, supply: Supply, space: Space, skip: int, tries: int
) -> tuple[Table, Table, Table]:
    """Good value of each room when no item may occur more often than is left of it.

    `single` and `owner` (nx, ny) as in `kernels.trace_price`. Each room keeps one pattern, the best
    found, so the table is a strong heuristic, not exact. What the cuts of a room promise at most is
    found first, many rooms at once; most rooms need no closer look. Cuts that promise less than a
    2 ** -`skip` part more than the best so far are passed over, and at most `tries` cuts are tried
    closely, the most promising first. Our own.
    Gives (nx, ny) tables: value; what the room does, int8 (FLAT, PIECE, CUT_X, CUT_Y); and with
    which row, column or orientation, int32.
    """
    part_x, half_x, part_y, half_y = cuts.part_x, cuts.half_x, cuts.part_y, cuts.half_y
    dense = cuts.dense
    kind_of, left, values, scarce = supply.kind_of, supply.left, supply.values, supply.scarce
    items, starts, marks = space.items, space.starts, space.marks
    nx, ny = single.shape
    best = np.zeros((nx, ny), dtype=single.dtype)
    what = np.zeros((nx, ny), dtype=np.int8)
    where = np.zeros((nx, ny), dtype=np.int32)
    home = np.zeros((nx, ny), dtype=np.int32)
    starts[0] = starts[1] = 0
    marks[0] = 0
    tall = np.zeros((ny, nx), dtype=single.dtype)
    later = np.zeros(nx + ny, dtype=np.int32)
    promise = np.zeros(ny, dtype=single.dtype)
    used = 1 + starts[0]  # not a literal, for which loops would be compiled twice
    for i in range(1, nx):
        row = best[i]
        across = half_x[i]
        promise[:] = 0
        promise_across(best, part_x, i, across, promise)
        for j in range(1, ny):
            most, act, at = best[i - 1, j], 0, 0
            source = home[i - 1, j]
            if best[i, j - 1] > most:
                most, at, source = best[i, j - 1], 1, home[i, j - 1]
            if single[i, j] > most:
                most, act, at = single[i, j], PIECE, owner[i, j]
            hope = promise[j]
            if not dense:
                hope = max(hope, promise_along(row, part_y, j, half_y[j]))
            one = two = 0
            ends = across + half_y[j]
            floor = hope - (hope >> 8)
            least = most + (most >> skip)
            step = probes = waiting = 0
            c = (7 * i + 13 * j) % max(ends, 1)
            while step < ends + waiting and probes < tries and hope > least:
                if step < ends:
                    c = c + 1 if c + 1 < ends else 0
                else:
                    c = later[step - ends]
                step += 1
                if c < across:
                    k = c + 1
                    rest = part_x[i, k]
                    value = tall[j, k] + tall[j, rest]
                else:
                    k = c - across + 1
                    rest = part_y[j, k]
                    value = row[k] + row[rest]
                if value <= least:
                    continue
                if value < floor and step <= ends:
                    later[waiting] = c
                    waiting += 1
                    continue
                if c < across:
                    a, b = home[k, j], home[rest, j]
                else:
                    a, b = home[i, k], home[i, rest]
                probes += 1
                if marks[a] & marks[b]:
                    enough = value - most
                    value -= _overuse(a, b, items, starts, left, values, enough)
                if value > most:
                    most, at, one, two = value, k, a, b
                    least = most + (most >> skip)
                    act = CUT_X if c < across else CUT_Y
            if act == PIECE:
                items[starts[used]] = kind_of[at] << COUNT_BITS | 1
                starts[used + 1] = starts[used] + 1
                marks[used] = scarce[kind_of[at]]
                source = used
                used += 1
            elif act != FLAT:
                if _merge(one, two, used, items, starts, left):
                    marks[used] = marks[one] | marks[two]
                    source = used
                    used += 1
                else:
                    most, act, at, source = best[i - 1, j], FLAT, 0, home[i - 1, j]
            best[i, j], what[i, j], where[i, j], home[i, j] = most, act, at, source
            tall[j, i] = most
            if dense:
                push_along(row, j, promise)
    return best, what, where


@njit(cache=True)
def trace_bounded(
    what: Table, where: Table, kind_of: Ints, left: Ints, cuts: Cuts, room_x: int, room_y: int
) -> Table:
    """The pattern that a bounded table keeps for the room at row `room_x`, column `room_y`.

    `what` and `where` as `bounded_table` gives them, `kind_of` and `left` as in `Supply`. Gives
    (n, 3) int64: orientation, x, y in grid units for each item.
    """
    part_x, part_y, points_x, points_y = cuts.part_x, cuts.part_y, cuts.points_x, cuts.points_y
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
