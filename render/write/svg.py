"""Writes SVG: one file per page, in millimeters, with one ``<symbol>`` per placed symbol.

The page's y axis points down in SVG as it does inside, so coordinates are written unchanged. Arcs
are written as ``A`` commands (SVG 1.1 second edition, 8.3.8).
"""

import math
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from xml.sax.saxutils import escape, quoteattr

from layouts.drawing import (
    IDENTITY,
    Affine,
    Arc,
    ArcShape,
    Contour,
    Cubic,
    Line,
    Path,
    Point,
    arc_shape,
)
from layouts.drawing.document import (
    Document,
    Fill,
    Layer,
    Page,
    Placement,
    Shape,
    Step,
    Stroke,
    Symbol,
    TextLine,
    symbols_among,
)
from layouts.drawing.inks import Ink, InkRole
from layouts.drawing.memo import Kept
from render.files.numbers import plain

# A half circle's center depends on the last digit of its radius; a quarter's does not.
_WIDEST_ARC = math.pi / 2
_CAP_SHARE = 0.7  # approximate height of capitals as a share of the font size
_MOST_KEPT = 4096  # paths that pages share
_FACTOR_PLACES = 9  # of a matrix' factors: a rotation must stay true over the longest sheet

_APART = 2e-4  # mm; points farther apart are never written as equal
_MOST_KEPT = 4096  # paths that pages share
_HEAD = (
    '<?xml version="1.0" encoding="utf-8"?>\n<svg baseProfile="full" height="{height}mm" '
    'version="1.1" viewBox="0 0 {width} {height}" width="{width}mm" '
    'xmlns="http://www.w3.org/2000/svg" xmlns:ev="http://www.w3.org/2001/xml-events" '
    'xmlns:xlink="http://www.w3.org/1999/xlink">'
)


def write(document: Document) -> tuple[bytes, ...]:
    """One UTF-8 SVG file per page, in the document's order."""
    return tuple(write_page(page, document.symbols) for page in document.pages)


class PathTexts:
    """Path data shared by files of several pages.

    Paths that pages share are written once; cut contours are images of few contours, and only
    their places differ.
    """

    def __init__(self) -> None:
        self._texts = Kept(path_data, most=_MOST_KEPT)
        self._traces: dict[tuple[float, ...], tuple[Contour, _Trace | None]] = {}

    def of(self, path: Path) -> str:
        """The ``d`` attribute of a path."""
        image = None
        if not path.parts and path.count == 1:
            image = path.contours[0].image_of
        if image is None:
            return self._texts.of(path)
        first, at = image
        key = (id(first), at.a, at.b, at.c, at.d)
        known = self._traces.get(key)
        if known is None:
            # The contour is kept, so that its identity stays its own.
            known = self._traces[key] = (first, _trace(first.mapped(Affine(*key[1:]))))
        return self._texts.of(path) if known[1] is None else known[1].moved(at.e, at.f)


def path_texts() -> PathTexts:
    """Path data shared by files of several pages, made once for each shared path."""
    return PathTexts()


def write_page(
    page: Page,
    symbols: Mapping[str, Symbol],
    texts: PathTexts | None = None,
    names: Mapping[Step, str] | None = None,
) -> bytes:
    """One page as an SVG file; it contains only the symbols that it places.

    ``names`` are the layer names that a machine expects, by step.

    Raises:
        KeyError: the page places a symbol that is not among ``symbols``.
    """
    texts = texts or path_texts()
    items = [item for layer in page.layers for item in layer.items]
    defined = [_symbol(each, symbols, texts) for each in symbols_among(items, symbols)]
    parts = [
        _HEAD.format(width=plain(page.size.width), height=plain(page.size.height)),
        _element("title", {}, escape(page.title)),
        _element("defs", {}, "".join(defined)),
        *(_group(layer, symbols, texts, names or {}) for layer in page.layers),
    ]
    if page.texts:
        parts.append(_notes(page.texts, (names or {}).get(Step.NOTES, Step.NOTES.title)))
    parts.append("</svg>\n")
    return "".join(parts).encode()


