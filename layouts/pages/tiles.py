"""A marker on an office printer: full size, over as many pages as it takes.

Neighboring pages share an overlap with match marks at its middle, so that they can be laid over
each other and cut through both; a scale bar tells whether the printer kept the size.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from layouts.drawing import Affine, Path, Point, Rect, Size, polyline, rectangle
from layouts.drawing.document import Document, Fill, Item, Layer, Page, Placement, Stroke, Symbol
from layouts.drawing.inks import Ink, InkRole, Lab, black_among
from layouts.drawing.typeset import Typesetter
from layouts.face.model import Part
from layouts.markers.gather import Marker
from layouts.terms.units import MM_PER_INCH
from layouts.terms.words import PartRole

OVERLAP = 12.0  # shared by two neighboring pages, mm
_MARGIN = 14.0  # an office printer's unprintable edge and room for the page's own line
_TEXT = 2.2
_US_BAR, _METRIC_BAR = 4 * MM_PER_INCH, 100.0
_LETTER_WIDTH = 8.5 * MM_PER_INCH
_PAPER = Ink("Paper", Lab(95.0, 0.0, 0.0), InkRole.PAPER)


@dataclass(frozen=True, slots=True)
class _Grid:
    """How a part is spread over pages: their size, and columns and rows of windows."""

    page: Size
    columns: int
    rows: int

    @property
    def window(self) -> Size:
        """What one page shows."""
        return Size(self.page.width - 2 * _MARGIN, self.page.height - 2 * _MARGIN)

    @property
    def pages(self) -> int:
        """Pages in all."""
        return self.columns * self.rows


def tiled(markers: Sequence[Marker], paper: Size, setter: Typesetter, date: str | None) -> Document:
    """The printed parts of the markers at true size on pages of ``paper``, upright or lying."""
    pages: list[Page] = []
    symbols: dict[str, Symbol] = {}
    for marker in markers:
        for part in marker.face.parts:
            if part.role is PartRole.PLATE:
                continue
            symbol = Symbol(f"face-{marker.id}", part.art, part.box.grown(part.bleed))
            symbols[symbol.id] = symbol
            pages += _pages(marker, part, _grid(part.size, paper), setter)
    title = " and ".join(dict.fromkeys(marker.plan.name for marker in markers))
    return Document(
        f"tiles-{markers[0].id}",
        title,
        tuple(pages),
        {**symbols, **setter.symbols()},
        date,
        full_size=True,
    )


def _grid(size: Size, paper: Size) -> _Grid:
    """The way of laying the paper that takes the fewest pages; lying where both take as many."""
    lying = _Grid(Size(paper.height, paper.width), 1, 1)
    upright = _Grid(paper, 1, 1)
    spread = [
        _Grid(
            grid.page,
            _count(size.width, grid.window.width),
            _count(size.height, grid.window.height),
        )
        for grid in (lying, upright)
    ]
    return min(spread, key=lambda grid: grid.pages)


def _count(length: float, window: float) -> int:
    """Windows that cover a length, each sharing the overlap with the next."""
    return max(1, math.ceil((length - OVERLAP) / (window - OVERLAP) - 1e-9))


def _pages(marker: Marker, part: Part, grid: _Grid, setter: Typesetter) -> Iterator[Page]:
    black = black_among(shape.ink for shape in part.art)
    step_x, step_y = grid.window.width - OVERLAP, grid.window.height - OVERLAP
    for row in range(grid.rows):
        for column in range(grid.columns):
            number = row * grid.columns + column + 1
            corner = Point(column * step_x, row * step_y)
            at = Affine.move(_MARGIN - corner.x, _MARGIN - corner.y)
            items: tuple[Item, ...] = (
                Placement(f"face-{marker.id}", at),
                Stroke(part.outline.mapped(at), black, 0.1),
                Fill(_frame(grid), _PAPER),
                *_match_marks(row, column, grid, black),
                *_line(marker, number, grid, black, setter),
            )
            box = Rect(0.0, 0.0, grid.page.width, grid.page.height)
            yield Page(
                f"tiles-{marker.id}-{number}",
                f"page {number} of {grid.pages}",
                grid.page,
                box,
                box,
                (Layer("Print", items),),
            )


def _frame(grid: _Grid) -> Path:
    """White over the margins around the window."""
    page = Rect(0.0, 0.0, grid.page.width, grid.page.height)
    window = Rect(_MARGIN, _MARGIN, grid.window.width, grid.window.height)
    return rectangle(page).joined(rectangle(window).backwards())


def _match_marks(row: int, column: int, grid: _Grid, black: Ink) -> Iterator[Item]:
    """Ticks in the margin at the middle of every overlap."""
    width, height = grid.page.width, grid.page.height
    near, far = _MARGIN + OVERLAP / 2, OVERLAP / 2 + _MARGIN
    xs = [x for x, there in ((near, column > 0), (width - far, column < grid.columns - 1)) if there]
    ys = [y for y, there in ((near, row > 0), (height - far, row < grid.rows - 1)) if there]
    ticks = [
        *((Point(x, y), Point(x, y + 6)) for x in xs for y in (_MARGIN - 7, height - _MARGIN + 1)),
        *((Point(x, y), Point(x + 6, y)) for y in ys for x in (_MARGIN - 7, width - _MARGIN + 1)),
    ]
    for ends in ticks:
        yield Stroke(polyline(ends), black, 0.2)


def _line(
    marker: Marker, number: int, grid: _Grid, black: Ink, setter: Typesetter
) -> Iterator[Item]:
    """What the page is, how to join it, and a bar to measure, below the window.

    The text ends before the last match mark, which is in the same margin.
    """
    y = grid.page.height - _MARGIN / 2 + 2.0
    length, name = _bar_of(grid.page)
    bar = Rect(_MARGIN, y - _TEXT / 2, length, 0.3)
    yield Fill(rectangle(bar), black)
    for x in (bar.x, bar.right - 0.3):
        yield Fill(rectangle(Rect(x, y - _TEXT, 0.3, _TEXT)), black)
    text = (
        f"bar: {name}  |  {marker.id} {marker.plan.name}  |  page {number} of {grid.pages}  |  "
        "do not scale: print at 100 %; match the ticks, cut through both  |  temporary"
    )
    room = grid.page.width - bar.right - 3.0 - _MARGIN - OVERLAP / 2 - 2.0
    size = min(_TEXT, room / setter.width(text, 1.0))
    yield from setter.line(text, Point(bar.right + 3.0, y), size, black)


def _bar_of(page: Size) -> tuple[float, str]:
    """The bar to measure: 4 in on letter paper, 100 mm on other sizes."""
    us = any(abs(side - _LETTER_WIDTH) < 0.1 for side in (page.width, page.height))
    return (_US_BAR, "4 in") if us else (_METRIC_BAR, "100 mm")
