"""What a plan says of one marker: its design, its build, and the reason of each choice."""

from __future__ import annotations

from dataclasses import dataclass

from layouts.design import Design
from layouts.mounting import Build
from layouts.terms.findings import Finding
from layouts.terms.words import Kind, Level, State


@dataclass(frozen=True, slots=True)
class Reason:
    """Why something was chosen: the topic, the choice in words, and where it comes from."""

    topic: str
    text: str
    source: str = ""


@dataclass(frozen=True, slots=True)
class MarkerPlan:
    """One marker, decided. ``per_position`` is how many of it hang at each position.

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
