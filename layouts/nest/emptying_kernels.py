"""Compiled: one sheet after the other emptied into the rest.

A sheet is emptied and its pieces wait. Then a few sheets at a time are filled again from what was
on them and what waits; what leaves less waiting stays, and now and then what leaves a little more
(simulated annealing). Pieces that keep waiting grow in worth until they are laid out in place of
others. Sources of the idea: Wei, Oon, Zhu and Lim, "A goal-driven approach to the 2D bin packing
and variable-sized bin packing problems", 2013; Nagata and Braysy's ejection pool for vehicle
routing, 2009.
"""

import numpy as np
from numba import njit

from layouts.nest.arrays import Ints, Table
from layouts.nest.refill_kernels import Flags, Goods, State, draw, fill, pick

_ONE, _TWO = 0.3, 0.9
"""Chance that one sheet is filled again, and that one or two are; else three."""
_HEAT = 0.01
"""How much more may wait after a step, as a part of a sheet: the mean of what is drawn."""
_GATHER = 0.05
"""What waste gathered on few of the sheets is worth."""
_IMPATIENCE = 1.0001
"""How a waiting piece's worth grows with each step that fails."""


@njit(cache=True)
def empty_sheets(
    goods: Goods,
    home: Ints,
    spots: Table,
    sheets: int,
    width: int,
    height: int,
    target: int,
    work: int,
    state: State,
) -> tuple[int, int]:
    """Empty sheets until `target` or the work (looks) is reached; gives sheets and work left.

    `home[piece]` is its sheet and `spots[piece]` its x, y, turned; both become the answer's.
    """
    areas = goods.sizes[:, 0] * goods.sizes[:, 1]
    while sheets > target and work > 0:
        last_home, last_spots = home.copy(), spots.copy()
        load = np.zeros(sheets, dtype=np.int64)
        for i in range(len(home)):
            load[home[i]] += areas[i]
        emptied = int(np.argmin(load))
        sheets -= 1
        load[emptied] = load[sheets]
        for i in range(len(home)):
            if home[i] == emptied:
                home[i] = -1
            elif home[i] == sheets:
                home[i] = emptied
        goods.worths[:] = 1.0
        waiting, work = _refill(goods, areas, home, spots, load, sheets, width, height, work, state)
        if waiting:
            home[:] = last_home
            spots[:] = last_spots
            return sheets + 1, work
    return sheets, work


@njit(cache=True)
def _refill(
    goods: Goods,
    areas: Ints,
    home: Ints,
    spots: Table,
    load: Ints,
    sheets: int,
    width: int,
    height: int,
    work: int,
    state: State,
) -> tuple[int, int]:
    """Refill a few sheets at a time until nothing waits; gives what waits and the work left."""
    room = width * height
    open_ = np.zeros(sheets, dtype=np.bool_)
    pieces = np.empty(len(home), dtype=np.int64)
    to = np.empty(len(home), dtype=np.int64)
    trial = np.empty((len(home), 3), dtype=np.int64)
    waiting = len(home)
    while waiting and work > 0:
        chance = draw(state)
        many = min(sheets, 1 if chance < _ONE else (2 if chance < _TWO else 3))
        chosen = _choose(open_, sheets, many, state)
        count, old = 0, 0.0
        for i in range(len(home)):
            k = home[i]
            if k < 0 or open_[k]:
                pieces[count] = i
                to[i] = -1
                count += 1
                if k >= 0:
                    old += goods.worths[i] * areas[i]
        need = old / room + _HEAT * np.log(max(1e-12, draw(state)))
        for k in chosen:
            open_[k] = False
            need += _GATHER * (load[k] / room) ** 2
        work -= len(home)
        rest, got, heaviest = count, 0.0, goods.worths[pieces[:count]].max()
        for n in range(many):
            # The most that the sheets still to come can give.
            later = (many - 1 - n) * (heaviest + _GATHER)
            fullness = (need - got - later) / (heaviest + _GATHER)
            spare = room - int(fullness * room) if fullness > 0 else room
            looks = fill(
                goods, pieces[:rest], width, height, draw(state) < 0.5, spare, trial, state
            )
            work -= abs(looks)
            if looks < 0:
                got = -1e9
                break
            kept, full = 0, 0
            for m in range(rest):
                i = pieces[m]
                if trial[i, 0] >= 0:
                    to[i] = chosen[n]
                    full += areas[i]
                    got += goods.worths[i] * areas[i] / room
                else:
                    pieces[kept], pieces[m] = i, pieces[kept]
                    kept += 1
            rest = kept
            got += _GATHER * (full / room) ** 2
            if rest == 0:
                break
        if got < need and (rest or got < 0):
            for m in range(count):
                i = pieces[m]
                if home[i] < 0:
                    goods.worths[i] *= _IMPATIENCE
            continue
        waiting = rest
        for k in chosen:
            load[k] = 0
        for m in range(count):
            i = pieces[m]
            home[i] = to[i]
            if to[i] >= 0:
                load[to[i]] += areas[i]
                spots[i] = trial[i]
    return waiting, work


@njit(cache=True)
def _choose(open_: Flags, sheets: int, many: int, state: State) -> Ints:
    """Different sheets, marked as open."""
    chosen = np.empty(many, dtype=np.int64)
    for n in range(many):
        k = pick(state, sheets)
        while open_[k]:
            k = pick(state, sheets)
        open_[k] = True
        chosen[n] = k
    return chosen
