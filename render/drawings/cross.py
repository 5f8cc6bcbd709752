"""Checks a list against drawings: reads, matches and reports both."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from layouts.crosscheck.listed import listed_things
from layouts.crosscheck.matching import CrossMatch, crossmatch
from layouts.crosscheck.verdict import CROSSCHECK_COLUMNS, crosscheck_findings, crosscheck_rows
from layouts.order.order import Order
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Severity
from layouts.terms.values import frozen
from render.drawings.readers import read_drawings
from render.folder.open import open_job
from render.read import read
from render.write.tables import csv_file


@frozen
class Crosschecked:
    """What a crosscheck found, and on how many sheets."""

    findings: tuple[Finding, ...]
    match: CrossMatch
    sheets: int

    @property
    def passed(self) -> bool:
        """Whether nothing weighs so much that it must be settled first."""
        return not any(finding.blocks for finding in self.findings)

    @property
    def counts(self) -> Mapping[str, int]:
        """How many names agree, nearly agree, or are on one side only."""
        match = self.match
        return {
            "sheets": self.sheets,
            "agree": len(match.equal),
            "near": len(match.near),
            "not_on_a_drawing": len(match.undrawn),
            "not_in_the_list": len(match.unlisted),
        }

    @property
    def summary(self) -> str:
        """The counts in a sentence."""
        found = self.counts
        return (
            f"{found['agree']} names agree, {found['near']} nearly; {found['not_on_a_drawing']} "
            f"of the list are on no drawing, {found['not_in_the_list']} of the drawings are not "
            f"in the list ({found['sheets']} sheets read). A drawing is no proof of what is in a "
            "pipe: trace each line before a marker goes on."
        )

    @property
    def table(self) -> bytes:
        """Every name of either side as CSV."""
        return csv_file((CROSSCHECK_COLUMNS, *crosscheck_rows(self.match)))


def crosscheck(
    path: Path, drawings: Sequence[Path], mapping: Path | None, forms: Sequence[str]
) -> Crosschecked:
    """Hold the list or order of ``path`` against drawings; faults of its rows are not judged here.

    Raises:
        InputError: a file cannot be read, or a form of tags is none.
    """
    order = _order(path, mapping)
    sheets, noted = read_drawings(drawings)
    match = crossmatch(listed_things(order), sheets, forms)
    return Crosschecked((*noted, *crosscheck_findings(match, path.name)), match, len(sheets))


def _order(path: Path, mapping: Path | None) -> Order:
    if path.is_dir():
        return open_job(path).order()
    reading = read(path, mapping)
    if reading.judged is None:
        blocking = [each for each in reading.findings if each.severity is Severity.UNREADABLE]
        raise InputError(blocking or reading.findings)
    return reading.judged
