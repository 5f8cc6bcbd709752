"""Compiled: a strip filled along a skyline, and the search for an order that leaves nothing out.

The same way of filling as `layouts.nest.strip_fill`, thousands of times a second. Loaded only for
orders that ask for more than the usual effort.
"""

import numpy as np
from numba import njit

from layouts.nest.arrays import Ints, Table

FULL = 7
"""Points of a way that fills its place and ends flush with its higher wall: none has more."""


@njit(cache=True)
def drawn(state: Ints, below: int) -> int:
    """A random whole number below another one (xorshift; Marsaglia, 2003)."""
    x = state[0]
    x ^= (x << 13) & 0xFFFFFFFF
    x ^= x >> 17
    x ^= (x << 5) & 0xFFFFFFFF
    state[0] = x
    return int(x % below)


@njit(cache=True)
def close_up(line: Table, count: int, at: int) -> int:
    """Make a step one with neighbors of the same level; how many steps are left."""
    for k in (at + 1, at):
        if 0 < k < count and line[k, 1] == line[k - 1, 1]:
            line[k - 1, 2] += line[k, 2]
            for n in range(k, count - 1):
                line[n] = line[n + 1]
            count -= 1
    return count


@njit(cache=True)
def cover(line: Table, count: int, at: int, x: int, width: int, top: int) -> int:
    """Put a piece at either end of a step; how many steps there are then."""
    if width < line[at, 2]:
        for n in range(count, at, -1):
            line[n] = line[n - 1]
        count += 1
        if x == line[at, 0]:
            line[at + 1, 0] += width
            line[at + 1, 2] -= width
        else:
            line[at, 2] -= width
            at += 1
    line[at, 0], line[at, 1], line[at, 2] = x, top, width
    return close_up(line, count, at)


@njit(cache=True)
def points_of(
    a: int, b: int, free: int, left: int, right: int, slack: int, unit: int, fillable: Ints
) -> int:
    """How well a piece of these sides suits a place; see `layouts.nest.strip_fill`."""
    high, low = max(left, right), min(left, right)
    if free - a < slack:
        if b == high:
            return 7
        if b == low:
            return 6
        return 5 if b > high else 4
    if fillable[(free - a) // unit] == 0:
        return 0
    if b == high:
        return 3
    return 2 if b == low else 1


@njit(cache=True)
def fill_strip(
    order: Ints,
    sides: Table,
    room: Ints,
    fillable: Ints,
    limit: int,
    places: Table,
    nexts: Ints,
    line: Table,
) -> tuple[int, int]:
    """The area left out, above `limit` when given up, and the work in looks.

    `sides` holds width, height and whether it may turn for each part; `room` width, height, all
    parts' area, slack and unit. `places` gets x, y, turned for each part, x -1 where left out.
    """
    width, height, out, slack, unit = room
    parts = len(order)
    places[:, 0] = -1
    for k in range(parts):
        nexts[k] = k + 1
    nexts[parts] = 0
    line[0, 0], line[0, 1], line[0, 2] = 0, 0, width
    count = 1
    lost = out - width * height
    work = 0
    while nexts[parts] < parts:
        at = 0
        for k in range(1, count):
            if line[k, 1] < line[at, 1]:
                at = k
        x, y, free = line[at, 0], line[at, 1], line[at, 2]
        deep = height - y
        if deep == 0:
            break
        left = line[at - 1, 1] - y if at > 0 else deep
        right = line[at + 1, 1] - y if at + 1 < count else deep
        most, best, before, a, b, turned = -1, -1, -1, 0, 0, 0
        behind, k = parts, nexts[parts]
        while k < parts and most < FULL:
            i = order[k]
            work += 1
            for turn in range(1 + sides[i, 2]):
                w, h = sides[i, turn], sides[i, 1 - turn]
                if w <= free and h <= deep:
                    points = points_of(w, h, free, left, right, slack, unit, fillable)
                    if points > most:
                        most, best, before, a, b, turned = points, k, behind, w, h, turn
            behind, k = k, nexts[k]
        work += 10
        if best < 0:
            lost += free * min(left, right)
            if lost > limit:
                return lost, work
            line[at, 1] = y + min(left, right)
            count = close_up(line, count, at)
            continue
        nexts[before] = nexts[best]
        out -= a * b
        if b != left and (b == right or left < right):
            x += free - a
        i = order[best]
        places[i, 0], places[i, 1], places[i, 2] = x, y, turned
        count = cover(line, count, at, x, a, y + b)
    return out, work


@njit(cache=True)
def search_order(
    order: Ints, sides: Table, room: Ints, fillable: Ints, state: Ints, work: int
) -> tuple[int, Table, int]:
    """Exchange parts of the order, kept where no more is left out, until all lie or the work ends.

    `order` becomes the best one. Gives the area left out, its places and the work left.
    """
    parts = len(order)
    places = np.zeros((parts, 3), dtype=np.int64)
    tried = np.zeros((parts, 3), dtype=np.int64)
    nexts = np.zeros(parts + 1, dtype=np.int64)
    line = np.zeros((parts + 2, 3), dtype=np.int64)
    out, spent = fill_strip(order, sides, room, fillable, room[2], places, nexts, line)
    work -= spent
    while out > 0 and work > 0:
        one, two, way = drawn(state, parts), drawn(state, parts), drawn(state, 3)
        work -= 10
        p, q = order[one], order[two]
        if sides[p, 0] == sides[q, 0] and sides[p, 1] == sides[q, 1]:
            continue
        move(order, one, two, way)
        new, spent = fill_strip(order, sides, room, fillable, out, tried, nexts, line)
        work -= spent
        if new <= out:
            out = new
            places, tried = tried, places
        else:
            move(order, two, one, way)
    return out, places, work


@njit(cache=True)
def move(order: Ints, one: int, two: int, way: int) -> None:
    """Exchange two parts; the third way puts the first in the other's place and shifts the rest."""
    part = order[one]
    if way < 2:
        order[one], order[two] = order[two], part
        return
    step = 1 if one < two else -1
    for k in range(one, two, step):
        order[k] = order[k + step]
    order[two] = part