def path_data(path: Path) -> str:
    """The ``d`` attribute of a path."""
    return "".join(part for contour in path.contours for part in _commands(contour))


def xml_id(kind: str, name: str) -> str:
    """``kind-name`` as an XML id; characters an id cannot hold become ``_hex_``.

    Two names never become one id: the underscore is escaped too.
    """
    return f"{kind}-" + re.sub(r"[^A-Za-z0-9.-]", lambda match: f"_{ord(match[0]):x}_", name)


def _element(name: str, attributes: Mapping[str, str], inside: str = "") -> str:
    """An element with its attributes in order of their names, and what is written inside it."""
    told = "".join([f" {key}={quoteattr(value)}" for key, value in sorted(attributes.items())])
    return f"<{name}{told}>{inside}</{name}>" if inside else f"<{name}{told} />"


def _symbol(symbol: Symbol, symbols: Mapping[str, Symbol], texts: PathTexts) -> str:
    shapes = [_shape(shape, texts) for shape in symbol.shapes]
    placed = [_use(item, symbols) for item in symbol.within()]
    # A symbol is clipped to its viewport unless it says otherwise, and ours may lie around zero.
    attributes = {"id": xml_id("symbol", symbol.id), "overflow": "visible"}
    return _element("symbol", attributes, "".join((*shapes, *placed)))


def _notes(lines: Iterable[TextLine], title: str) -> str:
    """Notes as text in the viewer's own font."""
    attributes = {
        "id": xml_id("layer", Step.NOTES.title),
        "data-layer": title,
        "data-group": Step.NOTES.group,
    }
    texts = [
        _element(
            "text",
            {
                "x": plain(line.at.x),
                "y": plain(line.at.y),
                "font-size": plain(line.size / _CAP_SHARE),
            },
            escape(line.text),
        )
        for line in lines
    ]
    return _element("g", attributes, "".join(texts))


def _group(
    layer: Layer, symbols: Mapping[str, Symbol], texts: PathTexts, names: Mapping[Step, str]
) -> str:
    title = names.get(layer.step, layer.name) if layer.step else layer.name
    attributes = {"id": xml_id("layer", layer.name), "data-layer": title}
    if layer.step:
        attributes["data-group"] = layer.step.group
        if layer.step.kind:
            attributes["data-type"] = layer.step.kind
    items = [
        _use(item, symbols) if isinstance(item, Placement) else _shape(item, texts)
        for item in layer.items
    ]
    return _element("g", attributes, "".join(items))


def _use(placement: Placement, symbols: Mapping[str, Symbol]) -> str:
    attributes = {"transform": _matrix(placement.at)} if placement.at != IDENTITY else {}
    if placement.ink:
        color = _color(placement.ink)
        for symbol in symbols_among((placement,), symbols):
            for shape in symbol.shapes:
                if shape.ink is None:
                    attributes["fill" if isinstance(shape, Fill) else "stroke"] = color
    attributes["xlink:href"] = f"#{xml_id('symbol', placement.symbol)}"
    return _element("use", attributes)


def _shape(shape: Shape, texts: PathTexts) -> str:
    """A path. A part without ink inherits its color; the other paint is always off."""
    if isinstance(shape, Fill):
        attributes = {"stroke": "none"}
        if shape.ink:
            attributes["fill"] = _color(shape.ink)
    else:
        attributes = {"fill": "none", "stroke-width": plain(shape.width)} | _dash(shape)
        if shape.ink:
            attributes["stroke"] = _color(shape.ink)
    attributes["d"] = texts.of(shape.path)
    return _element("path", attributes)


def _dash(stroke: Stroke) -> dict[str, str]:
    return {"stroke-dasharray": " ".join(map(plain, stroke.dash))} if stroke.dash else {}


