"""Findings of a list's rows while they are read: each fault once, up to a limit."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import replace

from layouts.terms.findings import Finding, Place, Severity
from render.read.codes import CODES, fault
from render.read.rowspec import CellFinding

_MOST = 1_000  # findings reported per severity


class RowFindings:
    """Records the findings of the rows of one list; ``sheet`` is empty where it is the only one.

    ``cells`` gives, by column name, the letter of its column and the file's own heading. Past
    the limit the list ``is_full``, and the rest of it is not worth reading.
    """

    def __init__(self, file: str, sheet: str) -> None:
        self._file, self._sheet = file, sheet
        self._found: dict[tuple[str, str, str], Finding] = {}
        self._counts: Counter[Severity] = Counter()
        self._untold: Counter[Severity] = Counter()
        self.cells: Mapping[str, tuple[str, str]] = {}
        self.is_full = False

    def find(self, number: int, finding: CellFinding) -> None:
        """Record a fault of a row, or count it if an earlier row had the same one."""
        key = (finding.code, finding.field, finding.what)
        known = self._found.get(key)
        if known is not None:
            place = replace(known.place, more=known.place.more + 1)
            self._found[key] = replace(known, place=place)
            return
        severity = CODES[finding.code][0]
        if self._counts[severity] >= _MOST:
            self._untold[severity] += 1
            return
        self._counts[severity] += 1
        self.is_full = self._counts[Severity.UNREADABLE] >= _MOST
        letter, heading = self.cells.get(finding.field, ("", ""))
        place = Place(
            self._file,
            number,
            finding.field,
            sheet=self._sheet,
            cell=f"{letter}{number}" if letter else "",
            heading=heading,
        )
        self._found[key] = fault(finding.code, finding.what, finding.right, place)

    def by_row(self, *, twice: bool) -> list[Finding]:
        """The findings by row; without possible ranges if the list has ``twice`` numbered tags."""
        told = (
            each for each in self._found.values() if not (twice and each.code == "tag-maybe-range")
        )
        return sorted(told, key=lambda each: each.place.row or 0)

    def more(self, unread: int) -> Iterator[Finding]:
        """How many of each severity are not listed, and the first ``unread`` row, 0 for none."""
        place = Place(self._file, sheet=self._sheet)
        right = "mend those that are told, and check again"
        for severity, count in self._untold.items():
            yield Finding("more-findings", severity, f"and {count:,} more", right, place=place)
        if unread:
            what = f"after {_MOST:,} faults, row {unread:,} and those below were not read"
            severity = Severity.UNREADABLE
            yield Finding("more-findings", severity, what, right, place=place)
