"""The requirements of a rule on a run, each a stretch that must contain a marker."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from enum import StrEnum
from itertools import pairwise

from layouts.schemes.spacing import SpacingRule
from layouts.takeoff.along import Layout, Located, count_fittings
from layouts.takeoff.run import Fitting, PipeRun
from layouts.terms.units import feet, inches
from layouts.terms.values import frozen

# Places are sums of floats: rounded so far, mm, stretches that touch do touch.
DIGITS = 6
_SLACK = 10.0**-DIGITS


class Cause(StrEnum):
    """Why a marker is where it is."""

    TURN = "turn"
    BRANCH = "branch"
    VALVE = "valve"
    PENETRATION = "penetration"
    ROOM = "room"
    INTERVAL = "interval"


@frozen
class Window:
    """A stretch that must contain a marker; ``wish`` is the preferred place in it."""

    cause: Cause
    start: float
    end: float
    wish: float
    text: str


def reach(rule: SpacingRule, kind: Fitting) -> float | None:
    """The rule's distance from a kind of fitting, None where it gives none."""
    return {
        Fitting.TURN: rule.turns,
        Fitting.BRANCH: rule.branches,
        Fitting.VALVE: rule.valves,
        Fitting.PENETRATION: rule.penetrations,
    }[kind]


def windows_of(run: PipeRun, layout: Layout, rule: SpacingRule) -> list[Window]:
    """Everything the rule requires of the run, except the spacing between its ends."""
    found: list[Window] = []
    for fitting in layout.fittings:
        distance = reach(rule, fitting.kind)
        if distance is None:
            continue
        if fitting.kind is Fitting.TURN and rule.before_and_after:
            found += _either_side(fitting, distance, run, layout, rule)
        elif fitting.kind is Fitting.PENETRATION and rule.both_sides:
            found += _both_sides(fitting, distance, run, rule)
        else:
            found.append(_beside(fitting, distance, run, rule))
    if rule.once_per_room:
        found += [
            Window(
                Cause.ROOM,
                room.start,
                room.end,
                (room.start + room.end) / 2,
                f"at least one in {room.name or 'every room'}",
            )
            for room in layout.rooms
        ]
    half = rule.spacing(run.setting) / 2
    if half < run.length:
        found.append(Window(Cause.INTERVAL, 0.0, half, half / 2, ""))
        found.append(Window(Cause.INTERVAL, run.length - half, run.length, run.length, ""))
    else:
        found.append(Window(Cause.INTERVAL, 0.0, run.length, run.length / 2, ""))
    return [
        replace(each, start=round(each.start, DIGITS), end=round(each.end, DIGITS))
        for each in found
    ]


def window_notes(run: PipeRun, layout: Layout, rule: SpacingRule) -> Iterator[str]:
    """What the rule leaves out, in words."""
    counts = {kind: sum(each.kind is kind for each in layout.fittings) for kind in Fitting}
    unasked = [
        count_fittings(kind, count)
        for kind, count in counts.items()
        if count and reach(rule, kind) is None
    ]
    if unasked:
        yield f"the rule {rule.key} gives no distance from {', '.join(unasked)}: none is marked"
    if rule.before_and_after:
        short = sum(_is_short(leg, rule) for leg in _legs(run, layout))
        if short:
            yield (
                f"legs up to {inches(rule.short_leg)} that end or turn again need no marker of "
                f"their own: {short} left out"
            )


def _beside(fitting: Located, distance: float, run: PipeRun, rule: SpacingRule) -> Window:
    return Window(
        Cause(fitting.kind),
        max(0.0, fitting.at - distance),
        min(run.length, fitting.at + distance),
        fitting.at + (rule.clear + distance) / 2,
        f"at {_name(fitting)}, within {feet(distance)}",
    )


def _name(fitting: Located) -> str:
    """``elbow 1``, ``valve 2``: a fitting as the trade calls it."""
    kind = {Fitting.TURN: "elbow", Fitting.PENETRATION: "wall"}.get(fitting.kind, fitting.kind)
    return f"{kind} {fitting.number}"


def _both_sides(
    fitting: Located, distance: float, run: PipeRun, rule: SpacingRule
) -> Iterator[Window]:
    """One on each side of a wall that the run goes on behind; none beyond the run's ends."""
    offset, what = (rule.clear + distance) / 2, _name(fitting)
    near, far = max(0.0, fitting.at - distance), min(run.length, fitting.at + distance)
    sides = f"within {feet(distance)} of {what}"
    # The wall itself bounds both stretches: a marker's center stays off it in any case.
    if fitting.at > _SLACK:
        text = f"{sides}, before it"
        yield Window(Cause.PENETRATION, near, fitting.at, max(near, fitting.at - offset), text)
    if fitting.at < run.length - _SLACK:
        text = f"{sides}, after it"
        yield Window(Cause.PENETRATION, fitting.at, far, min(far, fitting.at + offset), text)


def _legs(run: PipeRun, layout: Layout) -> list[tuple[float, float]]:
    """The straight legs: from the start, turn by turn, to the end."""
    turns = sorted({each.at for each in layout.fittings if each.kind is Fitting.TURN})
    ends = sorted({0.0, *turns, run.length})
    return list(pairwise(ends)) if turns else []


def _is_short(leg: tuple[float, float], rule: SpacingRule) -> bool:
    return leg[1] - leg[0] <= rule.short_leg + _SLACK


def _either_side(
    turn: Located, distance: float, run: PipeRun, layout: Layout, rule: SpacingRule
) -> Iterator[Window]:
    """One before the turn and one after it, each in its own leg; omitted in a short leg."""
    offset = (rule.clear + distance) / 2
    for start, end in _legs(run, layout):
        if _is_short((start, end), rule):
            continue
        what = _name(turn)
        if end == turn.at:
            text = f"within {feet(distance)} before {what}"
            yield Window(Cause.TURN, max(start, end - distance), end, end - offset, text)
        if start == turn.at:
            text = f"within {feet(distance)} after {what}"
            yield Window(Cause.TURN, start, min(end, start + distance), start + offset, text)
