"""Plausibility limits for a plant, and the temperature that a service's meaning implies.

Lengths are millimeters, temperatures degrees Fahrenheit.
"""

from __future__ import annotations

from enum import StrEnum
from typing import TypeVar

from layouts.schemes.rows import Faults, Row, Table
from layouts.terms.errors import InputError
from layouts.terms.values import frozen

LimitT = TypeVar("LimitT")


class Warmth(StrEnum):
    """Whether a bare line of a service runs hot or cold."""

    HOT = "hot"
    COLD = "cold"


@frozen
class ServiceDuty:
    """The function of a service, as far as it determines the temperature."""

    key: str
    words: str
    warmth: Warmth
    usual_f: tuple[float, float]
    range_f: tuple[float, float]
    source: str
    status: str


@frozen
class CoveringLimit:
    """The thickest plausible covering, and how many pipe diameters it may be."""

    most: float
    most_diameters: float
    reason: str
    source: str


@frozen
class DiameterLimit:
    """The largest plausible diameter, and how far a measured one is from the computed."""

    most: float
    apart: float
    reason: str
    source: str


@frozen
class SurfaceLimit:
    """The coldest and hottest plausible surface."""

    range_f: tuple[float, float]
    reason: str
    source: str


@frozen
class LengthLimit:
    """The longest plausible marker and run, and the most markers at one place."""

    most_marker: float
    most_run: float
    most_quantity: int
    reason: str
    source: str


@frozen
class PlausibleLimits:
    """All of them."""

    covering: CoveringLimit
    diameter: DiameterLimit
    surface: SurfaceLimit
    length: LengthLimit
    duties: tuple[ServiceDuty, ...]

    def duty_of(self, meaning: str) -> ServiceDuty | None:
        """What a service of this meaning does; the longest matching words count."""
        text = f" {' '.join(meaning.upper().replace('-', ' ').split())} "
        found = [duty for duty in self.duties if f" {duty.words} " in text]
        return max(found, key=lambda duty: len(duty.words), default=None)


def build_limits(values: Table, origin: str) -> PlausibleLimits:
    """The limits that the tables describe. Raises ``InputError`` with every fault."""
    faults = Faults(origin, "limits")
    top = Row(values, "", faults)
    top.child("sources")
    limits = PlausibleLimits(
        covering=_covering(top.child("covering")),
        diameter=_diameter(top.child("diameter")),
        surface=_surface(top.child("surface")),
        length=_length(top.child("length")),
        duties=tuple(_duty(row) for row in top.children("duties", "key")),
    )
    top.close()
    if faults.found:
        raise InputError(faults.found)
    return limits


def _covering(row: Row) -> CoveringLimit:
    limit = CoveringLimit(
        row.length("most"), row.number("most_diameters"), row.text("reason"), row.source()
    )
    return _closed(row, limit)


def _diameter(row: Row) -> DiameterLimit:
    limit = DiameterLimit(row.length("most"), row.number("apart"), row.text("reason"), row.source())
    return _closed(row, limit)


def _surface(row: Row) -> SurfaceLimit:
    limit = SurfaceLimit(_range(row, "range_f"), row.text("reason"), row.source())
    return _closed(row, limit)


def _length(row: Row) -> LengthLimit:
    limit = LengthLimit(
        row.length("most_marker"),
        row.length("most_run"),
        row.whole("most_quantity"),
        row.text("reason"),
        row.source(),
    )
    return _closed(row, limit)


def _duty(row: Row) -> ServiceDuty:
    duty = ServiceDuty(
        key=row.text("key"),
        words=row.text("words"),
        warmth=row.word("warmth", Warmth) or Warmth.COLD,
        usual_f=_range(row, "usual_f"),
        range_f=_range(row, "range_f"),
        source=row.source(),
        status=row.status(),
    )
    row.close()
    return duty


def _range(row: Row, key: str) -> tuple[float, float]:
    low, high = row.numbers(key, 2)
    if low >= high:
        row.fault("value", key, "the range ends before it starts", "write [low, high]")
    return low, high


def _closed(row: Row, limit: LimitT) -> LimitT:
    row.status()
    row.close()
    return limit
