"""Round tags."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from layouts.drawing import Rect, circle
from layouts.drawing.document import Fill
from layouts.face.common import BLEED, SAFE, measures_of, stack_layers
from layouts.face.holes import tag_holes
from layouts.face.line import GAP, LineArt, Piece, line_art, line_letter
from layouts.face.model import Measures, Part
from layouts.plan.design import Design
from layouts.terms.words import PartRole


def round_tag(
    design: Design, lines: Sequence[Sequence[Piece]], needed: float
) -> tuple[Part, Measures]:
    """A disc just large enough for its lines and the hole above them."""
    letters = [line_letter(pieces, design) for pieces in lines]
    widths = [math.fsum(piece.full_width for piece in pieces) for pieces in lines]
    heights = [(1 + 2 * SAFE) * letter for letter in letters]
    strip = design.hole_strip
    radius = design.marker_height / 2
    while not _fits_disc(widths, heights, strip, radius, SAFE * design.letter_height):
        radius += 0.25
    trim = Rect(0.0, 0.0, 2 * radius, 2 * radius)
    arts: list[LineArt] = []
    y = _disc_top(heights, strip, radius)
    for pieces, letter, width, height in zip(lines, letters, widths, heights, strict=True):
        gap = 2 * GAP * letter
        box = Rect(radius - (width + gap) / 2, y, width + gap, height)
        arts.append(line_art(pieces, box, replace(design, letter_height=letter), lambda band: band))
        y += height
    hole = tag_holes(design, 2 * radius)
    ground = (Fill(circle(trim.center, 2 * (radius + BLEED)), design.field),)
    part = Part(
        PartRole.TAG,
        trim.size,
        circle(trim.center, 2 * radius),
        hole,
        stack_layers(ground, arts),
        BLEED,
        round=True,
        backs=design.backs,
    )
    return part, measures_of(design, lines, arts, trim.size, needed)


def _disc_top(heights: list[float], strip: float, radius: float) -> float:
    """Where the words begin: centered on the disc, but below the hole."""
    return max(strip, radius - math.fsum(heights) / 2)


def _fits_disc(
    widths: list[float], heights: list[float], strip: float, radius: float, safe: float
) -> bool:
    """Whether every line's corners stay ``safe`` mm inside the disc."""
    y = _disc_top(heights, strip, radius)
    for width, height in zip(widths, heights, strict=True):
        for edge in (y, y + height):
            if math.hypot(width / 2, edge - radius) > radius - safe:
                return False
        y += height
    return True
