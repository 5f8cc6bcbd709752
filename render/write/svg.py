"""Writes SVG: one file per page, in millimeters, with one ``<symbol>`` per placed symbol.

The page's y axis points down in SVG as it does inside, so places are written unchanged. A contour
begins at its place and goes on by relative commands (SVG 1.1 second edition, 8.3), so that all of
its images share their text.
"""

import math
import re
from collections.abc import Iterable, Mapping
from functools import lru_cache, partial

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
    Item,
    Layer,
    Page,
    Placement,
    Shape,
    Step,
    Symbol,
    TextLine,
    symbols_among,
)
from layouts.drawing.inks import Ink, InkRole
from layouts.drawing.memo import Kept
from render.files.numbers import plain
from render.write.traces import Traces

# A half circle's center depends on the last digit of its radius; a quarter's does not.
_WIDEST_ARC = math.pi / 2
_CAP_SHARE = 0.7  # approximate height of capitals as a share of the font size
_HEAD = '<?xml version="1.0" encoding="utf-8"?>\n'
_STEPS = 10_000  # of a millimeter: the four decimals of ``plain``
_MOST_KEPT = 4096  # paths that pages share
_FACTOR_PLACES = 9  # of a matrix' factors: a rotation must stay true over the longest sheet


def write(document: Document) -> tuple[bytes, ...]:
    """One UTF-8 SVG file per page, in the document's order."""
    return tuple(write_page(page, document.symbols) for page in document.pages)


class PathTexts:
    """Path data that files of several pages share; images are written as what they are of."""

    def __init__(self) -> None:
        self._ways = Traces(_way)
        # A method here would be a cycle and outlive the files: the command collects none.
        self._shared = Kept(partial(_path_text, self._ways), most=_MOST_KEPT)

    def of(self, path: Path) -> str:
        """The ``d`` attribute of a path."""
        # A cut is a path of its page only; what has more contours comes again.
        return _path_text(self._ways, path) if path.count == 1 else self._shared.of(path)


def _path_text(ways: Traces[str], path: Path) -> str:
    return "".join(
        f"M{plain(each.start.x)} {plain(each.start.y)}{ways.of(each)[0]}" for each in path.contours
    )


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
    width, height = plain(page.size.width), plain(page.size.height)
    drawing = svgwrite.Drawing(
        size=(f"{width}mm", f"{height}mm"), viewBox=f"0 0 {width} {height}", debug=False
    )
    drawing.set_desc(title=page.title)
    writer = _Writer(drawing, symbols, texts or PathTexts(), names or {})
    placed = symbols_among((item for layer in page.layers for item in layer.items), symbols)
    drawn = "".join(map(writer.symbol, placed))
    groups = "".join(map(writer.group, page.layers))
    if page.texts:
        groups += writer.notes(page.texts)
    before, defs, after = drawing.tostring().partition(_element(drawing.defs))
    text = "".join((_HEAD, before, f"<defs>{drawn}</defs>" if drawn else defs, groups, after))
    return f"{text}\n".encode()


def path_data(path: Path) -> str:
    """The ``d`` attribute of a path."""
    return PathTexts().of(path)


def xml_id(kind: str, name: str) -> str:
    """``kind-name`` as an XML id; characters an id cannot hold become ``_hex_``.

    Two names never become one id: the underscore is escaped too.
    """
    return f"{kind}-" + re.sub(r"[^A-Za-z0-9.-]", lambda match: f"_{ord(match[0]):x}_", name)


class _Writer:
    """Writes the parts of a page: frames by svgwrite, and within them paths as text.

    A path through an object of svgwrite and one of XML takes ten times as long.
    """

    def __init__(
        self,
        drawing: svgwrite.Drawing,
        symbols: Mapping[str, Symbol],
        texts: PathTexts,
        names: Mapping[Step, str],
    ) -> None:
        self._drawing, self._symbols, self._texts, self._names = drawing, symbols, texts, names

    def symbol(self, symbol: Symbol) -> str:
        """A symbol for the page's definitions."""
        # It is clipped to its viewport unless it says otherwise, and ours may lie around zero.
        element = self._drawing.symbol(id=xml_id("symbol", symbol.id), overflow="visible")
        return _element(element, self._items((*symbol.shapes, *symbol.within())))

    def group(self, layer: Layer) -> str:
        """A layer."""
        group = self._drawing.g(id=xml_id("layer", layer.name))
        group["data-layer"] = layer.name
        if layer.step:
            group["data-layer"] = self._names.get(layer.step, layer.name)
            group["data-group"] = layer.step.group
            if layer.step.kind:
                group["data-type"] = layer.step.kind
        return _element(group, self._items(layer.items))

    def notes(self, lines: Iterable[TextLine]) -> str:
        """Notes as text in the viewer's own font."""
        group = self._drawing.g(id=xml_id("layer", Step.NOTES.title))
        group["data-layer"] = self._names.get(Step.NOTES, Step.NOTES.title)
        group["data-group"] = Step.NOTES.group
        for line in lines:
            at = (plain(line.at.x), plain(line.at.y))
            size = plain(line.size / _CAP_SHARE)
            group.add(self._drawing.text(line.text, insert=at, font_size=size))
        return _element(group)

    def _items(self, items: Iterable[Item]) -> str:
        return "".join(
            [
                self._use(item) if isinstance(item, Placement) else self._shape(item)
                for item in items
            ]
        )

    def _use(self, placement: Placement) -> str:
        attributes = {"transform": _matrix(placement.at)} if placement.at != IDENTITY else {}
        if placement.ink:
            color = _color(placement.ink)
            for symbol in symbols_among((placement,), self._symbols):
                for shape in symbol.shapes:
                    if shape.ink is None:
                        attributes["fill" if isinstance(shape, Fill) else "stroke"] = color
        name = xml_id("symbol", placement.symbol)
        return _element(self._drawing.use(f"#{name}", **attributes))

    def _shape(self, shape: Shape) -> str:
        return f'<path d="{self._texts.of(shape.path)}" {_paint(shape)} />'


