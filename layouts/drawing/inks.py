"""Inks: colors as Lab D50, with a screen preview derived from them, and contrast.

Lab is the definition; a preview is computed from it and never the other way round. Contrast is
the ratio of WCAG 2 (W3C Recommendation "Web Content Accessibility Guidelines 2.1", definition
of "contrast ratio"), taken on the luminance of the Lab value.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, fields
from enum import Enum
from functools import lru_cache

from layouts.terms.values import frozen

# CIE XYZ of D50 and the Bradford matrix D50 -> D65 joined with XYZ -> linear sRGB
# (IEC 61966-2-1 primaries); both are the rounded figures of the CSS Color Module Level 4.
_D50 = (0.9642956764295677, 1.0, 0.8251046025104602)
_D50_TO_LINEAR_SRGB = (
    (3.1341359569958707, -1.6173863321612538, -0.4906619460083532),
    (-0.978795502912089, 1.916254567259524, 0.03344273116131949),
    (0.07195537988411677, -0.2289768264158322, 1.405386058324125),
)


@frozen
class Lab:
    """CIE L*a*b* under D50, two-degree observer."""

    lightness: float
    a: float
    b: float

    @property
    def luminance(self) -> float:
        """CIE Y, 0 (black) to 1 (perfect white)."""
        return _lab_inverse((self.lightness + 16) / 116)

    def xyz(self) -> tuple[float, float, float]:
        """CIE XYZ relative to D50."""
        fy = (self.lightness + 16) / 116
        fx, fz = fy + self.a / 500, fy - self.b / 200
        return (
            _D50[0] * _lab_inverse(fx),
            _D50[1] * _lab_inverse(fy),
            _D50[2] * _lab_inverse(fz),
        )

    def srgb(self) -> str:
        """The nearest screen preview as ``#rrggbb``, channels cut to the screen's range."""
        return _screen_color(self)


class InkRole(Enum):
    """What an ink does on the sheet."""

    COLOR = "color"  # a printed spot color
    BLACK = "black"  # the process black plate
    PAPER = "paper"  # no ink: the film shows
    WHITE = "white"  # a white underprint
    STEP = "step"  # a cut or note line that never prints


@dataclass(frozen=True, slots=True, repr=False)
class Ink:
    """One named ink. The name is the plate's name in every file."""

    name: str
    lab: Lab
    role: InkRole = InkRole.COLOR
    munsell: str | None = None
    source: str = ""
    status: str = ""

    def __hash__(self) -> int:
        """That of the name, which the string keeps: inks that differ seldom share one."""
        return hash(self.name)

    def __repr__(self) -> str:
        """All fields, as usual; ids of markers are made of it, so it is kept."""
        return _ink_text(self)

    @property
    def preview(self) -> str:
        """Screen color ``#rrggbb``."""
        return self.lab.srgb()


@lru_cache(maxsize=256)
def _ink_text(ink: Ink) -> str:
    values = (f"{each.name}={getattr(ink, each.name)!r}" for each in fields(ink))
    return f"Ink({', '.join(values)})"


# Marks, slugs and pages are set in it; the palette of the schemes holds the same black
# (N1.5, from memory), since one name has one color in a file.
BLACK = Ink("Black", Lab(15.33, 0.0, 0.0), InkRole.BLACK, "N1.5")


def black_among(inks: Iterable[Ink | None]) -> Ink:
    """The black that a job's faces are printed with, else the default one."""
    return next((ink for ink in inks if ink is not None and ink.role is InkRole.BLACK), BLACK)


def contrast(one: Lab, other: Lab) -> float:
    """WCAG 2 contrast ratio of two colors, 1 to 21."""
    low, high = sorted((one.luminance, other.luminance))
    return (high + 0.05) / (low + 0.05)


@lru_cache(maxsize=256)  # an SVG asks for it at every shape
def _screen_color(lab: Lab) -> str:
    xyz = lab.xyz()
    linear = (
        math.fsum(weight * value for weight, value in zip(row, xyz, strict=True))
        for row in _D50_TO_LINEAR_SRGB
    )
    return "#" + "".join(f"{round(255 * _srgb_curve(value)):02x}" for value in linear)


def _lab_inverse(t: float) -> float:
    """Inverse of the CIE L*a*b* curve (CIE 15:2004, 8.2.1)."""
    return t * t * t if t > 6 / 29 else 3 * (6 / 29) ** 2 * (t - 4 / 29)


def _srgb_curve(linear: float) -> float:
    clipped = min(1.0, max(0.0, linear))
    return 12.92 * clipped if clipped <= 0.0031308 else float(1.055 * clipped ** (1 / 2.4) - 0.055)
