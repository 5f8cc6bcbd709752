"""Units: the only place that converts lengths, pressures and temperatures.

Reading is strict: ambiguous input is refused with a sentence that says what would be right.
A length, a temperature and the texts of both; pressures are read by ``pressures``.
Factors: inch and foot are exact by the 1959 international agreement (NIST SP 811, appendix B);
psi, bar, kPa and conventional inches of mercury by NIST SP 811, appendix B.8; the standard
atmosphere is 101.325 kPa (ISO 2533).
"""

from __future__ import annotations

import math
import re
from enum import Enum
from functools import lru_cache

MM_PER_INCH = 25.4
MM_PER_FOOT = 304.8
_PA_PER_PSI = 6894.757293168361
PSI_PER_KPA = 1000 / _PA_PER_PSI
PSI_PER_INHG = 3386.389 / _PA_PER_PSI
ATMOSPHERE_PSI = 101.325 * PSI_PER_KPA
_ABSOLUTE_ZERO_F = -459.67


class UnitError(ValueError):
    """A quantity that cannot be read; the message says what would be right."""


class LengthUnit(Enum):
    """The unit of a bare number, with its length in millimeters."""

    INCH = "in", MM_PER_INCH
    FOOT = "ft", MM_PER_FOOT
    MM = "mm", 1.0
    CM = "cm", 10.0
    METER = "m", 1000.0

    def __init__(self, symbol: str, millimeters: float) -> None:
        self.symbol = symbol
        self.millimeters = millimeters


LENGTH_WORDS = {
    **dict.fromkeys(("in", "inch", "inches", '"'), LengthUnit.INCH),
    **dict.fromkeys(("ft", "foot", "feet", "'"), LengthUnit.FOOT),
    **dict.fromkeys(("mm", "millimeter", "millimeters", "millimetre"), LengthUnit.MM),
    **dict.fromkeys(("cm", "centimeter", "centimeters", "centimetre"), LengthUnit.CM),
    **dict.fromkeys(("m", "meter", "meters", "metre", "metres"), LengthUnit.METER),
}
_MERCURY = re.compile(r"(?:in\.?|inch|inches|\")\s*\.?\s*(?:of\s*)?hg", re.IGNORECASE)
_NUMBER = r"(?:\d+\s*[- ]\s*\d+\s*/\s*\d+|\d+\s*/\s*\d+|\d+\.?\d*|\.\d+)"
_PART = re.compile(rf"({_NUMBER})\s*([a-z]+\.?|\"|')?\s*", re.IGNORECASE)
_THOUSANDS = re.compile(r"(?<!\d)[1-9]\d{0,2}(?:,\d{3})+(?![\d,])")
_VULGAR = {"¼": "1/4", "½": "1/2", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}


@lru_cache(maxsize=1024, typed=True)  # a list repeats a few lengths; 1 and True differ
def parse_length(value: str | float, bare: LengthUnit = LengthUnit.INCH) -> float:
    """Millimeters of a length as the trade writes it.

    Reads ``4 in``, ``1-1/4"``, ``1 1/4 in``, ``3/4``, ``114.3 mm``, ``6'``, ``6 ft 3 in``. A bare
    number is in ``bare`` units. Raises ``UnitError``.
    """
    if not isinstance(value, str):
        return _not_negative(_clean(finite(value) * bare.millimeters), str(value))
    text = tidy(value)
    if _looks_like_pressure(text):
        raise UnitError(f"{value!r} is a pressure; give a length, such as 4 in")
    if text.startswith("-"):
        raise UnitError(f"{value!r} is negative; a length is zero or more, such as 4 in")
    total, position, last = 0.0, 0, 0.0
    while position < len(text):
        part = _PART.match(text, position)
        if part is None:
            raise UnitError(f"{value!r} is not a length; write it as 4 in, 1-1/4 in or 114.3 mm")
        unit = _length_unit(part[2], value, bare)
        if position and (not part[2] or unit.millimeters >= last):
            raise UnitError(f"{value!r} is more than one length; write it as 4 in or 6 ft 3 in")
        total, last = total + number_of(part[1], value) * unit.millimeters, unit.millimeters
        position = part.end()
    return _clean(total)


@lru_cache(maxsize=1024, typed=True)
def parse_temperature(value: str | float) -> float:
    """Degrees Fahrenheit; a bare number is Fahrenheit. Raises ``UnitError``."""
    if not isinstance(value, str):
        return _above_absolute_zero(finite(value), str(value))
    found = re.fullmatch(
        r"([+-]?)\s*(\d+\.?\d*|\.\d+)\s*(?:°|º|deg\.?|degrees)?\s*(f|c|fahrenheit|celsius)?",
        tidy(value),
        re.IGNORECASE,
    )
    if found is None:
        raise UnitError(f"{value!r} is not a temperature; write it as -40 F or -40 C")
    degrees = float(found[2]) * (-1 if found[1] == "-" else 1)
    if (found[3] or "f")[0].lower() == "c":
        degrees = degrees * 9 / 5 + 32
    return _above_absolute_zero(degrees, value)


