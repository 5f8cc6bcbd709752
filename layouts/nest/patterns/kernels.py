"""Compiled inner loops: the best guillotine patterns of a bin at given dual prices.

Dynamic programming over the cuts of a room: the two-dimensional unbounded knapsack. Source: Gilmore
and Gomory, "The theory and computation of knapsack functions", 1966. Loaded by column generation
only; the first answer needs no compiler. Compiled code is cached beside this file;
`layouts.nest.warm` fills the cache. The compiler is an optional package: without it the same loops
run as plain Python, with the same answer, and a large order takes minutes in place of seconds.

A bin's table has a row for each width and a column for each height that matter, `nx` and `ny` with
the empty room 0 (see `grid.Cuts`). Values are whole price units, int64, or int32 where no sum can
grow too large; lengths are grid units.
"""

from collections.abc import Callable
from typing import Protocol, TypeVar, cast

import numpy as np

from layouts.nest.patterns.grid import Cuts, Ints, Table

F = TypeVar("F", bound=Callable[..., object])


class Compiler(Protocol):
    """A decorator that may keep what it compiled beside the module."""

    def __call__(self, *, cache: bool) -> Callable[[F], F]:
        """The decorator for one function."""
        ...


def _leave(*, cache: bool) -> Callable[[F], F]:
    """The function as it is; ``cache`` is the compiler's."""
    del cache
    return lambda function: function


def _compiler() -> Compiler:
    try:
        from numba import njit
    except ImportError:
        return _leave
    return cast(Compiler, njit)


njit = _compiler()


@njit(cache=True)
def price_table(single: Table, cuts: Cuts) -> Table:
    """Highest value of each room when items may repeat without limit (exact on the grid).

    `single`, (nx, ny) int32 or int64: value of the best item that fills a room exactly. Gives a
    table of the same shape and dtype. In a dense table columns j and k together make column j + k.
    """
    part_x, half_x, part_y, half_y = cuts.part_x, cuts.half_x, cuts.part_y, cuts.half_y
    dense = cuts.dense
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
    """Raise each room of row i, `promise` (ny,), to the most that a vertical cut could bring.

    `best` (nx, ny) is filled up to row i - 1; cuts run at rows 1 to `across`.
    """
    for k in range(1, across + 1):
        near = best[k]
        far = best[part_x[i, k]]
        for j in range(len(promise)):
            promise[j] = max(promise[j], near[j] + far[j])


@njit(cache=True)
def push_along(row: Ints, j: int, promise: Ints) -> None:
    """Raise the columns behind j to what they are worth when cut at it, no part above column j.

    `row` and `promise` (ny,), one row of a dense table. Many are raised at once, which is faster
    than cut by cut for one column.
    """
    most = min(j, len(row) - 1 - j)
    value = row[j]
    near = row[1 : most + 1]
    far = promise[j + 1 : j + 1 + most]
    for k in range(most):
        far[k] = max(far[k], near[k] + value)


@njit(cache=True)
def promise_along(row: Ints, part_y: Table, j: int, along: int) -> int:
    """The most that a horizontal cut of column j could bring; `row` (ny,), cuts up to `along`."""
    hope = 0
    for k in range(1, along + 1):
        hope = max(hope, int(row[k] + row[part_y[j, k]]))
    return hope


@njit(cache=True)
def trace_price(
    best: Table, single: Table, owner: Table, cuts: Cuts, first: int, room_x: int, room_y: int
) -> Table:
    """One best pattern of the room at row `room_x`, column `room_y`.

    `best` and `single` (nx, ny): a price table and what it was made from; `owner` (nx, ny) int32:
    the orientation that fills a room. `first` forces the first cut: 0 none, k > 0 the vertical cut
    at row k, k < 0 the horizontal cut at column -k. Gives (n, 3) int64: orientation, x, y in grid
    units for each item.
    """
    part_x, half_x, part_y, half_y = cuts.part_x, cuts.half_x, cuts.part_y, cuts.half_y
    points_x, points_y = cuts.points_x, cuts.points_y
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
    """Unbounded knapsack over lengths 0 to `room`, in whole units.

    `sizes` and `prices` (n,) int64. Gives (room + 1,) int64, the most worth within each length,
    and (room + 1,) int32, the last bar taken there (-1: none).
    """
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
