"""Lengths as people give them on site: feet and inches, whole feet, diameters to a sixteenth.

``units`` keeps every digit, for lists and files; these round for a tape measure and a reader.
"""

from __future__ import annotations

import math

from layouts.terms.units import MM_PER_FOOT, MM_PER_INCH, inches

_SIXTEENTHS = 16
_SLIGHT = 1e-6  # of a foot; a length that is whole but for noise stays whole


def ruler_text(mm: float) -> str:
    """``5-7/8 in``: to the nearest sixteenth, as a rule reads."""
    return inches(to_sixteenth(mm))


def to_sixteenth(mm: float) -> float:
    """The nearest sixteenth of an inch, in mm."""
    return round(mm / MM_PER_INCH * _SIXTEENTHS) / _SIXTEENTHS * MM_PER_INCH


def feet_and_inches(mm: float) -> str:
    """``15 ft 7 in`` to the nearest inch; ``78 ft`` where no inches are left, ``9 in`` below one.

    The length is zero or more.
    """
    feet, rest = divmod(round(mm / MM_PER_INCH), 12)
    parts = [f"{feet} ft"] * bool(feet) + [f"{rest} in"] * bool(rest or not feet)
    return " ".join(parts)


def legible_text(mm: float) -> str:
    """``31 ft``: a reading distance in whole feet, never more than it is; inches below a foot."""
    feet = math.floor(mm / MM_PER_FOOT + _SLIGHT)
    return f"{feet} ft" if feet else inches(math.floor(mm / MM_PER_INCH + _SLIGHT) * MM_PER_INCH)
