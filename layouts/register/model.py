"""Rows and history of a register."""

from __future__ import annotations

from dataclasses import fields
from enum import StrEnum

from layouts.terms.values import frozen

GOOD = "good"
MISSING = "missing"
UNLISTED = "in no list"
# States in which a piece is left as it is until the next inspection.
_LEFT = frozenset({GOOD, "hidden", UNLISTED})


@frozen
class Entry:
    """One installed piece, each field as it is in the table; empty if unknown.

    ``job`` names the order by which it can be made again. ``installed_on``, ``inspected_on``,
    ``next_inspection`` and ``end_of_life`` are days (YYYY-MM-DD).
    """

    id: str
    area: str
    position: str
    line_or_tag: str
    marker: str
    marker_id: str
    build: str
    film: str
    laminate: str
    surface_f: str
    exposure: str
    job: str
    installed_on: str
    installed_by: str
    inspected_on: str
    inspected_by: str
    state: str
    next_inspection: str
    end_of_life: str
    note: str

    @property
    def needs_work(self) -> bool:
        """Whether it is to be replaced because of what was seen."""
        return self.state not in _LEFT

    @property
    def cells(self) -> tuple[str, ...]:
        """Its fields in the order of the columns."""
        return tuple(getattr(self, name) for name in ENTRY_COLUMNS)


ENTRY_COLUMNS = tuple(field.name for field in fields(Entry))
DAY_COLUMNS = ("installed_on", "inspected_on", "next_inspection", "end_of_life")


class Deed(StrEnum):
    """What was done."""

    INSTALLED = "installed"
    REPLACED = "replaced"
    INSPECTED = "inspected"
    ADDED = "found and added"
    REMOVED = "removed"
    EDITED = "edited by hand"


@frozen
class Event:
    """One line of the history: what was done to a piece, by whom, and what it was of."""

    day: str
    deed: str
    piece: str
    by: str
    was: str
    now: str
    source: str


EVENT_COLUMNS = tuple(field.name for field in fields(Event))


@frozen
class Register:
    """Every installed piece, by area and walk, and its history, oldest first."""

    entries: tuple[Entry, ...] = ()
    history: tuple[Event, ...] = ()

    @property
    def by_id(self) -> dict[str, Entry]:
        """The rows by the ids of their pieces."""
        return {entry.id: entry for entry in self.entries}
