"""What is counted of an order: findings by weight, markers, and the stock that they take."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from layouts.terms.findings import Finding, Severity
from layouts.terms.values import frozen
from layouts.terms.words import PartRole

if TYPE_CHECKING:
    from layouts.markers.gather import Marker
    from layouts.sheets.sheetplan import SheetPlan


@frozen
class Counts:
    """Findings, markers, sheets; of film the area of its stock in m2 and the length in m."""

    errors: int = 0
    blocked: int = 0
    accepted: int = 0
    warnings: int = 0
    notes: int = 0
    markers: int = 0
    distinct: int = 0
    sheets: int = 0
    film_m2: float = 0.0
    film_m: float = 0.0


def count_findings(findings: Iterable[Finding]) -> Counts:
    """The findings of an order of which nothing was made."""
    weights = Counter(
        "accepted" if each.accepted else each.severity.name.lower() for each in findings
    )
    return Counts(
        errors=weights[Severity.UNREADABLE.name.lower()],
        blocked=weights[Severity.BLOCKING.name.lower()],
        accepted=weights["accepted"],
        warnings=weights[Severity.WARNING.name.lower()],
        notes=weights[Severity.NOTE.name.lower()],
    )


def count_job(
    findings: Iterable[Finding], markers: Sequence[Marker], groups: Sequence[SheetPlan]
) -> Counts:
    """The findings, the markers and their stock."""
    film = [group for group in groups if group.role is PartRole.FILM]
    sheets = [sheet for group in film for sheet in group.sheets]
    area = sum(sheet.copies * sheet.width * sheet.length for sheet in sheets)
    length = sum(sheet.copies * sheet.length for sheet in sheets)
    found = count_findings(findings)
    return Counts(
        found.errors,
        found.blocked,
        found.accepted,
        found.warnings,
        found.notes,
        sum(marker.quantity for marker in markers),
        len(markers),
        sum(group.copies for group in groups),
        round(area / 1e6, 3),
        round(length / 1e3, 3),
    )
