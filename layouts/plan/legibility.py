"""Legibility: reading distance, what a round surface does to a letter, and contrast.

Angles are radians, lengths mm. Arc geometry is a parallel view of a cylinder: a height ``h``
wrapped around a diameter ``D`` spans ``2 h / D``, so its half angle is ``a = h / D`` (derived).
"""

from __future__ import annotations

import math

from layouts.drawing.inks import contrast
from layouts.schemes.model import Scheme
from layouts.terms.units import MM_PER_FOOT, MM_PER_INCH
from layouts.terms.values import frozen

LETTER_PER_DISTANCE_SOURCE = (
    "ANSI Z535.2-2011, 9.2.3: capitals of at least 1/300 of the distance (second-hand)"
)
_DISTANCE_PER_LETTER = 300.0
# ANSI Z535.2/.4 annex table, note: smallest suggested type (second-hand).
SMALLEST_LETTER = 0.16 * MM_PER_INCH
# Default reading distance of tags and small parts: 29 CFR 1910.145(f)(4), 5 ft.
TAG_DISTANCE = 5 * MM_PER_FOOT
# WCAG 2.1, success criterion 1.4.3 for text, a screen rule used as a yardstick.
CONTRAST_FLOOR = 4.5
# Edges of a marker turned further than this from the reader are foreshortened to less than
# half: cos 60 degrees (derived).
EDGE_LIMIT = math.radians(60)
# Letters turned further than this lose more than a third at head and foot: cos 50 degrees
# (derived; the limit is our own choice).
LETTER_LIMIT = math.radians(50)
# NUREG-0700 r3, 11.4.1.5-7: lines half a letter height or more apart.
LINE_PITCH = 1.5


@frozen
class ContrastPair:
    """Lettering on its field, by scheme ink names, with the WCAG 2 ratio of the two."""

    what: str
    field: str
    ink: str
    ratio: float

    @property
    def clear(self) -> bool:
        """Whether the ratio reaches the yardstick."""
        return self.ratio >= CONTRAST_FLOOR


def reading_distance(letter: float) -> float:
    """The distance at which a letter height is legible, mm."""
    return letter * _DISTANCE_PER_LETTER


def letter_for_distance(distance: float) -> float:
    """The letter height legible at that distance, mm; never below the smallest suggested type."""
    return max(distance / _DISTANCE_PER_LETTER, SMALLEST_LETTER)


def half_angle(height: float, od: float) -> float:
    """Half the angle that a height wrapped around a pipe spans."""
    return height / od


def lines_that_fit(od: float, letter: float) -> int:
    """How many lines fit around a pipe at a pitch of 1.5 letter heights."""
    return math.floor(math.pi * od / (LINE_PITCH * letter))


def contrast_pairs(scheme: Scheme) -> tuple[ContrastPair, ...]:
    """Every pair of lettering and field that a scheme prints, in the scheme's order."""
    bands = {band.word: band for bands in scheme.states.values() for band in bands}
    bands |= {band.word: band for band in scheme.levels.values()}
    uses = [(pairing.key, pairing.field, pairing.legend) for pairing in scheme.pairings]
    uses += [(f"{band.word} band", band.field, band.ink) for band in bands.values()]
    uses.append(("equipment", scheme.equipment.field, scheme.equipment.ink))
    return tuple(
        ContrastPair(what, field, ink, contrast(scheme.inks[field].lab, scheme.inks[ink].lab))
        for what, field, ink in uses
    )
