"""A run and a rule give the spots where markers go, each with its reasons."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from layouts.schemes.spacing import SpacingRule
from layouts.takeoff.along import Layout, lay_out
from layouts.takeoff.places import fewest_places, straights
from layouts.takeoff.run import PipeRun
from layouts.takeoff.windows import Cause, Window, window_notes, windows_of
from layouts.terms.site_lengths import feet_and_inches
from layouts.terms.units import feet
from layouts.terms.values import frozen
from layouts.terms.words import Side

_SLACK = 1e-6  # mm; places are sums of floats


@frozen
class SpotReason:
    """One reason why a marker is there."""

    cause: Cause
    text: str


@frozen
class Spot:
    """One place along the run, ``at`` mm from its start, with every reason that it serves."""

    at: float
    reasons: tuple[SpotReason, ...]
    room: str

    @property
    def text(self) -> str:
        """``at elbow 1, within 2 ft (32 ft from start, engine room)``."""
        reasons = "; ".join(reason.text for reason in self.reasons)
        along = f"{feet_and_inches(self.at)} from start"
        where = f"{along}, {self.room}" if self.room else along
        if all(reason.cause is Cause.INTERVAL for reason in self.reasons):
            return f"{where} ({reasons})"
        return f"{reasons} ({where})"


@frozen
class Takeoff:
    """Where markers go on one run, by which rule, and what was assumed."""

    run: PipeRun
    rule: SpacingRule
    spots: tuple[Spot, ...]
    notes: tuple[str, ...]

    @property
    def quantity(self) -> int:
        """Positions: the quantity of the row, which planning doubles where both sides read."""
        return len(self.spots)

    @property
    def per_spot(self) -> int:
        """Markers at each spot: a right-hand and a left-hand one where both sides read."""
        return 2 if self.run.side is Side.BOTH else 1

    @property
    def markers(self) -> int:
        """Markers in all."""
        return self.quantity * self.per_spot


def take_off(run: PipeRun, rule: SpacingRule) -> Takeoff:
    """The fewest markers that the rule allows on a run, and where they go.

    No two neighbors are further apart than the rule's spacing, and no end of the run is further
    than half of it from its marker, so that runs joined end to end keep the rule. Reasons share a
    marker wherever their distances overlap: two turns of a "within 2 ft" rule up to 4 ft apart.
    """
    layout = lay_out(run)
    windows = windows_of(run, layout, rule)
    free = straights(run.length, layout, rule.clear)
    places = fewest_places(windows, free, rule.spacing(run.setting))
    spots = tuple(
        Spot(at, _reasons(index, places, windows, run, rule), _room(at, layout))
        for index, at in enumerate(places)
    )
    return Takeoff(run, rule, spots, (*layout.notes, *window_notes(run, layout, rule)))


def _room(at: float, layout: Layout) -> str:
    return next(room.name for room in reversed(layout.rooms) if at >= room.start)


def _reasons(
    index: int, places: Sequence[float], windows: Sequence[Window], run: PipeRun, rule: SpacingRule
) -> tuple[SpotReason, ...]:
    at = places[index]
    others = [*places[:index], *places[index + 1 :]]
    found = []
    for window in windows:
        if not window.start - _SLACK <= at <= window.end + _SLACK:
            continue
        if window.cause is Cause.INTERVAL:
            continue
        # A room is a reason for the one marker in it; a fitting for every marker near it.
        alone = not any(window.start <= other <= window.end for other in others)
        if window.cause is not Cause.ROOM or alone:
            found.append(SpotReason(window.cause, window.text))
    spacing = rule.spacing(run.setting)
    if not others and run.length <= spacing:
        if not found:
            found.append(SpotReason(Cause.INTERVAL, "at least one on every run"))
    elif _too_wide(others, run.length, spacing):
        found.append(SpotReason(Cause.INTERVAL, f"{feet(spacing)} max. spacing"))
    return tuple(found)


def _too_wide(places: Sequence[float], length: float, spacing: float) -> bool:
    """Whether the places alone would leave an interval longer than the spacing."""
    if not places:
        return True
    # An end is half an interval from its marker, as if mirrored there.
    ends = (-places[0], *places, 2 * length - places[-1])
    return any(two - one > spacing + _SLACK for one, two in pairwise(ends))
