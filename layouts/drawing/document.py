"""The input of every writer: pages of solid paths on named layers, without text or meaning.

A document holds symbols, drawn once, and pages whose layers hold shapes and placements of
symbols. Writers know nothing about markers: they turn a document into bytes.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from enum import Enum
from typing import TypeAlias

from layouts.drawing import Affine, Path, Point, Rect, Size
from layouts.drawing.inks import Ink
from layouts.drawing.lettering import Typeface
from layouts.terms.values import frozen


class Step(Enum):
    """A processing step by ISO 19593-1:2018, group and type.

    Names as listed in the Arlington PDF model's ``GTS_Metadata`` table. Notes, sizes and white
    carry no type, since a type there is an error of the standard.
    """

    KISS_CUT = "Structural", "PartialCutting"
    THROUGH_CUT = "Structural", "Cutting"
    HOLE = "Structural", "Drilling"
    FOLD = "Structural", "Creasing"
    ENGRAVE = "Structural", "Debossing"  # sunk lettering; the standard has no closer type
    SIZES = "Dimensions", ""
    NOTES = "Legend", ""
    WHITE = "White", ""
    MARKS = "Positions", "CodingMarking"

    def __init__(self, group: str, kind: str) -> None:
        self.group = group
        self.kind = kind

    @property
    def title(self) -> str:
        """The most telling of the two names: the kind, else the group."""
        return self.kind or self.group

    @property
    def is_cut(self) -> bool:
        """Whether a knife, mill or drill follows the lines."""
        return self in CUTS


# In a layer's name (DXF Reference, symbol tables); a line break would end its group.
FORBIDDEN_IN_LAYERS = frozenset('<>/\\":;?*|=`,') | frozenset(map(chr, range(32)))
CUTS = frozenset({Step.KISS_CUT, Step.THROUGH_CUT, Step.HOLE})


class Drawn(Enum):
    """What a fill is on a face: an area, or a letter or rule, which engraving cuts."""

    AREA = "area"
    LETTER = "letter"  # words, figures and arrows
    RULE = "rule"  # a frame; what shows of it is its edge around the fill over it


@frozen
class Fill:
    """A filled path. Without an ink it takes the ink of its placement."""

    path: Path
    ink: Ink | None
    overprint: bool = False
    drawn: Drawn = Drawn.AREA


@frozen
class Stroke:
    """A stroked path; ``width`` and ``dash`` in mm. Without an ink: that of its placement."""

    path: Path
    ink: Ink | None
    width: float
    dash: tuple[float, ...] = ()
    overprint: bool = False


Shape: TypeAlias = Fill | Stroke


@frozen
class Placement:
    """One use of a symbol; ``ink`` colors those of its shapes that have none."""

    symbol: str
    at: Affine
    ink: Ink | None = None


@frozen
class Wording:
    """A line of text whose typeface can be embedded: its baseline begins at (0, 0).

    ``size`` is its cap height in mm. ``pieces`` are strings with the kerning behind each in cap
    heights.
    """

    typeface: Typeface
    size: float
    pieces: tuple[tuple[str, float], ...]

    def letters(self) -> Iterator[tuple[float, str]]:
        """The x of each glyph with its symbol, for files without fonts."""
        x = 0.0
        for text, kern in self.pieces:
            for char in text:
                glyph = self.typeface.glyph(char)
                if glyph is not None and glyph.path.contours:
                    yield x * self.size, glyph_symbol(self.typeface, char)
                x += glyph.advance if glyph is not None else 0.0
            x += kern


def glyph_symbol(typeface: Typeface, char: str) -> str:
    """The symbol id of a character's outline."""
    return f"g-{typeface.key}-{ord(char):x}"


@frozen
class Symbol:
    """Shapes drawn once and placed by reference; the id is unique in the document.

    ``placed`` are other symbols within this one, drawn after its shapes in the ink that its own
    placement gives: the letters of a word. They place nothing themselves. A symbol that is
    ``wording`` has nothing else.
    """

    id: str
    shapes: tuple[Shape, ...]
    bounds: Rect
    placed: tuple[Placement, ...] = ()
    wording: Wording | None = None

    def within(self) -> tuple[Placement, ...]:
        """What is placed within it, the letters of its wording included."""
        if self.wording is None:
            return self.placed
        return tuple(Placement(letter, Affine.move(x, 0.0)) for x, letter in self.wording.letters())


Item: TypeAlias = Shape | Placement


def _is_wording(item: Item, symbols: Mapping[str, Symbol]) -> bool:
    return isinstance(item, Placement) and symbols[item.symbol].wording is not None


def symbols_among(items: Iterable[Item], symbols: Mapping[str, Symbol]) -> Iterator[Symbol]:
    """Every symbol that the items place, and the symbols within those, once each."""
    placed = dict.fromkeys(item.symbol for item in items if isinstance(item, Placement))
    within = (item.symbol for name in placed for item in symbols[name].within())
    return (symbols[name] for name in dict.fromkeys((*placed, *within)))


def outlines_of(symbol: Symbol, symbols: Mapping[str, Symbol]) -> Iterator[Path]:
    """The paths of all that a symbol draws, in its own coordinates."""
    yield from (shape.path for shape in symbol.shapes)
    for item in symbol.within():
        yield from (shape.path.mapped(item.at) for shape in symbols[item.symbol].shapes)


@frozen
class Layer:
    """Items in painting order. ``step`` is None for artwork that prints."""

    name: str
    items: tuple[Item, ...]
    step: Step | None = None


@frozen
class TextLine:
    """A line of a page's notes as text: its baseline's left end and its cap height, mm."""

    text: str
    at: Point
    size: float


@frozen
class Page:
    """One sheet. ``size`` is the media; ``trim`` and ``bleed`` lie inside it.

    ``texts`` says what the layer of notes says, for files that may hold text.
    """

    id: str
    title: str
    size: Size
    trim: Rect
    bleed: Rect
    layers: tuple[Layer, ...]
    texts: tuple[TextLine, ...] = ()


@frozen
class Document:
    """Pages and the symbols they place.

    ``date`` is an ISO 8601 day or instant, or None where neither the order nor the
    environment gave one. ``full_size`` tells viewers not to scale the pages when they print.
    """

    id: str
    title: str
    pages: tuple[Page, ...]
    symbols: Mapping[str, Symbol]
    date: str | None = None
    full_size: bool = False

    def inks(self) -> tuple[Ink, ...]:
        """Every ink in use, once, in order of first use."""
        seen: dict[str, Ink] = {}
        for ink in self.ink_uses():
            seen.setdefault(ink.name, ink)
        return tuple(seen.values())

    def ink_uses(self) -> Iterator[Ink]:
        """The ink of every item and of every shape of the symbols in use."""
        items = [item for page in self.pages for layer in page.layers for item in layer.items]
        yield from (item.ink for item in items if item.ink is not None)
        told = [item for item in items if not _is_wording(item, self.symbols)]
        for symbol in symbols_among(told, self.symbols):
            yield from (shape.ink for shape in symbol.shapes if shape.ink is not None)
