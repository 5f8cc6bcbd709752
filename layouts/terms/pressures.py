"""Pressures as lists give them, made into gauge pressure in psi.

A cell that holds two pressures is refused: which of them the marker's level follows from is for
people to say. A fraction is read beside a unit of vacuum only, as nowhere else is it usual.
"""

from __future__ import annotations

import re

from layouts.terms.units import (
    ATMOSPHERE_PSI,
    LENGTH_WORDS,
    PSI_PER_INHG,
    PSI_PER_KPA,
    UnitError,
    finite,
    number_of,
    tidy,
)
from layouts.terms.values import frozen

_WORDS = {
    **dict.fromkeys(("psi", "lb/in2", "lbf/in2", "#"), 1.0),
    "bar": 100 * PSI_PER_KPA,
    "mbar": 0.1 * PSI_PER_KPA,
    "kpa": PSI_PER_KPA,
    "mpa": 1000 * PSI_PER_KPA,
}
_INCHES = r"(?:in\.?|inch|inches|\")"
_MERCURY = re.compile(rf"{_INCHES}\s*\.?\s*(?:of\s*)?hg|\bhg\b", re.IGNORECASE)
_VACUUM = re.compile(r"vac(?:uum|\.)?", re.IGNORECASE)
_INCH_VACUUM = re.compile(rf"{_INCHES}\s*(?:of\s*)?vac(?:uum|\.)?|vac(?:uum|\.)?\s*{_INCHES}", re.I)
_PLAIN = r"\d+\.?\d*|\.\d+"
_FRACTION = rf"(?:\d+\s*[- ]\s*\d+\s*/\s*\d+|\d+\s*/\s*\d+|{_PLAIN})"
_SIGNED = re.compile(rf"([+-]?)\s*({_FRACTION})\s*(.*)", re.DOTALL)
_ONE = re.compile(rf"([+-]?)\s*({_PLAIN})\s*(.*)", re.DOTALL)
_MOST = re.compile(
    r"^(?:max(?:imum|\.)?|up to|<=|≤|~|approx\.?)\s*|\s*\(?\bmax(?:imum|\.)?\)?$", re.I
)
_UNIT = re.compile(
    r"(psi|bar|mbar|[km]pa|lbf?/in2|#)(g|gauge|gage|ga|a|abs|absolute)?", re.IGNORECASE
)


@frozen
class PressureReading:
    """A gauge pressure, and how it came from what was written (empty where it was psig)."""

    psig: float
    note: str


def parse_pressure(value: str | float) -> float:
    """Gauge pressure in psi; a bare number is psig. Raises ``UnitError``."""
    return read_pressure(value).psig


def read_pressure(value: str | float) -> PressureReading:
    """Gauge pressure in psi together with how it was converted.

    Reads ``185 psig``, ``185#``, ``max 185``, ``12.5 bar`` (gauge), ``3 bar a``, ``20 psia``,
    ``300 kPa``, ``10 inHg vac``, ``8.7" vac``, ``-5 psig``. Raises ``UnitError``.
    """
    if not isinstance(value, str):
        return PressureReading(_above_vacuum(finite(value), str(value)), "")
    text = _MOST.sub("", tidy(value)).strip()
    vacuum = bool(_VACUUM.search(text) or _MERCURY.search(text))
    found = (_SIGNED if vacuum else _ONE).fullmatch(text)
    if found is None:
        raise UnitError(f"{value!r} is not a pressure; write it as 185 psig or 10 inHg vac")
    if found[3].startswith("."):
        raise UnitError(f"{value!r} is not a pressure; write it as 185 psig or 10 inHg vac")
    if re.search(r"\d", _UNIT.sub("", found[3].replace("in2", ""))):
        raise UnitError(_several(value, found[3]))
    number = number_of(found[2], value) * (-1 if found[1] == "-" else 1)
    unit = found[3].strip()
    if vacuum:
        return _mercury(number, unit, value)
    return _plain_pressure(number, unit, value)


def _several(value: str, rest: str) -> str:
    if re.search(r"[¼½¾⅛⅜⅝⅞]", value) or re.fullmatch(r"[\s-]+\d+\s*/\s*\d+\D*", rest):
        return f"{value!r} has a fraction; write a pressure with a point, as in 8.5 psig"
    return f"{value!r} holds two pressures; give the highest in normal operation"


def _mercury(number: float, unit: str, value: str) -> PressureReading:
    if not _VACUUM.search(unit):
        raise UnitError(
            f"{value!r} does not say whether it is vacuum; write {number:g} inHg vac, or give psig"
        )
    if not (_MERCURY.search(unit) or _INCH_VACUUM.search(unit)):
        raise UnitError(
            f"{value!r} is a vacuum without its unit; write {abs(number):g} inHg vac, or give psig"
        )
    if number < 0:
        raise UnitError(f"{value!r} is a negative vacuum; write {-number:g} inHg vac, or give psig")
    psig = _above_vacuum(-number * PSI_PER_INHG, value)
    return PressureReading(psig, f"{number:g} inHg vacuum read as {psig:.1f} psig")


def _plain_pressure(number: float, unit: str, value: str) -> PressureReading:
    word = re.sub(r"[\s.()]", "", unit).lower()
    if not word:
        return PressureReading(_above_vacuum(number, value), "")
    if word in LENGTH_WORDS:
        raise UnitError(f"{value!r} is a length; give a pressure, such as 185 psig")
    found = _UNIT.fullmatch(word)
    if found is None:
        raise UnitError(
            f"{value!r} has no pressure unit known here; write psig, psia, bar, kPa or inHg vac"
        )
    psi = number * _WORDS[found[1]]
    if (found[2] or "g").startswith("a"):
        psig = _above_vacuum(psi - ATMOSPHERE_PSI, value)
        return PressureReading(
            psig, f"{value.strip()} absolute read as {psig:.1f} psig, one atmosphere taken off"
        )
    psig = _above_vacuum(psi, value)
    if _WORDS[found[1]] == 1.0:
        return PressureReading(psig, "")
    return PressureReading(psig, f"{value.strip()} read as gauge pressure, {psig:.1f} psig")


def _above_vacuum(psig: float, value: str) -> float:
    if psig < -ATMOSPHERE_PSI - 1e-9:
        raise UnitError(
            f"{value!r} is below a full vacuum ({-ATMOSPHERE_PSI:.1f} psig, 29.9 inHg vac); "
            "write a pressure that can exist"
        )
    return psig
