"""Shared by all face shapes: length, ground, layers and measures."""

from __future__ import annotations

import math
from collections.abc import Sequence

from layouts.drawing import Rect, Size, rectangle
from layouts.drawing.document import Drawn, Fill, Shape
from layouts.drawing.inks import InkRole
from layouts.face.line import LineArt, Piece
from layouts.face.model import Measures
from layouts.plan.design import Design

# From a letter to the edge of its line above and below, as shares of its height, our own. A single
# line keeps the margin of the ammonia table's last row (4.5 in of marker for 3.5 in letters); lines
# above each other keep half a height between them (NUREG-0700 r3).
SAFE_ALONE = 0.14
SAFE = 0.25
BLEED = 2.0  # print beyond the cut, mm; common practice, no source
_KEYLINE = 0.10  # width of a keyline, as a share of the letter height: our own


def round_up_to_step(value: float, step: float) -> float:
    """The value rounded up to a multiple of the step, free of the last bits' noise."""
    if step <= 0:
        return value
    return round(math.ceil(value / step - 1e-9) * step, 6)


def finished_length(design: Design, needed: float) -> float:
    """The minimum or the content, up to the scheme's step; a neighbor's length unchanged."""
    length = max(design.length, needed)
    if design.fixed_length and needed <= design.length:
        return length
    return round_up_to_step(length, design.length_step)


def ground_of(design: Design, trim: Rect) -> tuple[tuple[Shape, ...], Rect, float]:
    """The field, the box that bands may fill, and how far they reach beyond it."""
    if design.keyline is None:
        if design.field.role is InkRole.PAPER:
            return (), trim, 0.0
        return (Fill(rectangle(trim.grown(BLEED)), design.field),), trim, BLEED
    inset = keyline_width(design)
    inner = trim.grown(-inset)
    radius = max(0.0, corner_radius(design, trim.height) - inset)
    return (
        (
            Fill(rectangle(trim.grown(BLEED)), design.keyline, drawn=Drawn.RULE),
            Fill(rectangle(inner, radius), design.field),
        ),
        inner,
        0.0,
    )


def keyline_width(design: Design) -> float:
    """Width of the frame around the field, mm; 0 where there is none."""
    return _KEYLINE * design.letter_height if design.keyline is not None else 0.0


def corner_radius(design: Design, height: float) -> float:
    """Radius of the finished corner, mm."""
    return design.corner_share * height


def stack_layers(ground: tuple[Shape, ...], arts: list[LineArt]) -> tuple[Shape, ...]:
    """Ground, then all bands, then all letters."""
    return (
        *ground,
        *(band for art in arts for band in art.bands),
        *(fill for art in arts for fill in art.letters),
    )


def measures_of(
    design: Design, lines: Sequence[Sequence[Piece]], arts: list[LineArt], size: Size, needed: float
) -> Measures:
    """What a ruler finds on the finished face."""
    banded = [
        piece.element.letter_height
        for pieces in lines
        for piece in pieces
        if piece.element.field is not None
    ]
    return Measures(
        size.width,
        size.height,
        design.letter_height,
        min(banded, default=0.0),
        tuple(width for art in arts for width in art.widths),
        needed,
    )
