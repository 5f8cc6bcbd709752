"""Spacing rules as data: the distance between markers along a run, and the fittings they mark."""

from __future__ import annotations

from layouts.schemes.rows import Faults, Row, Table
from layouts.terms.errors import InputError
from layouts.terms.units import feet
from layouts.terms.values import frozen
from layouts.terms.words import Setting

# A spacing below this many clearances would leave no place between two fittings.
_LEAST_CLEARANCES = 4
_OWN = {"source": "the plant's own rule", "status": "common practice"}


@frozen
class SpacingRule:
    """One rule; lengths in mm.

    ``turns``, ``branches``, ``valves`` and ``penetrations`` are the distances within which a marker
    must be beside each of them, None where the rule gives none. ``before_and_after`` asks for a
    marker on either side of a turn; a leg up to ``short_leg`` that ends or turns again needs none.
    ``both_sides`` asks for a marker on either side of a penetration. ``clear`` is how far a
    marker's center stays off every fitting and wall.
    """

    key: str
    title: str
    indoor: float
    outdoor: float
    turns: float | None
    branches: float | None
    valves: float | None
    penetrations: float | None
    both_sides: bool
    before_and_after: bool
    short_leg: float
    once_per_room: bool
    clear: float
    source: str
    status: str

    def spacing(self, setting: Setting) -> float:
        """The longest interval between two markers, mm."""
        return self.outdoor if setting is Setting.OUTDOOR else self.indoor


@frozen
class EyeHeight:
    """How high above the floor a standing reader's eyes are, mm."""

    height: float
    source: str
    status: str


@frozen
class Spacings:
    """The built-in rules, the default first, and the reader."""

    rules: tuple[SpacingRule, ...]
    eye: EyeHeight


def build_spacings(values: Table, origin: str) -> Spacings:
    """The rules that a file's tables describe. Raises ``InputError`` with every fault."""
    faults = Faults(origin, "spacing")
    top = Row(values, "", faults)
    top.child("sources", needed=False)
    rules = tuple(_rule(row, faults) for row in top.children("rules", "key"))
    reader = top.child("reader")
    eye = EyeHeight(reader.length("eye_height"), reader.source(), reader.status())
    reader.close()
    top.close()
    if faults.found:
        raise InputError(faults.found)
    return Spacings(rules, eye)


def build_rule(values: Table, origin: str) -> SpacingRule:
    """A plant's own rule from one table; its source is the plant where it names none.

    Raises:
        InputError: with every fault.
    """
    faults = Faults(origin, "spacing")
    rule = _rule(Row({**_OWN, **values}, "", faults), faults)
    if faults.found:
        raise InputError(faults.found)
    return rule


def _rule(row: Row, faults: Faults) -> SpacingRule:
    known = len(faults.found)
    rule = SpacingRule(
        key=row.text("key"),
        title=row.text("title"),
        indoor=row.length("indoor"),
        outdoor=row.length("outdoor"),
        turns=_distance(row, "turns"),
        branches=_distance(row, "branches"),
        valves=_distance(row, "valves"),
        penetrations=_distance(row, "penetrations"),
        both_sides=row.flag("both_sides", False),
        before_and_after=row.flag("before_and_after", False),
        short_leg=row.length("short_leg", 0.0),
        once_per_room=row.flag("once_per_room", False),
        clear=row.length("clear", 0.0),
        source=row.source(),
        status=row.status(),
    )
    row.close()
    if len(faults.found) == known:
        _judge(rule, row)
    return rule


def _distance(row: Row, key: str) -> float | None:
    return row.length(key) if row.has(key) else None


def _judge(rule: SpacingRule, row: Row) -> None:
    """Numbers that contradict each other."""
    for key in ("indoor", "outdoor"):
        spacing: float = getattr(rule, key)
        least = _LEAST_CLEARANCES * rule.clear
        if spacing <= 0 or spacing < least:
            what = f"markers {feet(spacing)} apart do not keep {feet(rule.clear)} off every fitting"
            row.fault("value", key, what, f"write {feet(max(least, 304.8))} or more")
    for key in ("turns", "branches", "valves", "penetrations"):
        distance: float | None = getattr(rule, key)
        if distance is not None and (distance <= 0 or distance < rule.clear):
            what = f"within {feet(distance)}, but {feet(rule.clear)} clear, leaves no place"
            row.fault("value", key, what, f"write {feet(max(rule.clear, 304.8))} or more")
    if rule.both_sides and rule.penetrations is None:
        what = "both sides of penetrations, and no distance from them"
        row.fault("missing", "penetrations", what, 'write one, such as penetrations = "2 ft"')
    if rule.before_and_after and rule.turns is None:
        what = "before and after turns, and no distance from them"
        row.fault("missing", "turns", what, 'write one, such as turns = "2 ft"')
