"""A marker on an office printer: full size, over as many pages as it takes.

Neighboring strips share an overlap with match marks at its middle, so that they can be laid over
each other and cut through both; a scale bar tells whether the printer kept the size. Where two
strips fit above each other, they share a page.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from layouts.drawing import Affine, Path, Point, Rect, Size, polyline, rectangle
from layouts.drawing.document import Document, Fill, Item, Layer, Page, Placement, Stroke, Symbol
from layouts.drawing.inks import Ink, InkRole, Lab, black_among
from layouts.drawing.typeset import Typesetter
from layouts.face.model import Part
from layouts.markers.gather import Marker
from layouts.pages.strips import OVERLAP, Tile, tiles_of
from layouts.terms.units import MM_PER_INCH
from layouts.terms.values import frozen
from layouts.terms.words import PartRole

_MARGIN = 14.0  # an office printer's unprintable edge and room for the page's own line
_BETWEEN = 18.0  # between two strips on a page: their ticks and a line of text, mm
_TEXT = 2.2
_US_BAR, _METRIC_BAR = 4 * MM_PER_INCH, 100.0
_LETTER_WIDTH = 8.5 * MM_PER_INCH
_PAPER = Ink("Paper", Lab(95.0, 0.0, 0.0), InkRole.PAPER)


@frozen
class _Spread:
    """How a part is spread over pages: their size, its tiles, and how many of them a page takes."""

    page: Size
    tiles: tuple[Tile, ...]
    per_page: int

    @property
    def pages(self) -> int:
        """Pages in all."""
        return math.ceil(len(self.tiles) / self.per_page)


def tile_markers(
    markers: Sequence[Marker], paper: Size, setter: Typesetter, date: str | None
) -> Document:
    """The printed parts of the markers at true size on pages of ``paper``, upright or lying."""
    pages: list[Page] = []
    symbols: dict[str, Symbol] = {}
    for marker in markers:
        for part in marker.face.parts:
            if part.role is PartRole.PLATE:
                continue
            symbol = Symbol(f"face-{marker.id}", part.art, part.box.grown(part.bleed))
            symbols[symbol.id] = symbol
            pages += _pages(marker, part, _spread(part, paper), setter)
    title = " and ".join(dict.fromkeys(marker.plan.name for marker in markers))
    return Document(
        f"tiles-{markers[0].id}",
        title,
        tuple(pages),
        {**symbols, **setter.symbols()},
        date,
        full_size=True,
    )


def _spread(part: Part, paper: Size) -> _Spread:
    """The way of laying the paper that takes the fewest pages, then the fewest cuts; else lying."""
    found = []
    for page in (Size(paper.height, paper.width), paper):
        window = Size(page.width - 2 * _MARGIN, page.height - 2 * _MARGIN)
        tiles = tuple(tiles_of(part, window))
        fit = math.floor((window.height + _BETWEEN) / (part.size.height + _BETWEEN) + 1e-9)
        found.append(_Spread(page, tiles, max(1, fit)))
    return min(found, key=lambda spread: (spread.pages, len(spread.tiles)))


def _pages(marker: Marker, part: Part, spread: _Spread, setter: Typesetter) -> Iterator[Page]:
    black = black_among(shape.ink for shape in part.art)
    numbered = list(enumerate(spread.tiles, start=1))
    for number in range(1, spread.pages + 1):
        first = (number - 1) * spread.per_page
        placed = [
            (which, tile, Point(_MARGIN, _MARGIN + slot * (part.size.height + _BETWEEN)))
            for slot, (which, tile) in enumerate(numbered[first : first + spread.per_page])
        ]
        windows = [Rect(at.x, at.y, tile.box.width, tile.box.height) for _, tile, at in placed]
        items: list[Item] = []
        for _, tile, at in placed:
            moved = Affine.move(at.x - tile.box.x, at.y - tile.box.y)
            items.append(Placement(f"face-{marker.id}", moved))
            items.append(Stroke(part.outline.mapped(moved), black, 0.1))
        items.append(Fill(_frame(spread.page, windows), _PAPER))
        for (which, tile, _), window in zip(placed, windows, strict=True):
            items += _match_marks(tile, window, black)
            if len(spread.tiles) > spread.pages:
                said = f"strip {which} of {len(spread.tiles)}"
                at = Point(window.x + OVERLAP, window.y - 2.0)
                items += setter.line(said, at, _TEXT, black)
        items += _line(marker, number, spread, black, setter)
        box = Rect(0.0, 0.0, spread.page.width, spread.page.height)
        yield Page(
            f"tiles-{marker.id}-{number}",
            f"page {number} of {spread.pages}",
            spread.page,
            box,
            box,
            (Layer("Print", tuple(items)),),
        )


def _frame(page: Size, windows: Sequence[Rect]) -> Path:
    """White over everything outside the windows."""
    path = rectangle(Rect(0.0, 0.0, page.width, page.height))
    for window in windows:
        path = path.joined(rectangle(window).backwards())
    return path


def _match_marks(tile: Tile, window: Rect, black: Ink) -> Iterator[Item]:
    """Ticks beside a window at the middle of every overlap."""
    near = OVERLAP / 2
    xs = [x for x, cut in ((window.x + near, tile.left), (window.right - near, tile.right)) if cut]
    ys = [
        y for y, cut in ((window.y + near, tile.above), (window.bottom - near, tile.below)) if cut
    ]
    ticks = [
        *((Point(x, y), Point(x, y + 6)) for x in xs for y in (window.y - 7, window.bottom + 1)),
        *((Point(x, y), Point(x + 6, y)) for y in ys for x in (window.x - 7, window.right + 1)),
    ]
    for ends in ticks:
        yield Stroke(polyline(ends), black, 0.2)


def _line(
    marker: Marker, number: int, spread: _Spread, black: Ink, setter: Typesetter
) -> Iterator[Item]:
    """What the page is, how to join it, and a bar to measure, below the windows.

    The text ends before the last match mark, which may be in the same margin.
    """
    y = spread.page.height - _MARGIN / 2 + 2.0
    length, name = _bar_of(spread.page)
    bar = Rect(_MARGIN, y - _TEXT / 2, length, 0.3)
    yield Fill(rectangle(bar), black)
    for x in (bar.x, bar.right - 0.3):
        yield Fill(rectangle(Rect(x, y - _TEXT, 0.3, _TEXT)), black)
    text = (
        f"bar: {name}  |  {marker.id} {marker.plan.name}  |  page {number} of {spread.pages}  |  "
        "do not scale: print at 100 %; match the ticks, cut through both  |  temporary"
    )
    room = spread.page.width - bar.right - 3.0 - _MARGIN - OVERLAP / 2 - 2.0
    size = min(_TEXT, room / setter.width(text, 1.0))
    yield from setter.line(text, Point(bar.right + 3.0, y), size, black)


def _bar_of(page: Size) -> tuple[float, str]:
    """The bar to measure: 4 in on letter paper, 100 mm on other sizes."""
    us = any(abs(side - _LETTER_WIDTH) < 0.1 for side in (page.width, page.height))
    return (_US_BAR, "4 in") if us else (_METRIC_BAR, "100 mm")
