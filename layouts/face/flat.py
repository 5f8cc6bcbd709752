"""Rectangular faces: one line of parts or several, and a rectangular tag with its hole."""

from __future__ import annotations

import math
from collections.abc import Sequence

from layouts.drawing import Rect, rectangle
from layouts.face.common import (
    BLEED,
    SAFE,
    SAFE_ALONE,
    corner_radius,
    finished_length,
    ground_of,
    measures_of,
    round_up_to_step,
    stack_layers,
)
from layouts.face.holes import tag_holes
from layouts.face.line import LineArt, Piece, half_height, line_art, line_letter, reach_to
from layouts.face.model import Measures, Part
from layouts.plan.design import Design
from layouts.terms.words import PartRole


def flat(
    design: Design, lines: Sequence[Sequence[Piece]], band: Piece | None, needed: float
) -> tuple[Part, Measures]:
    """A rectangular face of one or more lines, with a band at its end where there is one."""
    letters = [line_letter(pieces, design) for pieces in lines]
    strip = design.hole_strip
    # Small first and last lines keep the same distance from the edge as large ones.
    top, bottom = (SAFE * (design.letter_height - letter) for letter in (letters[0], letters[-1]))
    safe = SAFE if len(lines) > 1 else SAFE_ALONE
    halves = [
        half_height(pieces, letter, safe) for pieces, letter in zip(lines, letters, strict=True)
    ]
    content = 2 * math.fsum(halves) + top + bottom
    height = design.marker_height
    if not design.fixed_height:
        height = round_up_to_step(max(design.marker_height, content) + strip, design.length_step)
    length = finished_length(design, needed)
    trim = Rect(0.0, 0.0, length, height)
    ground, inner, bleed = ground_of(design, trim)
    reach = reach_to(inner, bleed)
    end = band.full_width if band is not None else 0.0
    arts: list[LineArt] = []
    y = inner.y + strip + top
    room = inner.height - strip - top - bottom
    for pieces, half in zip(lines, halves, strict=True):
        box = Rect(inner.x, y, inner.width - end, room * half / math.fsum(halves))
        arts.append(line_art(pieces, box, design, reach))
        y += box.height
    if band is not None:
        box = Rect(inner.right - end, inner.y, end, inner.height)
        arts.append(line_art([band], box, design, reach))
    hole = None
    if design.hole_diameter:
        hole = tag_holes(design, length)
    role = PartRole.FILM if hole is None else PartRole.TAG
    outline_path = rectangle(trim, corner_radius(design, min(height, 4 * design.letter_height)))
    art = stack_layers(ground, arts)
    part = Part(role, trim.size, outline_path, hole, art, BLEED, backs=design.backs)
    drawn = [*lines, [band]] if band is not None else lines
    return part, measures_of(design, drawn, arts, trim.size, needed)