@lru_cache(maxsize=4096)
def inches(mm: float) -> str:
    """``1-1/4 in``: whole sixteenths as fractions, else three decimals."""
    value = abs(mm) / MM_PER_INCH
    sign = "-" if mm < 0 and value >= 0.0005 else ""
    sixteenths = round(value * 16)
    if abs(value - sixteenths / 16) >= 0.0005:
        return f"{sign}{value:.3f} in"
    whole, part = divmod(sixteenths, 16)
    if not part:
        return f"{sign}{whole} in"
    common = math.gcd(part, 16)
    fraction = f"{part // common}/{16 // common}"
    return f"{sign}{whole}-{fraction} in" if whole else f"{sign}{fraction} in"


def psig_text(psig: float) -> str:
    """``30 psig``, or ``-4.9 psig (10 inHg vac)`` below the atmosphere, to one decimal."""
    text = f"{round(psig, 1):g} psig"
    return text if psig >= 0 else f"{text} ({round(-psig / PSI_PER_INHG, 1):g} inHg vac)"


def feet(mm: float) -> str:
    """``20 ft`` or ``12.5 ft``, to one decimal."""
    text = f"{mm / MM_PER_FOOT:.1f}"
    return f"{text.removesuffix('.0')} ft"


def tidy(value: str) -> str:
    """One spelling for signs, quotes, fractions and spaces; a comma is refused."""
    text = value.strip()
    for sign, plain in _VULGAR.items():
        text = text.replace(sign, f" {plain}")
    for odd, plain in (("−", "-"), ("–", "-"), ("″", '"'), ("”", '"'), ("′", "'"), ("’", "'")):
        text = text.replace(odd, plain)
    text = " ".join(text.replace("''", '"').split())
    if not text:
        raise UnitError("the value is empty; give a number with its unit, such as 4 in")
    if "," in text:
        raise UnitError(f"{value!r} has a comma, which can be misread; {_without_comma(text)}")
    return text


def _without_comma(text: str) -> str:
    """The suggestion for a number with a comma: a thousand never becomes a fraction."""
    if _THOUSANDS.search(text):
        return f"write {text.replace(',', '')}"
    if re.search(r"\d,\d+(?!\d*,)", text):
        return f"write {text.replace(',', '.')}, or give one value where the comma parts two"
    return "write one number without a comma"


def number_of(text: str, value: str) -> float:
    """A number or a fraction such as ``1-1/4``; ``value`` is the whole text, for the message."""
    parts = re.split(r"[\s/-]+", text.strip())
    if "/" not in text:
        return float(text)
    bottom = float(parts[-1])
    if bottom == 0:
        raise UnitError(f"{value!r} divides by zero; write a fraction such as 3/4")
    whole = float(parts[0]) if len(parts) == 3 else 0.0
    return whole + float(parts[-2]) / bottom


def _length_unit(word: str | None, value: str, bare: LengthUnit) -> LengthUnit:
    if not word:
        return bare
    unit = LENGTH_WORDS.get(word.lower().rstrip("."))
    if unit is None:
        raise UnitError(f"{value!r} has no length unit known here; write in, ft, mm, cm or m")
    return unit


def _looks_like_pressure(text: str) -> bool:
    return bool(
        _MERCURY.search(text) or re.search(r"psi|bar|[km]pa|vac", text, flags=re.IGNORECASE)
    )


def _above_absolute_zero(degrees_f: float, value: str) -> float:
    if degrees_f < _ABSOLUTE_ZERO_F:
        raise UnitError(f"{value!r} is below absolute zero; write it as -40 F or -40 C")
    return degrees_f


def _clean(mm: float) -> float:
    """Without the last-bit noise of a product, so that 12 in is 304.8 in every file."""
    return round(mm, 9)


def _not_negative(mm: float, value: str) -> float:
    if mm < 0:
        raise UnitError(f"{value} is negative; a length is zero or more, such as 4 in")
    return mm


def finite(value: float) -> float:
    """The number itself. Raises ``UnitError`` for what is none, infinite or true or false."""
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if isinstance(value, bool) or not math.isfinite(number):
        text = str(value) if number < math.inf or isinstance(value, float) else "a number so large"
        raise UnitError(f"{text} is not a number that can be measured; write one such as 4 in")
    return number
