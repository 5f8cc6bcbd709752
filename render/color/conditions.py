"""How readings were taken, and whether Lab under D50 can be had from them.

Geometry, illuminant and observer as in ISO 13655:2017 (cited from memory): 45:0 or 0:45, D50,
two degrees, no polarizing filter. Another illuminant is converted and said so; the rest cannot
be computed from a color only and is refused.
"""

import re
from collections.abc import Mapping

from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.values import frozen
from render.color.facts import White, color_facts

_SOURCE = "ISO 13655:2017 (cited from memory)"
_EXPORT = "measure and export at 45:0 without a polarizing filter, Lab under D50, 2 degrees"


@frozen
class Conditions:
    """What a file says of its readings; empty where it says nothing."""

    illuminant: str = ""
    observer: str = ""
    geometry: str = ""
    polarization: str = ""
    mode: str = ""  # M0 to M3


def conditions_from(keywords: Mapping[str, str]) -> Conditions:
    """Conditions out of a file's keywords (upper case).

    Besides keywords of their own, CGATS.17 has WEIGHTING_FUNCTION with pairs such as
    "ILLUMINANT,D50"; some instruments write "Illumination=D50 ObserverAngle=2" in one line.
    """
    known = dict(keywords)
    for value in keywords.values():
        for name, setting in re.findall(r"(\w+)\s*[=,]\s*([\w./:°]+)", value):
            known.setdefault(name.upper(), setting)

    def first(*names: str) -> str:
        return next((known[name].strip() for name in names if known.get(name)), "")

    return Conditions(
        illuminant=first("ILLUMINANT", "ILLUMINATION", "ILLUMINATION_NAME"),
        observer=first("OBSERVER", "OBSERVERANGLE", "OBSERVER_ANGLE"),
        geometry=first("MEASUREMENT_GEOMETRY", "GEOMETRY"),
        polarization=first("POLARIZATION") or _polarizer(first("FILTER")),
        mode=first("MEASUREMENT_CONDITION", "MEASUREMENTCONDITION", "MODE"),
    )


def _polarizer(physical_filter: str) -> str:
    return physical_filter if physical_filter.lower().startswith("pol") else ""


def white_of(conditions: Conditions) -> White | None:
    """The white that the readings are relative to, D50 where none is named; None if unknown."""
    name = conditions.illuminant.upper().removeprefix("ILLUMINANT").strip() or "D50"
    return color_facts().whites.get(name)


def condition_findings(conditions: Conditions, file: str) -> list[Finding]:
    """What is wrong with the conditions (unreadable), and what was converted or taken for
    granted (notes)."""
    checks = (
        _geometry(conditions, file),
        _illuminant(conditions, file),
        _observer(conditions, file),
        _polarization(conditions, file),
    )
    return [finding for finding in checks if finding]


def _geometry(conditions: Conditions, file: str) -> Finding | None:
    text = conditions.geometry
    if not text:
        return _note("readings-geometry-assumed", "no geometry is stated; 45:0 is assumed", file)
    if sorted(re.findall(r"\d+", text)) == ["0", "45"]:
        return None
    return _refusal("readings-geometry", f"the geometry is {text!r}, not 45:0", file)


def _illuminant(conditions: Conditions, file: str) -> Finding | None:
    if not conditions.illuminant:
        return _note("readings-illuminant-assumed", "no illuminant is stated; D50 is assumed", file)
    white = white_of(conditions)
    if white is None:
        what = f"the illuminant {conditions.illuminant!r} is none that can be converted to D50"
        return _refusal("readings-illuminant", what, file)
    if white.name == "D50":
        return None
    what = f"the readings are under {white.name} and were converted to D50 by Bradford adaptation"
    return _note("readings-converted", what, file)


def _observer(conditions: Conditions, file: str) -> Finding | None:
    if not conditions.observer:
        return _note("readings-observer-assumed", "no observer is stated; 2 degrees assumed", file)
    if re.findall(r"\d+", conditions.observer)[:1] in (["2"], ["1931"]):
        return None
    what = f"the observer is {conditions.observer!r}, not 2 degrees"
    return _refusal("readings-observer", what, file)


def _polarization(conditions: Conditions, file: str) -> Finding | None:
    filtered = conditions.polarization.lower() not in ("", "no", "none", "na", "off")
    if filtered or conditions.mode.upper() == "M3":
        return _refusal(
            "readings-polarized", "the readings were taken by a polarizing filter", file
        )
    return None


def _refusal(code: str, what: str, file: str) -> Finding:
    return Finding(code, Severity.UNREADABLE, what, _EXPORT, _SOURCE, Place(file=file))


def _note(code: str, what: str, file: str) -> Finding:
    return Finding(code, Severity.NOTE, what, source=_SOURCE, place=Place(file=file))
