"""Round tags, and the plate that carries a mounted marker."""

from __future__ import annotations

import math
from dataclasses import replace

from layouts.drawing import Path, Point, Rect, Size, circle, rectangle
from layouts.drawing.document import Fill
from layouts.face.common import BLEED, SAFE, measures_of, stacked
from layouts.face.line import GAP, LineArt, Piece, line_art, line_letter
from layouts.face.model import Measures, Part
from layouts.plan.design import Design, Plate
from layouts.terms.words import PartRole


def round_tag(design: Design, lines: list[list[Piece]], needed: float) -> tuple[Part, Measures]:
    """A disc just large enough for its lines and the hole above them."""
    letters = [line_letter(pieces, design) for pieces in lines]
    widths = [sum(piece.full_width for piece in pieces) for pieces in lines]
    heights = [(1 + 2 * SAFE) * letter for letter in letters]
    strip = 2 * design.hole_diameter
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
    hole = circle(Point(radius, design.hole_diameter * 1.25), design.hole_diameter)
    ground = (Fill(circle(trim.center, 2 * (radius + BLEED)), design.field),)
    part = Part(
        PartRole.TAG,
        trim.size,
        circle(trim.center, 2 * radius),
        hole,
        stacked(ground, arts),
        BLEED,
        round=True,
    )
    return part, measures_of(design, lines, arts, trim.size, needed)


def _disc_top(heights: list[float], strip: float, radius: float) -> float:
    """Where the words begin: centered on the disc, but below the hole."""
    return max(strip, radius - sum(heights) / 2)


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


def plate_part(plate: Plate, face: Size) -> Part:
    """The carrier of a mounted marker: cut only, its openings outside the film."""
    width = face.width + 2 * plate.border + plate.ears * plate.ear
    size = Size(width, face.height + 2 * (plate.border + _rim(plate)))
    ends = (plate.ear / 2, size.width - plate.ear / 2)[: plate.ears]
    if plate.middle:
        ends = (*ends, size.width / 2)
    inset = 1.5 * plate.slot_width
    openings = Path(())
    for x in ends:
        for y in (inset, size.height - inset):
            openings = openings.joined(_opening(plate, Point(x, y)))
    outline_path = rectangle(Rect(0.0, 0.0, size.width, size.height), plate.ear / 3)
    return Part(PartRole.PLATE, size, outline_path, openings, (), 0.0)


def _rim(plate: Plate) -> float:
    """What a plate is higher for openings halfway along it, which stay outside the film too."""
    return max(0.0, 2.25 * plate.slot_width - plate.border) if plate.middle else 0.0


def _opening(plate: Plate, center: Point) -> Path:
    if not plate.slot_length:
        return circle(center, plate.slot_width)
    box = Rect(
        center.x - plate.slot_length / 2,
        center.y - plate.slot_width / 2,
        plate.slot_length,
        plate.slot_width,
    )
    return rectangle(box, plate.slot_width / 2)
