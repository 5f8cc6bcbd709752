"""Findings: what a check found, where, and what would be right.

A code is stable: scripts and accepted findings in an order refer to it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import field, replace
from enum import IntEnum
from typing import Protocol

from layouts.terms.values import frozen


class Severity(IntEnum):
    """How a finding weighs, lightest first."""

    NOTE = 0  # worth knowing
    WARNING = 1  # print it, but look
    BLOCKING = 2  # must not be printed as it is, unless accepted with a reason
    UNREADABLE = 3  # cannot be read or is impossible; cannot be accepted


@frozen
class Place:
    """Where a finding points: a file, a row and a field of it, or a marker by its name.

    ``more`` counts further rows of the list that ask for the same marker. ``sheet`` names the
    sheet where a file has several lists, ``cell`` the cell (``O5``), and ``heading`` the words
    that the file itself has over it.
    """

    file: str = ""
    row: int | None = None
    field: str = ""
    marker: str = ""
    more: int = 0
    sheet: str = ""
    cell: str = ""
    heading: str = ""

    def text(self) -> str:
        """``list.xlsx, row 12, Oper. Press. (L12, pressure_psig) (HTRS)``, as far as known."""
        parts = [self.file] if self.file else []
        if self.sheet:
            parts.append(f"sheet {self.sheet}")
        if self.row is not None:
            rest = f" and {self.more} more like it" if self.more else ""
            parts.append(f"row {self.row}{rest}")
        if self.field:
            own = self.field if self.heading not in ("", self.field) else ""
            inner = ", ".join(part for part in (self.cell, own) if part)
            parts.append(f"{self.heading or self.field}{f' ({inner})' if inner else ''}")
        text = ", ".join(parts)
        if self.marker:
            text = f"{text} ({self.marker})" if text else self.marker
        return text


@frozen
class Finding:
    """One result of a check.

    ``what`` says what is wrong and ``right`` what would be right, each a clause without a full
    stop; ``source`` names the standard, table or practice behind the check.
    """

    code: str
    severity: Severity
    what: str
    right: str = ""
    source: str = ""
    place: Place = field(default_factory=Place)
    accepted: str = ""  # the order's reason for accepting a blocking finding

    @property
    def blocks(self) -> bool:
        """Whether this finding keeps the marker from being printed."""
        return self.severity is Severity.UNREADABLE or (
            self.severity is Severity.BLOCKING and not self.accepted
        )

    def sentence(self) -> str:
        """The finding as one sentence for a person."""
        where = self.place.text()
        right = f"; {self.right}" if self.right else ""
        return f"{where + ': ' if where else ''}{self.what}{right}"


class Accepts(Protocol):
    """What an order accepts: a code, for one marker or for all where ``marker`` is empty."""

    @property
    def code(self) -> str:
        """The finding's code."""

    @property
    def marker(self) -> str:
        """The marker's name, or empty."""

    @property
    def reason(self) -> str:
        """Why it is accepted."""


def weigh(finding: Finding, file: str, accepted: Iterable[Accepts]) -> Finding:
    """The finding with its file, and with the order's reason where the order accepts it."""
    placed = replace(finding, place=replace(finding.place, file=file))
    if finding.severity is Severity.UNREADABLE:
        return placed
    reasons = (
        each.reason
        for each in accepted
        if each.code == finding.code and each.marker in ("", finding.place.marker)
    )
    return replace(placed, accepted=next(reasons, ""))