def _element(element: BaseElement, content: str = "") -> str:
    """An element of svgwrite as text, with more text inside it where it has none."""
    text: str = element.tostring()
    if not content:
        return text
    return f"{text.removesuffix(' />')}>{content}</{element.elementname}>"


def _paint(shape: Shape) -> str:
    """The attributes of a path. Without ink it inherits a color; the other paint is always off."""
    if isinstance(shape, Fill):
        return f'fill="{_color(shape.ink)}" stroke="none"' if shape.ink else 'stroke="none"'
    return _line(shape.ink, shape.width, shape.dash)


@lru_cache(maxsize=256)
def _line(ink: Ink | None, width: float, dash: tuple[float, ...]) -> str:
    attributes = {
        "stroke": _color(ink) if ink else "",
        "stroke-dasharray": " ".join(map(plain, dash)),
        "stroke-width": plain(width),
    }
    told = (f' {name}="{value}"' for name, value in attributes.items() if value)
    return f'fill="none"{"".join(told)}'


@lru_cache(maxsize=256)
def _color(ink: Ink) -> str:
    return "#ffffff" if ink.role is InkRole.PAPER else ink.preview


def _matrix(at: Affine) -> str:
    if (at.a, at.b, at.c, at.d) == (1, 0, 0, 1):
        return f"translate({plain(at.e)} {plain(at.f)})"
    factors = (plain(value, _FACTOR_PLACES) for value in (at.a, at.b, at.c, at.d))
    return f"matrix({' '.join((*factors, plain(at.e), plain(at.f)))})"


def _way(contour: Contour) -> str:
    """What follows a contour's first command."""
    pen, at = _Pen(contour.start), contour.start
    for segment in contour.segments:
        match segment:
            case Line(end):
                pen.draw("l", end)
            case Cubic(one, two, end):
                pen.draw("c", one, two, end)
            case Arc():
                _draw_arc(pen, at, segment)
        at = segment.end
    return "".join(pen.commands) + ("Z" if contour.closed else "")


class _Pen:
    """Writes relative commands. It counts whole steps from the start, so no rounding adds up."""

    def __init__(self, start: Point) -> None:
        self._start = start
        self._at = (0, 0)
        self.commands: list[str] = []

    def draw(self, command: str, *points: Point) -> None:
        """Add a command through some points, to the last of them."""
        x, y = self._at
        places = [self._steps(point) for point in points]
        numbers = [each for to in places for each in (to[0] - x, to[1] - y)]
        self.commands.append(command + " ".join([plain(each / _STEPS) for each in numbers]))
        self._at = places[-1]

    def is_at(self, point: Point) -> bool:
        """Whether a point is written as the place where the pen is."""
        return self._steps(point) == self._at

    def _steps(self, point: Point) -> tuple[int, int]:
        start = self._start
        return round((point.x - start.x) * _STEPS), round((point.y - start.y) * _STEPS)


def _draw_arc(pen: _Pen, start: Point, arc: Arc) -> None:
    """Arcs of at most a quarter."""
    shape = _arc_by_ends(round(arc.end.x - start.x, 6), round(arc.end.y - start.y, 6), arc.bulge)
    pieces = max(1, math.ceil(abs(shape.sweep) / _WIDEST_ARC - 1e-9))
    radius, sweep_flag = plain(shape.radius), int(shape.sweep > 0)
    for piece in range(1, pieces + 1):
        end = arc.end
        if piece < pieces:
            way = shape.at(piece / pieces)
            end = Point(start.x + way.x, start.y + way.y)
        # An arc without a radius or a chord is ignored (SVG 1.1, F.6.2).
        if radius != "0" and not pen.is_at(end):
            pen.draw(f"a{radius} {radius} 0 0 {sweep_flag} ", end)


@lru_cache(maxsize=4096)
def _arc_by_ends(dx: float, dy: float, bulge: float) -> ArcShape:
    """An arc from (0, 0) to (dx, dy), to a nanometer: corners often repeat on a sheet."""
    return arc_shape(Point(0.0, 0.0), Arc(Point(dx, dy), bulge))
