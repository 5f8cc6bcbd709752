"""Writes SVG: one file per page, in millimeters, with one ``<symbol>`` per placed symbol.

The page's y axis points down in SVG as it does inside, so coordinates are written unchanged. Arcs
are written as ``A`` commands (SVG 1.1 second edition, 8.3.8).
"""

import math
import re
from collections.abc import Iterable, Mapping
from functools import lru_cache
from typing import TypeAlias

import svgwrite
from svgwrite.base import BaseElement

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

# svgwrite has no types; its elements are only nested, never inspected.
_Element: TypeAlias = BaseElement
PathTexts: TypeAlias = Kept[Path, str]


def write(document: Document) -> tuple[bytes, ...]:
    """One UTF-8 SVG file per page, in the document's order."""
    return tuple(write_page(page, document.symbols) for page in document.pages)


def path_texts() -> PathTexts:
    """Path data shared by files of several pages, made once for each shared path."""
    return Kept(path_data, most=_MOST_KEPT)


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
    width, height = plain(page.size.width), plain(page.size.height)
    drawing = svgwrite.Drawing(
        size=(f"{width}mm", f"{height}mm"), viewBox=f"0 0 {width} {height}", debug=False
    )
    drawing.set_desc(title=page.title)
    items = [item for layer in page.layers for item in layer.items]
    for symbol in symbols_among(items, symbols):
        drawing.defs.add(_symbol(drawing, symbol, symbols, texts))
    for layer in page.layers:
        drawing.add(_group(drawing, layer, symbols, texts, names or {}))
    if page.texts:
        drawing.add(_notes(drawing, page.texts, (names or {}).get(Step.NOTES, Step.NOTES.title)))
    return b'<?xml version="1.0" encoding="utf-8"?>\n' + str(drawing.tostring()).encode() + b"\n"


def path_data(path: Path) -> str:
    """The ``d`` attribute of a path."""
    return "".join(part for contour in path.contours for part in _commands(contour))


def xml_id(kind: str, name: str) -> str:
    """``kind-name`` as an XML id; characters an id cannot hold become ``_hex_``.

    Two names never become one id: the underscore is escaped too.
    """
    return f"{kind}-" + re.sub(r"[^A-Za-z0-9.-]", lambda match: f"_{ord(match[0]):x}_", name)


def _symbol(
    drawing: svgwrite.Drawing, symbol: Symbol, symbols: Mapping[str, Symbol], texts: PathTexts
) -> _Element:
    # A symbol is clipped to its viewport unless it says otherwise, and ours may lie around zero.
    element = drawing.symbol(id=xml_id("symbol", symbol.id), overflow="visible")
    for shape in symbol.shapes:
        element.add(_shape(drawing, shape, texts))
    for item in symbol.within():
        element.add(_use(drawing, item, symbols))
    return element


def _notes(drawing: svgwrite.Drawing, lines: Iterable[TextLine], title: str) -> _Element:
    """Notes as text in the viewer's own font."""
    group = drawing.g(id=xml_id("layer", Step.NOTES.title))
    group["data-layer"] = title
    group["data-group"] = Step.NOTES.group
    for line in lines:
        at = (plain(line.at.x), plain(line.at.y))
        group.add(drawing.text(line.text, insert=at, font_size=plain(line.size / _CAP_SHARE)))
    return group


def _group(
    drawing: svgwrite.Drawing,
    layer: Layer,
    symbols: Mapping[str, Symbol],
    texts: PathTexts,
    names: Mapping[Step, str],
) -> _Element:
    group = drawing.g(id=xml_id("layer", layer.name))
    group["data-layer"] = names.get(layer.step, layer.name) if layer.step else layer.name
    if layer.step:
        group["data-group"] = layer.step.group
        if layer.step.kind:
            group["data-type"] = layer.step.kind
    for item in layer.items:
        if isinstance(item, Placement):
            group.add(_use(drawing, item, symbols))
        else:
            group.add(_shape(drawing, item, texts))
    return group


def _use(
    drawing: svgwrite.Drawing, placement: Placement, symbols: Mapping[str, Symbol]
) -> _Element:
    attributes = {"transform": _matrix(placement.at)} if placement.at != IDENTITY else {}
    if placement.ink:
        color = _color(placement.ink)
        for symbol in symbols_among((placement,), symbols):
            for shape in symbol.shapes:
                if shape.ink is None:
                    attributes["fill" if isinstance(shape, Fill) else "stroke"] = color
    return drawing.use(f"#{xml_id('symbol', placement.symbol)}", **attributes)


def _shape(drawing: svgwrite.Drawing, shape: Shape, texts: PathTexts) -> _Element:
    """A path. A part without ink inherits its color; the other paint is always off."""
    if isinstance(shape, Fill):
        attributes = {"stroke": "none"}
        if shape.ink:
            attributes["fill"] = _color(shape.ink)
    else:
        attributes = {"fill": "none", "stroke-width": plain(shape.width)} | _dash(shape)
        if shape.ink:
            attributes["stroke"] = _color(shape.ink)
    element = drawing.path(d=texts.of(shape.path))
    for name, value in attributes.items():
        element[name] = value
    return element


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


def _arcs(start: Point, arc: Arc) -> Iterable[str]:
    shape = _arc_by_ends(round(arc.end.x - start.x, 6), round(arc.end.y - start.y, 6), arc.bulge)
    pieces = max(1, math.ceil(abs(shape.sweep) / _WIDEST_ARC - 1e-9))
    radius, sweep_flag = plain(shape.radius), int(shape.sweep > 0)
    written = f"{plain(start.x)} {plain(start.y)}"
    for piece in range(1, pieces + 1):
        end = arc.end
        if piece < pieces:
            way = shape.at(piece / pieces)
            end = Point(start.x + way.x, start.y + way.y)
        place = f"{plain(end.x)} {plain(end.y)}"
        # An A command without a radius or a chord is ignored (SVG 1.1, F.6.2).
        if place != written and radius != "0":
            yield f"A{radius} {radius} 0 0 {sweep_flag} {place}"
            written = place


@lru_cache(maxsize=4096)
def _arc_by_ends(dx: float, dy: float, bulge: float) -> ArcShape:
    """An arc from (0, 0) to (dx, dy), to a nanometer: corners often repeat on a sheet."""
    return arc_shape(Point(0.0, 0.0), Arc(Point(dx, dy), bulge))
