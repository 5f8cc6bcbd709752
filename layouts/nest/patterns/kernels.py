"""Compiled inner loops: the best guillotine layouts of a bin for given prices.

Imported only by the nester's later stages; the quick answer needs no compiler. Compiled code is
cached beside this file; `warm` in `layouts.nest.solve` fills the cache.

A bin's table has a row for each width and a column for each height that matter; `nx` and `ny`
count them with 0. `part_x[i, k]` is the row of the room left beside row k in row i.
"""

import numpy as np
from numba import njit

from layouts.nest.patterns.grid import Ints, Table


@njit(cache=True)
def price_table(
    single: Table, part_x: Table, half_x: Ints, part_y: Table, half_y: Ints, dense: bool
) -> Table:
    """Most value of each room when sizes may repeat without end (exact on the grid).

    `dense`: the columns are all whole heights from 0 on, so that columns j and k together make
    column j + k.
    """
    nx, ny = single.shape
    best = single.copy()
    for i in range(1, nx):
        row = best[i]
        below = best[i - 1]
        for j in range(ny):
            row[j] = max(row[j], below[j])
        promise_across(best, part_x, i, half_x[i], row)
        for j in range(1, ny):
            row[j] = max(row[j], row[j - 1])
            if dense:
                push_along(row, j, row)
            else:
                row[j] = max(row[j], promise_along(row, part_y, j, half_y[j]))
    return best


@njit(cache=True)
def promise_across(best: Table, part_x: Table, i: int, across: int, promise: Ints) -> None:
    """Raise each room of row i to the most that a standing cut could bring."""
    for k in range(1, across + 1):
        near = best[k]
        far = best[part_x[i, k]]
        for j in range(len(promise)):
            promise[j] = max(promise[j], near[j] + far[j])


@njit(cache=True)
def push_along(row: Ints, j: int, promise: Ints) -> None:
    """Raise the columns behind j to what they are worth when cut at it, no part above column j.

    Many at once, which the processor adds quicker than the cuts of one column.
    """
    most = min(j, len(row) - 1 - j)
    value = row[j]
    near = row[1 : most + 1]
    far = promise[j + 1 : j + 1 + most]
    for k in range(most):
        far[k] = max(far[k], near[k] + value)


@njit(cache=True)
def promise_along(row: Ints, part_y: Table, j: int, along: int) -> int:
    """The most that a lying cut of column j could bring."""
    hope = 0
    for k in range(1, along + 1):
        hope = max(hope, int(row[k] + row[part_y[j, k]]))
    return hope


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
