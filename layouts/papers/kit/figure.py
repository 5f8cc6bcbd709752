"""A marker drawn to scale on paper: its face by reference, dimensioned, with a scale bar."""

from __future__ import annotations

import math

from layouts.drawing import (
    Affine,
    Path,
    Point,
    Rect,
    Size,
    polyline,
    rectangle,
)
from layouts.drawing.document import Fill, Item, Placement, Shape, Stroke, Symbol
from layouts.drawing.inks import Ink, InkRole, Lab
from layouts.face.model import Face, Part
from layouts.papers.kit.paper import BODY, THIN, Voices
from layouts.terms.site_lengths import ruler_text
from layouts.terms.units import MM_PER_INCH, inches
from layouts.terms.values import frozen
from layouts.terms.words import PartRole

SCALES = (1, 2, 3, 4, 5, 6, 8, 10, 12, 16, 20, 24, 32, 40, 50)
PAPER = Ink("Paper", Lab(95.0, 0.0, 0.0), InkRole.PAPER)
_TRIM = 0.15  # the line of the finished edge, mm on paper
_COVER = 0.5  # how far the white frame reaches beyond the bleed, mm of the marker
_DROP = 3.0  # from the figure to its dimension line
_TICK = 0.8
_BAR_INCHES = (36, 24, 12, 6, 3, 2, 1, 0.5)
_BAR_LONGEST = 32.0


@frozen
class Figure:
    """The drawing, its height, its symbol and the scale, one to ``scale``."""

    items: tuple[Item, ...]
    height: float
    symbol: Symbol
    scale: int


def face_symbol(face: Face) -> Symbol:
    """The face after cutting: its art, and white over everything cut away."""
    part = printed_part(face)
    return Symbol(f"face-{face.id}", (*part.art, *_cut_away(part)), _art_box(part))


def _art_box(part: Part) -> Rect:
    """The box around the art and the white over its edges."""
    return part.box.grown(part.bleed + _COVER)


def _cut_away(part: Part) -> tuple[Fill, ...]:
    """White over everything that is cut away of a part."""
    away = Fill(rectangle(_art_box(part)).joined(part.outline.backwards()), PAPER)
    if part.role is PartRole.TAG and part.holes is not None:
        return away, Fill(part.holes, PAPER)
    return (away,)


def printed_part(face: Face) -> Part:
    """The part that carries the print."""
    return face.printed


def carrier_of(face: Face) -> Part | None:
    """The plate behind the film, if there is one."""
    return next((part for part in face.parts if part.role is PartRole.PLATE), None)


def figure_scale(face: Face, room: Rect) -> int:
    """The largest of the usual scales, one to a number, at which the marker fits the room."""
    whole = (carrier_of(face) or printed_part(face)).size
    need = max(whole.width / room.width, whole.height / room.height)
    return next((scale for scale in SCALES if scale >= need - 1e-9), math.ceil(need))


def draw_figure(face: Face, at: Point, room: Rect, voices: Voices, ink: Ink) -> Figure:
    """The face with its plate at the largest scale that ``room`` takes (only its size counts).

    The corner of the drawing is ``at``; dimension lines and the scale bar are below, outside the
    room's height.
    """
    part, plate = printed_part(face), carrier_of(face)
    whole = part.size if plate is None else plate.size
    scale = figure_scale(face, room)
    on_paper = Affine.scale(1 / scale).then(Affine.move(at.x, at.y))
    inset = Affine.move((whole.width - part.size.width) / 2, (whole.height - part.size.height) / 2)
    symbol = face_symbol(face)
    items: list[Item] = []
    if plate is not None:
        items.append(Stroke(plate.outline.mapped(on_paper), ink, _TRIM))
        if plate.holes is not None:
            items.append(Stroke(plate.holes.mapped(on_paper), ink, THIN))
    place = inset.then(on_paper)
    items.append(Placement(symbol.id, place))
    items.append(Stroke(part.outline.mapped(place), ink, _TRIM))
    if part.holes is not None:
        items.append(Stroke(part.holes.mapped(place), ink, THIN))
    trim = place.rect(part.box)
    bottom = at.y + whole.height / scale
    items += _draw_length(trim, bottom, ruler_text(part.size.width), voices, ink)
    right = at.x + whole.width / scale
    items += _draw_height(trim, right, ruler_text(part.size.height), voices, ink)
    items += _draw_scale_bar(Point(at.x, bottom + _DROP + 4.6), scale, voices, ink)
    return Figure(tuple(items), bottom - at.y + _DROP + 6.2, symbol, scale)


def _draw_length(
    trim: Rect, bottom: float, text: str, voices: Voices, ink: Ink
) -> tuple[Item, ...]:
    """Extension lines down from the edges, and the length in the gap of the line."""
    y = bottom + _DROP
    wide = voices.plain.width(text, BODY)
    items: list[Item] = []
    for x in (trim.x, trim.right):
        items.append(_stroke(Point(x, bottom + 0.7), Point(x, y + 1.0), ink))
        items.append(_tick(Point(x, y), ink))
    middle = trim.center.x
    half = wide / 2 + 1.0
    if trim.width < wide + 6.0:  # too short for its own number: the number goes behind it
        items.append(_stroke(Point(trim.x, y), Point(trim.right, y), ink))
        items += voices.plain.line(text, Point(trim.right + 1.8, y + BODY / 2), BODY, ink)
        return tuple(items)
    items.append(_stroke(Point(trim.x, y), Point(middle - half, y), ink))
    items.append(_stroke(Point(middle + half, y), Point(trim.right, y), ink))
    items += voices.plain.line(text, Point(middle, y + BODY / 2), BODY, ink, "center")
    return tuple(items)


