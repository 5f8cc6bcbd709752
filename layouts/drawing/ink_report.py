"""A job's inks as a printer prints them, as values that papers can show."""

from __future__ import annotations

from enum import Enum
from typing import TypeAlias

from layouts.drawing.inks import Ink, Lab
from layouts.terms.values import frozen

Device: TypeAlias = tuple[float, ...]  # a share of 0 to 1 for each channel of a profile


class Intent(Enum):
    """How colors meet the paper: ``RELATIVE`` to its white, or ``ABSOLUTE``."""

    RELATIVE = 1  # the values are the ICC's (ICC.1:2022, 7.2.15; cited from memory)
    ABSOLUTE = 3


@frozen
class PrintedInk:
    """One ink through a profile.

    ``device`` is the profile's answer to the ink's Lab and ``printed`` the Lab that it prints,
    ``delta`` (dE00) off the ink. ``nearest`` is the nearest Lab that the printer reaches within
    the profile's own limit of total ink, ``nearest_delta`` off, whatever way the profile would
    go; a colored ink is in gamut where that is small. Black and paper leave no choice:
    ``nearest`` is what they print, and ``in_gamut`` is None.
    """

    ink: Ink
    device: Device
    printed: Lab
    delta: float
    nearest: Lab
    nearest_delta: float
    in_gamut: bool | None


@frozen
class PrintedPair:
    """Contrast of a legend on a field, as specified and as printed (WCAG 2 ratio)."""

    field: Ink
    legend: Ink
    specified: float
    printed: float


@frozen
class InkReport:
    """Inks and pairs through one profile by one intent."""

    condition: str
    intent: Intent
    inks: tuple[PrintedInk, ...]
    pairs: tuple[PrintedPair, ...]
