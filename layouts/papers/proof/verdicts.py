"""Findings of an order, sorted for a reader: by weight, by code, and by marker."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from enum import Enum

from layouts.markers.gather import Marker
from layouts.terms.findings import Finding, Severity
from layouts.terms.values import frozen


class Weight(Enum):
    """What a finding means for the approver, most serious first."""

    BLOCKS = "blocks"
    ACCEPTED = "accepted"
    WARNING = "warning"
    NOTE = "note"


def weight_of(finding: Finding) -> Weight:
    """The finding's weight, with its acceptance considered."""
    if finding.blocks:
        return Weight.BLOCKS
    if finding.accepted:
        return Weight.ACCEPTED
    return Weight.WARNING if finding.severity is Severity.WARNING else Weight.NOTE


@frozen
class Group:
    """Findings that say the same; ``where`` are the markers that they are about, once each.

    Warnings and notes of one code are one group: ``others`` counts those whose wording differs
    from the first.
    """

    weight: Weight
    first: Finding
    where: tuple[str, ...]
    others: int


class Verdicts:
    """What was found, for the cover and for each marker.

    What holds for every one of several markers is only on the cover.
    """

    def __init__(self, markers: Sequence[Marker], findings: Sequence[Finding]) -> None:
        self._findings = tuple(findings)
        self._by_place: dict[str, list[Finding]] = defaultdict(list)
        for finding in findings:
            self._by_place[finding.place.marker].append(finding)
        names = {marker.plan.name for marker in markers}
        said: dict[tuple[str, str], set[str]] = defaultdict(set)
        grouped: dict[tuple[str, ...], list[Finding]] = defaultdict(list)
        for finding in findings:
            said[finding.code, finding.what].add(finding.place.marker)
            heavy = weight_of(finding) in (Weight.BLOCKS, Weight.ACCEPTED)
            key = (finding.what, finding.accepted) if heavy else ()
            grouped[finding.code, weight_of(finding).value, *key].append(finding)
        everywhere = {key for key, places in said.items() if len(names) > 1 and names <= places}
        self._everywhere = everywhere
        self.groups = tuple(
            sorted(
                (self._group(same) for same in grouped.values()),
                key=lambda group: (list(Weight).index(group.weight), group.first.code),
            )
        )

    def count(self, weight: Weight) -> int:
        """How many findings, each row or marker counted, have a weight."""
        return sum(weight_of(finding) is weight for finding in self._findings)

    def of_marker(self, marker: Marker) -> tuple[Finding, ...]:
        """The findings of one distinct marker, heaviest first, without those of every marker."""
        own = {(each.code, each.what) for plan in marker.plans for each in plan.findings}
        seen: dict[tuple[str, str], Finding] = {}
        for finding in self._by_place[marker.plan.name]:
            key = (finding.code, finding.what)
            lacking = finding.code == "glyph-missing" and bool(marker.face.missing)
            if key not in self._everywhere and (key in own or lacking):
                seen.setdefault(key, finding)
        for finding in self._by_place[marker.id]:
            seen.setdefault((finding.code, finding.what), finding)
        return tuple(sorted(seen.values(), key=lambda each: list(Weight).index(weight_of(each))))

    def _group(self, same: list[Finding]) -> Group:
        first = same[0]
        if (first.code, first.what) in self._everywhere:
            where: tuple[str, ...] = ("every marker",)
        else:
            where = tuple(dict.fromkeys(each.place.marker or each.place.text() for each in same))
        others = len({each.what for each in same}) - 1
        return Group(weight_of(first), first, where, others)
