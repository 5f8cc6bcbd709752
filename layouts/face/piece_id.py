"""The id of a piece on its face: small text, a QR code or both, in a corner that is free.

The face does not change for it: nothing moves, and an id without a free place is left out and
reported. An id keeps off words, arrows, bands, holes, rounded corners and the edge that is cut.

A code's module is the smaller of two that a phone reads at arm's length, 20 in (508 mm). A
camera of 12 megapixels, 4032 pixels over 65 degrees (from memory, a usual phone), sees 0.16 mm a
pixel there (derived), so a module of 0.5 mm is three pixels and one of 0.4 mm two and a half.
Two pixels a module is the least (derived: the sampling theorem). The letters are 1/8 in, else
the least that 1/300 of the distance (see ``layouts.plan.legibility``) carries to 24 in.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from layouts.drawing import Affine, Point, Rect, rectangle
from layouts.drawing.document import Drawn, Fill, Shape
from layouts.drawing.inks import BLACK, Ink, InkRole, Lab, contrast
from layouts.drawing.lettering import measure, outline
from layouts.drawing.qr_code import qr_outline, qr_side
from layouts.drawing.typefaces import Typefaces
from layouts.face.common import corner_radius, keyline_width
from layouts.face.model import Face, Part
from layouts.plan.design import Design
from layouts.plan.legibility import CONTRAST_FLOOR
from layouts.terms.units import MM_PER_INCH
from layouts.terms.values import frozen
from layouts.terms.words import PieceId

MODULES = (0.5, 0.4)  # mm
ID_LETTERS = (MM_PER_INCH / 8, 24 * MM_PER_INCH / 300)  # mm
_EDGE = 1.5  # from the id to the trim, mm; common practice for a cut that wanders, no source
_CLEAR = 1.2  # from the id to words and bands, mm: our own
_STEPS = 16  # places tried across a round tag, our own
_WHITE = Ink("Paper", Lab(95.0, 0.0, 0.0), InkRole.PAPER)


@frozen
class IdPlace:
    """Where the ids of one face go: boxes in the part's coordinates, None where not drawn.

    ``lacking`` names what the order asks for and the face has no room for.
    """

    text: Rect | None = None
    letter: float = 0.0
    code: Rect | None = None
    module: float = 0.0
    lacking: tuple[PieceId, ...] = ()


def find_id_place(
    face: Face, texts: Sequence[str], wanted: PieceId, typefaces: Typefaces
) -> IdPlace:
    """The free corners of a face with room for any of the ids; the code is placed first."""
    part = face.printed
    free = _Room(part, face.design)
    place, lacking = IdPlace(), []
    if wanted in (PieceId.QR, PieceId.BOTH):
        side = max(map(qr_side, texts))
        for module in MODULES:
            box = free.corner(side * module, side * module, 0.0)
            if box is not None:
                place = replace(place, code=box, module=module)
                free.taken.append(box)
                break
        else:
            lacking.append(PieceId.QR)
    if wanted in (PieceId.TEXT, PieceId.BOTH):
        typeface = typefaces.for_ink(_ink_of(face.design))
        for letter in ID_LETTERS:
            width = max(measure(typeface, text, letter) for text in texts)
            box = free.corner(width, letter, _EDGE)
            if box is not None:
                place = replace(place, text=box, letter=letter)
                break
        else:
            lacking.append(PieceId.TEXT)
    return replace(place, lacking=tuple(lacking))


def with_id(face: Face, text: str, place: IdPlace, typefaces: Typefaces) -> Face:
    """The face with an id drawn in its place; everything else stays as it is."""
    shapes = (*_code_shapes(face.design, text, place), *_text_shapes(face, text, place, typefaces))
    if not shapes:
        return face
    printed = face.printed
    marked = replace(printed, art=(*printed.art, *shapes), id_shapes=len(shapes))
    return replace(face, parts=tuple(marked if each is printed else each for each in face.parts))


def _code_shapes(design: Design, text: str, place: IdPlace) -> Iterator[Fill]:
    """The code in black, on white where the field is too dark for it."""
    if place.code is None:
        return
    if contrast(design.field.lab, BLACK.lab) < CONTRAST_FLOOR:
        yield Fill(rectangle(place.code), _WHITE)
    spare = (place.code.width - qr_side(text) * place.module) / 2
    corner = Point(place.code.x + spare, place.code.y + spare)
    yield Fill(qr_outline(text, corner, place.module), _black_of(design), overprint=True)


def _text_shapes(face: Face, text: str, place: IdPlace, typefaces: Typefaces) -> Iterator[Fill]:
    if place.text is None:
        return
    ink = _ink_of(face.design)
    lettering = outline(typefaces.for_ink(ink), text, place.letter)
    left = place.text.x + (place.text.width - lettering.width) / 2
    path = lettering.path.mapped(Affine.move(left, place.text.bottom))
    yield Fill(path, ink, ink.role is InkRole.BLACK, Drawn.LETTER)


def _inks(design: Design) -> Iterator[Ink]:
    yield from (element.ink for line in design.lines for element in line if element.field is None)


def _black_of(design: Design) -> Ink:
    return next((ink for ink in _inks(design) if ink.role is InkRole.BLACK), BLACK)


def _ink_of(design: Design) -> Ink:
    """The ink of the words on the field; black if all words are in bands."""
    return next(_inks(design), BLACK)


class _Room:
    """The free area of a printed part: ``taken`` are the boxes that an id avoids."""

    def __init__(self, part: Part, design: Design) -> None:
        inset = keyline_width(design)
        top = design.wrap.overlap if design.wrap is not None else 0.0  # the seam closes over it
        box = part.box.grown(-inset)
        self.box = Rect(box.x, box.y + top, box.width, box.height - top)
        self.disc = part.size.width / 2 if part.round else 0.0
        self.radius = max(0.0, corner_radius(design, part.size.height) - inset)
        self.taken = [shape.path.bounds() for shape in part.art if not self._is_ground(shape)]
        if part.holes is not None:
            self.taken.append(part.holes.bounds())

    def _is_ground(self, shape: Shape) -> bool:
        return shape.path.bounds().contains(self.box, 1e-6)

    def corner(self, width: float, height: float, edge: float) -> Rect | None:
        """The free box of a size that is nearest to a corner, lower right first."""
        inner = self.box.grown(-edge)
        if width > inner.width or height > inner.height:
            return None
        boxes = (
            Rect(x, y, width, height)
            for x in self._starts(inner.x, inner.right - width, width, edge, across=True)
            for y in self._starts(inner.y, inner.bottom - height, height, edge, across=False)
        )
        free = ((_away(box, inner), box) for box in boxes if self._is_free(box, edge))
        return min(free, key=lambda each: (*each[0], each[1].x, each[1].y), default=(None, None))[1]

    def _starts(
        self, first: float, last: float, size: float, edge: float, *, across: bool
    ) -> Iterable[float]:
        """Where a box may begin along one side: at both ends, and beside what is taken.

        A rounded corner takes a box whose own corner lies on the arc's middle.
        """
        inward = (1 - math.sqrt(0.5)) * max(0.0, self.radius - edge)
        starts = {first, last, first + inward, last - inward}
        for box in self.taken:
            low, high = (box.x, box.right) if across else (box.y, box.bottom)
            starts |= {low - _CLEAR - size, high + _CLEAR}
        if self.disc:
            starts |= {first + (last - first) * step / _STEPS for step in range(_STEPS)}
        return sorted(each for each in starts if first - 1e-9 <= each <= last + 1e-9)

    def _is_free(self, box: Rect, edge: float) -> bool:
        if any(box.grown(_CLEAR).overlaps(each, 1e-6) for each in self.taken):
            return False
        corners = [Point(x, y) for x in (box.x, box.right) for y in (box.y, box.bottom)]
        if self.disc:
            middle = Point(self.disc, self.disc)
            return all(each.distance(middle) <= self.disc - max(edge, _EDGE) for each in corners)
        return all(self._is_within_corner(each, edge) for each in corners)

    def _is_within_corner(self, point: Point, edge: float) -> bool:
        """Whether a point keeps inside the rounded corners, ``edge`` off the trim."""
        radius = max(0.0, self.radius - edge)
        box = self.box.grown(-edge)
        dx = max(box.x + radius - point.x, point.x - box.right + radius, 0.0)
        dy = max(box.y + radius - point.y, point.y - box.bottom + radius, 0.0)
        return math.hypot(dx, dy) <= radius + 1e-6


def _away(box: Rect, inner: Rect) -> tuple[float, int]:
    """Distance to the nearest corner, and which one: lower right, lower left, upper ones."""
    ends = (
        (inner.right - box.right, inner.bottom - box.bottom),
        (box.x - inner.x, inner.bottom - box.bottom),
        (inner.right - box.right, box.y - inner.y),
        (box.x - inner.x, box.y - inner.y),
    )
    return min((round(math.hypot(*end), 3), n) for n, end in enumerate(ends))
