"""One line of a face: parts in a row, with the spare length divided among the gaps."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise

from layouts.drawing import Affine, Path, Rect, rectangle
from layouts.drawing.document import Drawn, Fill
from layouts.drawing.inks import InkRole
from layouts.drawing.lettering import outline
from layouts.drawing.memo import Kept
from layouts.drawing.symbols import arrow_path
from layouts.drawing.typefaces import Typefaces
from layouts.plan.design import Arrow, Design, Element
from layouts.terms.values import frozen

# Proportions of the face, our own, as shares of the letter height.
GAP = 0.55  # between two parts on the field, and from a part to a band or an end
# The same on a compact face, but between two words: what letters seen from the side keep at least
# (NUREG-0700 r2: a quarter of their height beyond 35 degrees off axis).
_LEAST_GAP = 0.25
_BAND_PAD = 0.5  # from a band's word to the band's edge
_CLEAR = 0.03  # between a tail or an accent and the edge


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """A part of a line with its drawn shape: ``path`` has its ink box's left at x = 0.

    ``reach`` is the larger distance from the middle of a capital up or down to the shape's edge,
    0 where it is empty; ``missing`` names the characters that the typeface lacks.
    """

    element: Element
    path: Path
    width: float  # of the drawn shape
    full_width: float  # of the band, or the drawn shape's where there is none
    reach: float
    missing: tuple[str, ...] = ()


def pieces_of(line: tuple[Element, ...], typefaces: Typefaces) -> tuple[Piece, ...]:
    """The parts of a line, drawn once while the same line comes up again and again."""
    return _lines_in(typefaces).of(line)


@lru_cache(maxsize=4)
def _lines_in(typefaces: Typefaces) -> Kept[tuple[Element, ...], tuple[Piece, ...]]:
    return Kept(lambda line: tuple([piece_of(each, typefaces) for each in line]), 4096)


@lru_cache(maxsize=4096)  # most words of a tag are on many tags
def piece_of(element: Element, typefaces: Typefaces) -> Piece:
    """One part, drawn: a word or an arrow, and the band around it where it has one."""
    if element.arrow is not None:
        path = _arrow(element.letter_height, element.arrow)
        width = path.bounds().width
        return Piece(element, path, width, _full_width(element, width), _reach(element, path))
    drawn = outline(typefaces.for_ink(element.ink), element.word, element.letter_height)
    full_width, reach = _full_width(element, drawn.width), _reach(element, drawn.path)
    return Piece(element, drawn.path, drawn.width, full_width, reach, drawn.missing)


def _reach(element: Element, path: Path) -> float:
    if path.is_empty:
        return 0.0
    box, middle = path.bounds(), -element.letter_height / 2
    return max(box.bottom - middle, middle - box.y)


def _full_width(element: Element, width: float) -> float:
    if element.field is None:
        return width
    return max(element.min_width, width + 2 * _BAND_PAD * element.letter_height)


@lru_cache(maxsize=256)  # a scheme has a few letter heights
def _arrow(letter_height: float, arrow: Arrow) -> Path:
    return arrow_path(letter_height, pointing_right=arrow is Arrow.RIGHT)


def _gaps(line: Sequence[Element], design: Design) -> list[float]:
    """Natural gaps before, between and after the parts; a band touches bands and edges."""
    gap = (_LEAST_GAP if design.compact else GAP) * design.letter_height
    if len(line) == 1:
        end = gap if line[0].field is None else 0.0
        return [end, end]
    banded = [element.field is not None for element in line]
    inner = [
        0.0 if one.field and two.field else _between(one, two, gap, design)
        for one, two in pairwise(line)
    ]
    return [0.0 if banded[0] else gap, *inner, 0.0 if banded[-1] else gap]


def _between(one: Element, two: Element, gap: float, design: Design) -> float:
    """The gap between two parts; two words side by side keep theirs on a compact face too."""
    words = all(part.word and part.field is None for part in (one, two))
    return GAP * design.letter_height if words else gap


def natural_length(line: tuple[Element, ...], design: Design, typefaces: Typefaces) -> float:
    """The length needed by a line's parts and minimum gaps, mm."""
    if not line:
        return 0.0
    widths = math.fsum([piece.full_width for piece in pieces_of(line, typefaces)])
    return widths + math.fsum(_gaps(line, design))


