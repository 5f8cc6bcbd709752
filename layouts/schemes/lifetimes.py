"""How long markers last by film, laminate and exposure, and how often they are inspected."""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum

from layouts.schemes.rows import Faults, Row, Table
from layouts.terms.errors import InputError
from layouts.terms.values import frozen

NO_LAMINATE = "none"


class Exposure(StrEnum):
    """The exposure that wears a marker; the hardest comes first."""

    HOT = "hot"
    OUTDOOR = "outdoor"
    WASHDOWN = "washdown"
    INDOOR = "indoor"


@frozen
class Lifetime:
    """Years until a marker is replaced and months between inspections; empty texts fit any."""

    exposure: Exposure
    film: str
    laminate: str
    years: int
    inspect_months: int
    source: str
    status: str

    def fits(self, film: str, laminate: str, exposure: Exposure) -> bool:
        """Whether it is for such a marker, films by their name or a part of it."""
        return (
            self.exposure is exposure
            and self.film.casefold() in film.casefold()
            and self.laminate.casefold() in (laminate or NO_LAMINATE).casefold()
        )


def lifetime_of(
    lifetimes: Sequence[Lifetime], film: str, laminate: str, exposure: Exposure
) -> Lifetime:
    """The first lifetime that fits; the built-in ones at the end have one for each exposure."""
    return next(each for each in lifetimes if each.fits(film, laminate, exposure))


def build_lifetimes(values: Table, origin: str) -> tuple[Lifetime, ...]:
    """The lifetimes that the tables describe. Raises ``InputError`` with every fault."""
    faults = Faults(origin, "lifetimes")
    top = Row(values, "", faults)
    top.child("sources", needed=False)
    found = [_lifetime(row) for row in top.children("lifetimes", "number")]
    if not top.has("lifetimes"):
        top.fault("missing", "lifetimes", "no lifetime is given", "write [[lifetimes]]")
    top.close()
    if faults.found:
        raise InputError(faults.found)
    return tuple(each for each in found if each is not None)


def _lifetime(row: Row) -> Lifetime | None:
    exposure = row.word("exposure", Exposure)
    if exposure is None and not row.has("exposure"):
        right = f"write one of {', '.join(Exposure)}"
        row.fault("missing", "exposure", "'exposure' is missing", right)
    lifetime = (
        *(row.text("film", ""), row.text("laminate", "")),
        *(row.whole("years"), row.whole("inspect_months")),
        *(row.source(), row.status()),
    )
    row.close()
    return None if exposure is None else Lifetime(exposure, *lifetime)
