"""The face: the finished layout of one distinct marker, in millimeters, top-left at 0, 0.

A line of a face is a row of parts with gaps between them. Every part keeps its natural width. The
length is a minimum rounded up to the scheme's step; the space left over is divided evenly among the
gaps. Nothing is ever squeezed.
"""

from __future__ import annotations

import hashlib

from layouts.drawing.typefaces import Typefaces
from layouts.face.flat import flat
from layouts.face.holes import plate_part
from layouts.face.line import natural_length, piece_of, pieces_of
from layouts.face.model import Face, Measures, Part
from layouts.face.tag import round_tag
from layouts.face.wrap import compose_wrap
from layouts.plan.design import Design
from layouts.terms.words import Outline, PartRole

__all__ = [
    "Face",
    "Measures",
    "Part",
    "PartRole",
    "Typefaces",
    "compose",
    "content_length",
    "face_id",
]


def face_id(design: Design, typefaces: Typefaces) -> str:
    """A short name that depends only on the content; 64 bits keep a million faces apart."""
    text = f"{design.id_text}|{typefaces.dark.key}|{typefaces.light.key}"
    return hashlib.sha256(text.encode()).hexdigest()[:16].upper()


def content_length(design: Design, typefaces: Typefaces) -> float:
    """The length that the longest line needs, without minimums and steps."""
    needed = max(natural_length(line, design, typefaces) for line in design.lines)
    if design.end_band is not None:
        needed += piece_of(design.end_band, typefaces).full_width
    return needed


def compose(design: Design, typefaces: Typefaces) -> Face:
    """Lay out one design."""
    lines = [pieces_of(line, typefaces) for line in design.lines]
    needed = content_length(design, typefaces)
    lacking = tuple(
        dict.fromkeys(char for line in lines for piece in line for char in piece.missing)
    )
    if design.outline is Outline.ROUND:
        part, measures = round_tag(design, lines, needed)
    elif design.wrap is not None:
        part, measures = compose_wrap(design, typefaces, needed)
    else:
        band = piece_of(design.end_band, typefaces) if design.end_band is not None else None
        part, measures = flat(design, lines, band, needed)
    parts = (part,) if design.plate is None else (part, plate_part(design.plate, part.size))
    return Face(face_id(design, typefaces), design, design.words, measures, parts, lacking)
