"""HIGH or LOW: from the pressure by the cutoff of the contents, never from the code."""

from __future__ import annotations

from layouts.plan.carried import Carried
from layouts.plan.model import Notes
from layouts.schemes.model import Scheme, Service
from layouts.terms.findings import Severity
from layouts.terms.units import psig_text
from layouts.terms.words import Level

_TYPED = 2  # decimals; a pressure with more was converted from another unit
_RESOLUTION = 1  # decimals of psi to which a converted pressure is known
_ASKED = "max. normal operating pressure, defrost excluded"


def level_of(
    pressure_psig: float | None,
    given: Level | None,
    scheme: Scheme,
    notes: Notes,
    contents: str = "",
) -> Level | None:
    """HIGH or LOW by the cutoff of the contents, from the pressure; never from the code.

    None, so no band, for contents without a given cutoff: 70 psig applies only to ammonia. Empty
    contents mean the scheme's own.
    """
    if not scheme.levels:
        return None
    found = scheme.cutoff_for(contents or scheme.contents)
    if found is None:
        _no_cutoff(contents or scheme.contents, given, scheme, notes)
        return None
    cutoff = found.psig
    if pressure_psig is None:
        if given is None:
            notes.find(
                Severity.UNREADABLE,
                "level-missing",
                "neither a pressure nor a level is given",
                f"give pressure_psig ({_ASKED}), or level",
                field="pressure_psig",
            )
        else:
            notes.reason("level", f"{given.upper()} as given, without a pressure")
        return given
    psig, text = _as_written(pressure_psig)
    level = Level.HIGH if psig > cutoff else Level.LOW
    relation = "above" if level is Level.HIGH else "at or below"
    notes.reason(
        "level", f"{level.upper()}: {text}, {_ASKED}, is {relation} {cutoff:g} psig", found.source
    )
    if given is not None and given is not level:
        notes.find(
            Severity.BLOCKING,
            "level-conflict",
            f"level says {given.upper()} but {text} is {level.upper()}",
            f"correct one of them; the cutoff is {cutoff:g} psig, above it is HIGH",
            found.source,
            field="level",
        )
    return level


def _as_written(psig: float) -> tuple[float, str]:
    """A pressure at the resolution of what was written, and its text with the digits that decide.

    84.7 psia is 70.004 psig by its last bits, and 70 psig by what a gauge shows.
    """
    if round(psig, _TYPED) == psig and round(psig, _RESOLUTION) != psig:
        return psig, f"{psig:g} psig"
    return round(psig, _RESOLUTION), psig_text(psig)


def _no_cutoff(contents: str, given: Level | None, scheme: Scheme, notes: Notes) -> None:
    """Say why there is no level band; a level given in the list is not printed unexplained."""
    why = f"{scheme.title} has no cutoff pressure for {contents}"
    notes.reason("level", f"no level band: {why}")
    if given is not None:
        notes.find(
            Severity.WARNING,
            "level-without-cutoff",
            f"level says {given.upper()} but {why}, so no level band is drawn",
            f"give the plant's cutoff on the sheet Order: cutoff, {contents}, a pressure",
            field="level",
        )


def level_is_usual(
    pressure_psig: float | None, level: Level | None, service: Service | None, notes: Notes
) -> None:
    """Ask about a level that is unusual for the service."""
    if service is None or level is None or service.usual_level in (None, level):
        return
    text = "" if pressure_psig is None else f" at {_as_written(pressure_psig)[1]}"
    notes.find(
        Severity.WARNING,
        "level-unusual",
        f"{service.code} ({service.meaning}) is usually {str(service.usual_level).upper()}, and is "
        f"{level.upper()} here{text}",
        "check the pressure, its unit and the service code",
        service.source,
        field="level" if pressure_psig is None else "pressure_psig",
    )


def pressure_is_plausible(pressure_psig: float | None, carried: Carried, notes: Notes) -> None:
    """Flag a pressure that the medium never has in a plant: a wrong unit or column."""
    medium = carried.medium
    if pressure_psig is None or medium is None:
        return
    low, high = medium.psig
    if low <= pressure_psig <= high:
        return
    notes.find(
        Severity.BLOCKING,
        "pressure-implausible",
        f"{_as_written(pressure_psig)[1]} is not plausible for {carried.word} "
        f"({low:g} to {high:g} psig expected)",
        "check the unit and the column, or accept this with a reason",
        "common practice, no source",
        field="pressure_psig",
    )
