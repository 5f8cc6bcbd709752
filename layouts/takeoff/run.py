"""A run of pipe as a line list or a walk describes it. Lengths in mm."""

from __future__ import annotations

import math
from collections.abc import Iterator
from enum import StrEnum
from typing import TypeAlias

from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.units import feet
from layouts.terms.values import frozen
from layouts.terms.words import Run, Setting, Side

_LONGEST = 1e6  # mm; a run is at most a kilometer long
_SHORTEST = 10.0  # mm
_MOST = 200  # fittings or rooms on one run; more is a slip of the column
_SLACK = 1.0  # mm by which room lengths may miss the run's


class Fitting(StrEnum):
    """Fittings on a run that require a marker nearby."""

    TURN = "turn"
    BRANCH = "branch"
    VALVE = "valve"
    PENETRATION = "penetration"


Along: TypeAlias = int | tuple[float, ...]
"""So many of something, or where each of them is, in mm from the run's start."""


@frozen
class Room:
    """A room the run passes; rooms without a length share the rest evenly."""

    name: str = ""
    length: float | None = None


@frozen
class PipeRun:
    """One run, valid by construction.

    ``penetrations`` counts walls, floors and roofs; None means a wall between every two rooms.
    ``height`` is above the floor, ``distance`` from the reader to the pipe along the floor.
    ``side`` says from how many sides it is read, ``lie`` whether it is a riser.

    Raises:
        InputError: with every fault; each finding's field is the name of the field here.
    """

    length: float
    turns: Along = 0
    branches: Along = 0
    valves: Along = 0
    penetrations: Along | None = None
    rooms: int | tuple[Room, ...] = 1
    height: float | None = None
    distance: float | None = None
    side: Side = Side.ONE
    lie: Run = Run.HORIZONTAL
    setting: Setting = Setting.INDOOR

    def __post_init__(self) -> None:
        findings = [
            Finding("run-impossible", Severity.UNREADABLE, what, right, place=Place(field=field))
            for field, what, right in _faults(self)
        ]
        if findings:
            raise InputError(findings)

    def along(self, kind: Fitting) -> Along | None:
        """How many, or where, by the kind of fitting."""
        return {
            Fitting.TURN: self.turns,
            Fitting.BRANCH: self.branches,
            Fitting.VALVE: self.valves,
            Fitting.PENETRATION: self.penetrations,
        }[kind]

    @property
    def room_list(self) -> tuple[Room, ...]:
        """The rooms one by one."""
        return (Room(),) * self.rooms if isinstance(self.rooms, int) else self.rooms


Fault: TypeAlias = tuple[str, str, str]


def _faults(run: PipeRun) -> Iterator[Fault]:
    """Field, fault and remedy for every impossible value."""
    measured = _is_measure(run.length) and run.length >= _SHORTEST
    if not measured:
        yield "length", f"a run of {run.length:g} mm", "give its length, as in 120 ft"
    for name in ("turns", "branches", "valves", "penetrations"):
        value: Along | None = getattr(run, name)
        if isinstance(value, tuple):
            yield from _place_faults(name, value, run.length if measured else _LONGEST)
        elif value is not None and not 0 <= value <= _MOST:
            yield name, f"{value} {name} on one run", f"give a count from 0 to {_MOST}"
    for name in ("height", "distance"):
        number: float | None = getattr(run, name)
        if number is not None and not _is_measure(number):
            yield name, f"a {name} of {number:g} mm", "give zero or more, as in 12 ft"
    if not 1 <= len(run.room_list) <= _MOST:
        yield "rooms", f"{len(run.room_list)} rooms on one run", f"give 1 to {_MOST}"
    elif measured:
        yield from _room_faults(run)


def _is_measure(number: float) -> bool:
    return math.isfinite(number) and 0 <= number <= _LONGEST


def _place_faults(name: str, places: tuple[float, ...], length: float) -> Iterator[Fault]:
    if len(places) > _MOST:
        yield name, f"{len(places)} {name} on one run", f"give at most {_MOST}"
    for place in places:
        if not (math.isfinite(place) and 0 <= place <= length):
            what = f"one of the {name} at {place / 304.8:g} ft is not on the run"
            yield name, what, f"give it from 0 to {feet(length)}, measured from the run's start"


def _room_faults(run: PipeRun) -> Iterator[Fault]:
    given = [room.length for room in run.room_list if room.length is not None]
    if any(not (_is_measure(length) and length > 0) for length in given):
        yield "rooms", "a room without any length along the run", "give each room's, as in 40 ft"
        return
    total = math.fsum(given)
    left = run.length - total
    if len(given) == len(run.room_list) and abs(left) > _SLACK:
        what = f"the rooms add up to {feet(total)}, and the run is {feet(run.length)} long"
        yield "rooms", what, "give lengths along the run that add up to it"
    if len(given) < len(run.room_list) and left <= 0:
        what = f"rooms of {feet(total)} leave nothing of {feet(run.length)} for the others"
        yield "rooms", what, "give shorter rooms or a longer run"
