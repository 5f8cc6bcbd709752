"""Compiled: one sheet after the other emptied into the rest.

A sheet is emptied and its pieces wait. Then a few sheets at a time are filled again from what was
on them and what waits; what leaves less waiting stays, and now and then what leaves a little more
(simulated annealing). Most steps follow the tastes and urges that did well before, with a little
changed; the others are drawn anew. Pieces that keep waiting grow in worth until they are laid out
in place of others. Sources of the idea: Wei, Oon, Zhu and Lim, "A goal-driven approach to the 2D
bin packing and variable-sized bin packing problems", 2013; Nagata and Braysy's ejection pool for
vehicle routing, 2009.
"""

from typing import NamedTuple

import numpy as np
from numba import njit

from layouts.nest.arrays import Floats, Ints, Table
from layouts.nest.refill_kernels import (
    TASTE,
    Flags,
    Goods,
    State,
    any_taste,
    any_urges,
    draw,
    fill,
    pick,
)

_ONE, _TWO = 0.35, 0.92
"""Chance that one sheet is filled again, and that one or two are; else three."""
_HEAT = 0.005
"""How much more may wait after a step, as a part of a sheet: the mean of what is drawn."""
_GATHER = 0.03
"""What waste gathered on few of the sheets is worth."""
_IMPATIENCE = 1.0001
"""How a waiting piece's worth grows with each step that fails."""
_FOLLOW = 0.75
"""Chance that a step follows what did well."""
_SWING, _NEW_TASTE = 0.3, 0.03
"""How far one urge then changes, in logarithms; the chance that one part of the taste does."""


class Sheets(NamedTuple):
    """What lies where: each piece's sheet (-1: it waits) and x, y, turned; each sheet's load."""

    home: Ints
    spots: Table
    load: Ints
    tastes: Floats
    """By which each sheet was filled."""


class Trial(NamedTuple):
    """A step before it is taken: pieces in hand, their sheets and places; tastes, old urges."""

    pieces: Ints
    home: Ints
    spots: Table
    tastes: Floats
    urges: Floats


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
        goods.urges[:] = 1.0
        tastes = np.empty((sheets, TASTE))
        for k in range(sheets):
            any_taste(tastes[k], state)
        lying = Sheets(home, spots, load[:sheets], tastes)
        waiting, work = _refill(goods, areas, lying, width, height, work, state)
        if waiting:
            home[:] = last_home
            spots[:] = last_spots
            return sheets + 1, work
    return sheets, work


@njit(cache=True)
def _refill(
    goods: Goods, areas: Ints, lying: Sheets, width: int, height: int, work: int, state: State
) -> tuple[int, int]:
    """Refill a few sheets at a time until nothing waits; gives what waits and the work left."""
    waiting, room = len(lying.home), width * height
    hand = np.empty(waiting, dtype=np.int64)
    trial = Trial(hand, hand.copy(), lying.spots.copy(), np.empty((3, TASTE)), np.empty(waiting))
    opened = np.zeros(len(lying.load), dtype=np.bool_)
    while waiting and work > 0:
        chosen = _choose(opened, state)
        count, need = _take(goods, areas, lying, opened, trial, room)
        need += _HEAT * np.log(max(1e-12, draw(state)))
        for k in chosen:
            opened[k] = False
            need += _GATHER * (lying.load[k] / room) ** 2
        follow = draw(state) < _FOLLOW
        if follow:
            _sway(goods, trial.pieces[:count], state)
        else:
            any_urges(goods, trial.pieces[:count], state)
        rest, looks = _lay(
            goods, areas, lying, chosen, trial, count, need, width, height, follow, state
        )
        work -= looks + len(lying.home)
        if rest < 0:
            for i in trial.pieces[:count]:
                goods.urges[i] = trial.urges[i]
                if lying.home[i] < 0:
                    goods.worths[i] *= _IMPATIENCE
            continue
        waiting = rest
        for n, k in enumerate(chosen):
            lying.load[k] = 0
            lying.tastes[k] = trial.tastes[n]
        for i in trial.pieces[:count]:
            lying.home[i] = trial.home[i]
            if trial.home[i] >= 0:
                lying.load[trial.home[i]] += areas[i]
                lying.spots[i] = trial.spots[i]
    return waiting, work


@njit(cache=True)
def _choose(opened: Flags, state: State) -> Ints:
    """One to three different sheets, marked as opened."""
    chance = draw(state)
    many = min(len(opened), 1 if chance < _ONE else (2 if chance < _TWO else 3))
    chosen = np.empty(many, dtype=np.int64)
    for n in range(many):
        k = pick(state, len(opened))
        while opened[k]:
            k = pick(state, len(opened))
        opened[k] = True
        chosen[n] = k
    return chosen


@njit(cache=True)
def _take(
    goods: Goods, areas: Ints, lying: Sheets, opened: Flags, trial: Trial, room: int
) -> tuple[int, float]:
    """Take in hand what waits or lies on opened sheets: how many, and the worth of what lay."""
    count, laid = 0, 0.0
    for i in range(len(lying.home)):
        k = lying.home[i]
        if k < 0 or opened[k]:
            trial.pieces[count] = i
            trial.home[i] = -1
            trial.urges[i] = goods.urges[i]
            count += 1
            if k >= 0:
                laid += goods.worths[i] * areas[i]
    return count, laid / room


@njit(cache=True)
def _sway(goods: Goods, pieces: Ints, state: State) -> None:
    """Change one or two urges: two pieces trade theirs, or one gets a new one."""
    for _ in range(1 + pick(state, 2)):
        i = pieces[pick(state, len(pieces))]
        if draw(state) < 0.5:
            j = pieces[pick(state, len(pieces))]
            goods.urges[i], goods.urges[j] = goods.urges[j], goods.urges[i]
        else:
            goods.urges[i] = np.exp(_SWING * (2.0 * draw(state) - 1.0))


@njit(cache=True)
def _lay(
    goods: Goods,
    areas: Ints,
    lying: Sheets,
    chosen: Ints,
    trial: Trial,
    count: int,
    need: float,
    width: int,
    height: int,
    follow: bool,
    state: State,
) -> tuple[int, int]:
    """Fill the chosen sheets from the pieces in hand; gives how many are left, and the looks.

    What is left comes first in hand then. It is -1 when the sheets would hold less than needed.
    """
    room, looks, rest = width * height, 0, count
    heaviest = goods.worths[trial.pieces[:count]].max()
    for n, k in enumerate(chosen):
        any_taste(trial.tastes[n], state)
        if follow:
            part = pick(state, TASTE) if draw(state) < _NEW_TASTE else TASTE
            for each in range(TASTE):
                if each != part:
                    trial.tastes[n, each] = lying.tastes[k, each]
        # The most that the sheets still to come can give.
        later = (len(chosen) - 1 - n) * (heaviest + _GATHER)
        least = max(0.0, (need - later) / (heaviest + _GATHER))
        spare = room - int(least * room)
        more = fill(goods, trial.pieces[:rest], width, height, trial.tastes[n], spare, trial.spots)
        looks += abs(more)
        if more < 0:
            return -1, looks
        kept, full, worth = 0, 0, 0.0
        for m in range(rest):
            i = trial.pieces[m]
            if trial.spots[i, 0] >= 0:
                trial.home[i] = k
                full += areas[i]
                worth += goods.worths[i] * areas[i]
            else:
                trial.pieces[kept], trial.pieces[m] = i, trial.pieces[kept]
                kept += 1
        rest = kept
        need -= worth / room + _GATHER * (full / room) ** 2
        if rest == 0:
            return 0, looks
    return (rest if need <= 0 else -1), looks
