"""The plan of one marker: its design, its build, and the reason for each choice."""

from __future__ import annotations

from functools import lru_cache

from layouts.plan.build.model import Build
from layouts.plan.design import Design
from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.values import frozen
from layouts.terms.words import Kind, Level, State


@frozen
class Reason:
    """Why something was chosen: the topic, the choice in words, and where it comes from."""

    topic: str
    text: str
    source: str = ""


@frozen
class MarkerPlan:
    """One marker, decided. ``per_position`` is the number installed at each position.

    ``hand`` is "right-hand" or "left-hand" where a line is read from both sides, else empty.
    ``shorter`` holds the designs to try, in order, where the straight run is too short; each
    with the words that say what was given up. ``strapped`` is the build of the last resort.
    """

    kind: Kind
    name: str
    scheme: str
    design: Design
    build: Build
    row: str
    letter_reason: str
    reading_distance: float
    reasons: tuple[Reason, ...]
    findings: tuple[Finding, ...]
    per_position: int = 1
    hand: str = ""
    od: float | None = None
    state: State | None = None
    level: Level | None = None
    straight: float | None = None
    shorter: tuple[tuple[str, Design], ...] = ()
    strapped: Build | None = None


@lru_cache(maxsize=1024)
def _one_of(reasons: tuple[Reason, ...]) -> tuple[Reason, ...]:
    return reasons


class Notes:
    """Reasons and findings of one specification, in the order they came up."""

    def __init__(self, marker: str) -> None:
        self._marker = marker
        self._reasons: list[Reason] = []
        self._findings: list[Finding] = []

    def reason(self, topic: str, text: str, source: str = "") -> None:
        """Record why something was chosen, once."""
        reason = Reason(topic, text, source)
        if reason not in self._reasons:
            self._reasons.append(reason)

    def find(
        self,
        severity: Severity,
        code: str,
        what: str,
        right: str = "",
        source: str = "",
        field: str = "",
    ) -> None:
        """Record a finding once; ``field`` is the heading of the list that it is about."""
        place = Place(field=field, marker=self._marker)
        self._add(Finding(code, severity, what, right, source, place))

    def adopt(self, findings: tuple[Finding, ...]) -> None:
        """Add findings made elsewhere, naming the marker they are about."""
        for each in findings:
            place = Place(field=each.place.field, marker=self._marker)
            self._add(Finding(each.code, each.severity, each.what, each.right, each.source, place))

    def _add(self, finding: Finding) -> None:
        if finding not in self._findings:
            self._findings.append(finding)

    @property
    def reasons(self) -> tuple[Reason, ...]:
        """All reasons so far; equal ones of many markers are one object."""
        return _one_of(tuple(self._reasons))

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All findings so far."""
        return tuple(self._findings)

    @property
    def impossible(self) -> bool:
        """Whether a finding so far rules out drawing the marker."""
        return any(finding.severity is Severity.UNREADABLE for finding in self._findings)
