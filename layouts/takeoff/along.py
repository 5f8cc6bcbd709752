"""Locate everything on a run: positions as given, and counts spread evenly.

Most lists give only counts. Fittings without a position are spread as one mixed sequence (a turn, a
wall, a valve, a turn ...) over the legs between fittings with one, evenly in each leg, so that no
two coincide and a count is never lost by chance. Walls between rooms of no known length are part of
the sequence, and so the rooms follow from them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from layouts.takeoff.run import Fitting, PipeRun
from layouts.terms.counts import counted
from layouts.terms.values import frozen


@frozen
class Located:
    """A fitting, its number among its kind, and its place in mm from the run's start."""

    kind: Fitting
    number: int
    at: float


@frozen
class Span:
    """A room from ``start`` to ``end`` along the run; without a name where it is the only one."""

    name: str
    start: float
    end: float


@frozen
class Layout:
    """Everything on a run by its place, and what had to be assumed."""

    fittings: tuple[Located, ...]
    rooms: tuple[Span, ...]
    notes: tuple[str, ...]

    @property
    def walls(self) -> tuple[float, ...]:
        """Where one room ends and the next begins."""
        return tuple(room.end for room in self.rooms[:-1])


def lay_out(run: PipeRun) -> Layout:
    """Fittings and rooms along the run."""
    walls = _known_walls(run)
    counts: dict[Fitting | None, int] = {kind: _count(run, kind) for kind in Fitting}
    inner = len(run.room_list) - 1
    walled = 0 if isinstance(run.penetrations, tuple) else min(inner, counts[Fitting.PENETRATION])
    counts[Fitting.PENETRATION] -= walled
    fixed = {kind: _given_places(run, kind) for kind in Fitting}
    known = {0.0, run.length, *(at for places in fixed.values() for at in places)}
    if walls is None:
        spread = _spread_counts(counts | {None: inner}, sorted(known))
        walls = tuple(spread[None])
    else:
        spread = _spread_counts(counts, sorted(known | set(walls)))
    fixed[Fitting.PENETRATION] += list(walls[:walled])
    fittings = [
        Located(kind, number, at)
        for kind in Fitting
        for number, at in enumerate(sorted(fixed[kind] + spread[kind]), start=1)
    ]
    rooms = tuple(
        Span(room.name or (f"room {number}" if inner else ""), start, end)
        for number, (room, (start, end)) in enumerate(
            zip(run.room_list, pairwise((0.0, *walls, run.length)), strict=True), start=1
        )
    )
    order = list(Fitting)
    fittings.sort(key=lambda each: (each.at, order.index(each.kind)))
    return Layout(tuple(fittings), rooms, tuple(_notes(run)))


def _known_walls(run: PipeRun) -> tuple[float, ...] | None:
    """Where rooms meet, or None if the list does not say."""
    rooms = run.room_list
    given = [room.length for room in rooms if room.length is not None]
    if not given:
        places = run.penetrations
        if isinstance(places, tuple) and len(set(places) - {0.0, run.length}) == len(rooms) - 1:
            return tuple(sorted(set(places) - {0.0, run.length}))
        return () if len(rooms) == 1 else None
    share = (run.length - math.fsum(given)) / max(1, len(rooms) - len(given))
    walls, at = [], 0.0
    for room in rooms[:-1]:
        at += share if room.length is None else room.length
        walls.append(min(at, run.length))
    return tuple(walls)


def _count(run: PipeRun, kind: Fitting) -> int:
    """How many of a kind have no position."""
    value = run.along(kind)
    if value is None:
        return len(run.room_list) - 1
    return value if isinstance(value, int) else 0


def _given_places(run: PipeRun, kind: Fitting) -> list[float]:
    value = run.along(kind)
    return list(value) if isinstance(value, tuple) else []


def _spread_counts(
    counts: dict[Fitting | None, int], known: list[float]
) -> dict[Fitting | None, list[float]]:
    """The given count of each kind, mixed, over the legs between known places; None is a wall."""
    ranked = [
        ((number + 0.5) / count, rank, kind)
        for rank, (kind, count) in enumerate(counts.items())
        for number in range(count)
    ]
    legs = list(pairwise(known))
    shares = [0] * len(legs)
    for _ in ranked:
        # The leg in which one more would leave the widest spacing; the first of equals.
        widest = max(
            range(len(legs)),
            key=lambda leg: (round((legs[leg][1] - legs[leg][0]) / (shares[leg] + 2), 6), -leg),
        )
        shares[widest] += 1
    places = [
        start + (end - start) * number / (share + 1)
        for (start, end), share in zip(legs, shares, strict=True)
        for number in range(1, share + 1)
    ]
    found: dict[Fitting | None, list[float]] = {kind: [] for kind in counts}
    for (_, _, kind), at in zip(sorted(ranked, key=lambda each: each[:2]), places, strict=True):
        found[kind].append(at)
    return found


_PLURALS = {
    Fitting.TURN: "turns",
    Fitting.BRANCH: "branches",
    Fitting.VALVE: "valves",
    Fitting.PENETRATION: "penetrations",
}


def count_fittings(kind: Fitting, count: int) -> str:
    """``1 branch`` or ``3 branches``."""
    return counted(count, kind, _PLURALS[kind])


def _notes(run: PipeRun) -> Iterator[str]:
    assumed = [
        count_fittings(kind, count)
        for kind in Fitting
        if (count := _count(run, kind)) and run.along(kind) is not None
    ]
    if assumed:
        yield f"only the number is known of {', '.join(assumed)}: spread evenly along the run"
    rooms = run.room_list
    if len(rooms) > 1 and _known_walls(run) is None:
        yield f"the lengths of {len(rooms)} rooms are not known: their walls are spread evenly"
    if len(rooms) > 1 and run.penetrations is None:
        yield f"a wall is taken between each two of {len(rooms)} rooms"