def _color(ink: Ink) -> str:
    return "#ffffff" if ink.role is InkRole.PAPER else ink.preview


def _matrix(at: Affine) -> str:
    if (at.a, at.b, at.c, at.d) == (1, 0, 0, 1):
        return f"translate({plain(at.e)} {plain(at.f)})"
    factors = (plain(value, _FACTOR_PLACES) for value in (at.a, at.b, at.c, at.d))
    return f"matrix({' '.join((*factors, plain(at.e), plain(at.f)))})"


def _commands(contour: Contour) -> Iterable[str]:
    yield f"M{plain(contour.start.x)} {plain(contour.start.y)}"
    at = contour.start
    for segment in contour.segments:
        match segment:
            case Line(end):
                yield f"L{plain(end.x)} {plain(end.y)}"
            case Cubic(one, two, end):
                numbers = (one.x, one.y, two.x, two.y, end.x, end.y)
                yield "C" + " ".join(map(plain, numbers))
            case Arc():
                yield from _arcs(at, segment)
        at = segment.end
    if contour.closed:
        yield "Z"


@dataclass(frozen=True, slots=True)
class _Trace:
    """Path data with gaps for the places of its points, which are in mm and not yet moved."""

    text: str
    points: tuple[Point, ...]

    def moved(self, dx: float, dy: float) -> str:
        """The data of the image that is shifted so."""
        numbers: list[str] = []
        for point in self.points:
            numbers.append(plain(point.x + dx))
            numbers.append(plain(point.y + dy))
        return self.text % tuple(numbers)


def _trace(contour: Contour) -> _Trace | None:
    """The trace of a contour; None if it has cubics, or points that may be written as one."""
    text, points = ["M%s %s"], [contour.start]
    for segment in contour.segments:
        if isinstance(segment, Cubic):
            return None
        ends, command = [segment.end], "L%s %s"
        if isinstance(segment, Arc):
            at = points[-1]
            shape, ways = _pieces(at, segment)
            command = (
                f"A{plain(shape.radius)} {plain(shape.radius)} 0 0 {int(shape.sweep > 0)} %s %s"
            )
            ends = [*(Point(at.x + way.x, at.y + way.y) for way in ways), segment.end]
        text += [command] * len(ends)
        points += ends
    if any(one.distance(other) < _APART for one, other in pairwise(points)):
        return None
    return _Trace("".join([*text, "Z" if contour.closed else ""]), tuple(points))


def _arcs(start: Point, arc: Arc) -> Iterable[str]:
    shape, ways = _pieces(start, arc)
    radius, sweep_flag = plain(shape.radius), int(shape.sweep > 0)
    written = f"{plain(start.x)} {plain(start.y)}"
    for end in (*(Point(start.x + way.x, start.y + way.y) for way in ways), arc.end):
        place = f"{plain(end.x)} {plain(end.y)}"
        # An A command without a radius or a chord is ignored (SVG 1.1, F.6.2).
        if place != written and radius != "0":
            yield f"A{radius} {radius} 0 0 {sweep_flag} {place}"
            written = place


def _pieces(start: Point, arc: Arc) -> tuple[ArcShape, Iterator[Point]]:
    """An arc's circle, and where its pieces but the last end, from its start."""
    shape = _arc_by_ends(round(arc.end.x - start.x, 6), round(arc.end.y - start.y, 6), arc.bulge)
    pieces = max(1, math.ceil(abs(shape.sweep) / _WIDEST_ARC - 1e-9))
    return shape, (shape.at(piece / pieces) for piece in range(1, pieces))


@lru_cache(maxsize=4096)
def _arc_by_ends(dx: float, dy: float, bulge: float) -> ArcShape:
    """An arc from (0, 0) to (dx, dy), to a nanometer: corners often repeat on a sheet."""
    return arc_shape(Point(0.0, 0.0), Arc(Point(dx, dy), bulge))
