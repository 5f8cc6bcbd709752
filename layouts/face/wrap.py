"""Blanks that wrap around a small pipe, read from front and back."""

from __future__ import annotations

from dataclasses import replace

from layouts.drawing import Affine, Rect, rectangle
from layouts.drawing.document import Fill
from layouts.drawing.typefaces import Typefaces
from layouts.face.common import corner_radius, finished_length, ground_of, measures_of, stack_layers
from layouts.face.line import LineArt, line_art, pieces_of
from layouts.face.model import Measures, Part
from layouts.plan.design import Arrow, Design, Element
from layouts.schemes.model import ElementKind
from layouts.terms.words import PartRole


def opposite(line: tuple[Element, ...]) -> tuple[Element, ...]:
    """The line as read from the far side: each arrow at the other end, turned."""
    arrows = [element for element in line if element.kind is ElementKind.ARROW]
    words = [element for element in line if element.kind is not ElementKind.ARROW]
    left = [_flip_arrow(element) for element in arrows if element is line[-1]]
    right = [_flip_arrow(element) for element in arrows if element is line[0]]
    return (*left, *words, *right)


def _flip_arrow(element: Element) -> Element:
    turned = Arrow.LEFT if element.arrow is Arrow.RIGHT else Arrow.RIGHT
    return replace(element, arrow=turned)


def compose_wrap(design: Design, typefaces: Typefaces, needed: float) -> tuple[Part, Measures]:
    """A blank that wraps around the pipe: y runs around it, after an underlap at the top.

    The underlap goes on first and the last line closes over it, so no letter is covered. On a
    horizontal pipe the seam is underneath, the first half of the lines faces away and the
    second half faces the reader; the top of the pipe is at underlap + girth / 2.
    """
    wrap = design.wrap
    assert wrap is not None
    front = design.lines[0]
    length = finished_length(design, needed)
    trim = Rect(0.0, 0.0, length, wrap.girth + wrap.overlap)
    pitch = wrap.girth / wrap.lines
    strip = Rect(0.0, 0.0, length, pitch)
    turned = Affine.quarter_turns(2).then(Affine.move(length, pitch))
    ground, _, bleed = ground_of(design, trim)
    arts: list[LineArt] = []
    for index in range(wrap.lines):
        away = wrap.turned_half and index < wrap.lines // 2
        pieces = pieces_of(opposite(front) if away else front, typefaces)
        art = line_art(pieces, strip, design, lambda band: band)
        down = Affine.move(0.0, wrap.overlap + index * pitch)
        arts.append(art.mapped(turned.then(down) if away else down))
    half = wrap.lines // 2 if wrap.turned_half else wrap.lines
    sides = [_side(arts[:half]), _side(arts[half:])]
    part = Part(
        PartRole.FILM,
        trim.size,
        rectangle(trim, corner_radius(design, pitch)),
        None,
        stack_layers(ground, sides),
        bleed,
        top_of_pipe=wrap.overlap + wrap.girth / 2 if wrap.turned_half else None,
    )
    return part, measures_of(design, [pieces_of(front, typefaces)], arts[:1], trim.size, needed)


def _side(arts: list[LineArt]) -> LineArt:
    """The lines of one side with each column of bands as a single band, without seams."""
    columns = zip(*(art.bands for art in arts), strict=True)
    return LineArt(
        tuple(
            Fill(rectangle(Rect.around(band.path.bounds() for band in column)), column[0].ink)
            for column in columns
        ),
        tuple(fill for art in arts for fill in art.letters),
        arts[0].widths if arts else (),
    )