def _share_out(gaps: list[float], by: float) -> list[float]:
    """The gaps with the spare length shared out evenly among those that may grow."""
    growing = sum(gap > 0 for gap in gaps)
    if not growing:
        return [gaps[0] + by / 2, *gaps[1:-1], gaps[-1] + by / 2]
    return [gap + by / growing if gap > 0 else gap for gap in gaps]


def line_letter(pieces: Sequence[Piece], design: Design) -> float:
    """The tallest letters of a line, band words left out."""
    plain = [piece.element.letter_height for piece in pieces if piece.element.field is None]
    return max(plain, default=design.letter_height)


def half_height(pieces: Sequence[Piece], letter: float, safe: float) -> float:
    """From a line's middle to the edge it needs: its letters and their margin, tails included.

    The tail of a Q or an accent may use the margin, but not touch the edge.
    """
    reach = max([piece.reach for piece in pieces], default=0.0)
    return max((0.5 + safe) * letter, reach + _CLEAR * letter)


@frozen
class LineArt:
    """A drawn line: bands, letters, and the widths of the bands."""

    bands: tuple[Fill, ...]
    letters: tuple[Fill, ...]
    widths: tuple[float, ...]

    def mapped(self, by: Affine) -> LineArt:
        """The line's image."""

        def moved(fills: tuple[Fill, ...]) -> tuple[Fill, ...]:
            return tuple(replace(fill, path=fill.path.mapped(by)) for fill in fills)

        return LineArt(moved(self.bands), moved(self.letters), self.widths)


def line_art(
    pieces: Sequence[Piece], box: Rect, design: Design, reach: Callable[[Rect], Rect]
) -> LineArt:
    """One line drawn in its box; ``reach`` stretches a band's box to the bleed."""
    bands: list[Fill] = []
    letters: list[Fill] = []
    widths: list[float] = []
    gaps = _gaps([piece.element for piece in pieces], design)
    natural = math.fsum(piece.full_width for piece in pieces) + math.fsum(gaps)
    gaps = _share_out(gaps, box.width - natural)
    x = box.x + gaps[0]
    for piece, gap in zip(pieces, gaps[1:], strict=True):
        element = piece.element
        if element.field is not None:
            band = Rect(x, box.y, piece.full_width, box.height)
            bands.append(Fill(rectangle(reach(band)), element.field))
            widths.append(piece.full_width)
        left = x + (piece.full_width - piece.width) / 2
        letters.append(_place_piece(piece, left, box))
        x += piece.full_width + gap
    return LineArt(tuple(bands), tuple(letters), tuple(widths))


def _place_piece(piece: Piece, left: float, box: Rect) -> Fill:
    """A word or an arrow, its capitals centered on the height of the line's box."""
    middle = box.y + box.height / 2
    return _placed(piece, left, middle + piece.element.letter_height / 2)


@lru_cache(maxsize=4096)  # tags of one size share most of their words
def _placed(piece: Piece, left: float, baseline: float) -> Fill:
    ink = piece.element.ink
    path = piece.path.mapped(Affine.move(left, baseline))
    return Fill(path, ink, ink.role is InkRole.BLACK, Drawn.LETTER)


def reach_to(edge: Rect, by: float) -> Callable[[Rect], Rect]:
    """A map that lets a box touching the edge reach beyond it by the bleed."""

    def reach(box: Rect) -> Rect:
        left = box.x - by if box.x <= edge.x + 1e-9 else box.x
        top = box.y - by if box.y <= edge.y + 1e-9 else box.y
        right = box.right + by if box.right >= edge.right - 1e-9 else box.right
        bottom = box.bottom + by if box.bottom >= edge.bottom - 1e-9 else box.bottom
        return Rect(left, top, right - left, bottom - top)

    return reach
