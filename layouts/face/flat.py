"""Rectangular faces: one line of parts or several, and a rectangular tag with its hole."""

from __future__ import annotations

from layouts.design import Design
from layouts.face.common import (
    BLEED,
    SAFE,
    corner_radius,
    finished_length,
    ground_of,
    measures_of,
    stacked,
)
from layouts.face.line import LineArt, Piece, line_art, line_letter, reach_to
from layouts.face.model import Measures, Part, PartRole
from layouts.geometry import Point, Rect, circle, rectangle


def flat(design: Design, lines: list[list[Piece]], needed: float) -> tuple[Part, Measures]:
    """A rectangular face of one or more lines."""
    letters = [line_letter(pieces, design) for pieces in lines]
    strip = 2 * design.hole_diameter
    content = sum((1 + 2 * SAFE) * letter for letter in letters)
    height = design.marker_height
    if not design.fixed_height:
        height = max(design.marker_height, content) + strip
    length = finished_length(design, needed)
    trim = Rect(0.0, 0.0, length, height)
    ground, inner, bleed = ground_of(design, trim)
    arts: list[LineArt] = []
    y = inner.y + strip
    room = inner.height - strip
    for pieces, letter in zip(lines, letters, strict=True):
        box = Rect(inner.x, y, inner.width, room * letter / sum(letters))
        arts.append(line_art(pieces, box, letter, reach_to(inner, bleed)))
        y += box.height
    hole = None
    if design.hole_diameter:
        hole = circle(Point(length / 2, design.hole_diameter * 1.25), design.hole_diameter)
    role = PartRole.FILM if hole is None else PartRole.TAG
    outline_path = rectangle(trim, corner_radius(design, min(height, 4 * design.letter_height)))
    part = Part(role, trim.size, outline_path, hole, stacked(ground, arts), BLEED)
    return part, measures_of(design, lines, arts, trim.size, needed)