def _draw_height(trim: Rect, right: float, text: str, voices: Voices, ink: Ink) -> tuple[Item, ...]:
    x = right + _DROP
    items: list[Item] = []
    for y in (trim.y, trim.bottom):
        items.append(_stroke(Point(right + 0.7, y), Point(x + 1.0, y), ink))
        items.append(_tick(Point(x, y), ink))
    items.append(_stroke(Point(x, trim.y), Point(x, trim.bottom), ink))
    items += voices.plain.line(text, Point(x + 1.8, trim.center.y + BODY / 2), BODY, ink)
    return tuple(items)


def _draw_scale_bar(at: Point, scale: int, voices: Voices, ink: Ink) -> tuple[Item, ...]:
    """A bar of a round length with the scale beside it; ``at`` is its lower left end."""
    length_in = next(
        (each for each in _BAR_INCHES if each * MM_PER_INCH / scale <= _BAR_LONGEST),
        _BAR_INCHES[-1],
    )
    long = length_in * MM_PER_INCH / scale
    half = Rect(at.x, at.y - 0.9, long / 2, 0.9)
    text = f"{inches(length_in * MM_PER_INCH)}    scale 1:{scale}"
    return (
        Fill(rectangle(half), ink),
        Stroke(rectangle(Rect(at.x, at.y - 0.9, long, 0.9)), ink, THIN),
        *voices.plain.line(text, Point(at.x + long + 1.8, at.y), BODY, ink),
    )


def _stroke(start: Point, end: Point, ink: Ink) -> Stroke:
    return Stroke(polyline((start, end)), ink, THIN)


def _tick(at: Point, ink: Ink) -> Stroke:
    """The slanted stroke that ends a dimension line."""
    ends = (Point(at.x - _TICK, at.y + _TICK), Point(at.x + _TICK, at.y - _TICK))
    return Stroke(polyline(ends), ink, THIN * 1.5)


@frozen
class Trim:
    """What is cut away of faces of one size, as a symbol over their art, with every edge drawn.

    ``scale`` is the number in 1:n, ``size`` the size on paper; ``inset`` is how far within its
    plate a face lies, mm of the marker. ``box`` is around the art.
    """

    symbol: Symbol
    scale: int
    size: Size
    inset: Point
    box: Rect


class Trims:
    """The trims that the papers of a job share, each drawn once: sizes are few, faces many."""

    def __init__(self, ink: Ink) -> None:
        self.ink = ink
        self._known: dict[tuple[object, ...], tuple[tuple[Part, Part | None], Trim]] = {}

    def of(self, face: Face, room: Size) -> Trim:
        """The trim of a face at the largest scale that ``room`` takes."""
        part, plate = printed_part(face), carrier_of(face)
        key = (*_edge_key(part), *(_edge_key(plate) if plate is not None else ()), room)
        known = self._known.get(key)
        if known is None:  # the parts are held, so that identities mean them
            trim = self._draw(face, part, plate, room)
            known = self._known[key] = (part, plate), trim
        return known[1]

    def _draw(self, face: Face, part: Part, plate: Part | None, room: Size) -> Trim:
        whole = part.size if plate is None else plate.size
        scale = figure_scale(face, Rect(0.0, 0.0, room.width, room.height))
        inset = Point((whole.width - part.size.width) / 2, (whole.height - part.size.height) / 2)
        shapes: list[Shape] = [*_cut_away(part)]
        edges = _edges(part)
        if plate is not None:
            behind = Affine.move(-inset.x, -inset.y)
            edges += [path.mapped(behind) for path in _edges(plate)]
        shapes += (Stroke(path, self.ink, THIN * scale) for path in edges)
        art = _art_box(part)
        box = Rect.around([art, Rect(-inset.x, -inset.y, whole.width, whole.height)])
        symbol = Symbol(f"trim-{len(self._known)}", tuple(shapes), box)
        return Trim(symbol, scale, Size(whole.width / scale, whole.height / scale), inset, art)


def _edge_key(part: Part) -> tuple[object, ...]:
    """What the trim of a part depends on; parts of one size share their paths."""
    return id(part.outline), id(part.holes), part.size, part.bleed, part.role


def _edges(part: Part) -> list[Path]:
    return [part.outline] if part.holes is None else [part.outline, part.holes]


@frozen
class Picture:
    """A face's art with its trim, ready to be placed."""

    art: Symbol
    trim: Trim

    @property
    def scale(self) -> int:
        """The number in 1:n."""
        return self.trim.scale

    @property
    def size(self) -> Size:
        """The size on paper."""
        return self.trim.size

    def at(self, corner: Point) -> tuple[Placement, ...]:
        """The picture with its top-left corner there."""
        inset, scale = self.trim.inset, 1 / self.trim.scale
        x, y = corner.x + inset.x * scale, corner.y + inset.y * scale
        place = Affine(scale, 0.0, 0.0, scale, x, y)
        return Placement(self.art.id, place), Placement(self.trim.symbol.id, place)


class Pictures:
    """The pictures of one paper."""

    def __init__(self, trims: Trims) -> None:
        self.ink = trims.ink
        self._trims = trims
        self._used: dict[str, Symbol] = {}

    def of(self, face: Face, room: Size) -> Picture:
        """The face, on its plate where it has one, at the largest scale that ``room`` takes."""
        trim = self._trims.of(face, room)
        name = f"face-{face.id}-art"
        art = self._used.get(name)
        if art is None:
            art = self._used[name] = Symbol(name, printed_part(face).art, trim.box)
        self._used[trim.symbol.id] = trim.symbol
        return Picture(art, trim)

    def symbols(self) -> dict[str, Symbol]:
        """What the pictures of this paper consist of, each once."""
        return self._used
