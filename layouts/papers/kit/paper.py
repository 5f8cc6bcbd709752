"""Paper that goes with an order: letter-size pages with running lines, headings and tables.

A paper is filled from top to bottom. What must stay together is a block: it is drawn at the current
position, or redrawn at the head of a new page if it does not fit. Text is black, in one size for
reading and larger ones for finding; sizes are cap heights in mm.
"""

from __future__ import annotations

import math
import string
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import partial
from typing import TypeAlias

from layouts.drawing import Point, Rect, Size, polyline, rectangle
from layouts.drawing.document import Ahead, Fill, Item, Layer, Page, Stroke, Symbol
from layouts.drawing.inks import Ink
from layouts.drawing.typefaces import Typefaces
from layouts.drawing.typeset import PITCH, Align, Typesetter
from layouts.order.order import Order
from layouts.papers.kit.table import Column, TableStyle, table
from layouts.terms.values import frozen

LETTER = Size(215.9, 279.4)  # US letter, 8.5 x 11 in (ANSI/ASME Y14.1 size A)
BODY = 1.65
NAME = 2.2
HEADING = 2.3
TITLE = 5.2
THIN, RULE, BOLD = 0.12, 0.2, 0.4  # widths of rules

_LEFT, _TOP, _BOTTOM = 14.0, 20.0, 17.0
_HEAD_Y, _FOOT_Y = 13.0, 267.5  # baselines of the running lines
_CELL_PAD = 1.3
_MOST_HELD = 4096  # symbols of pages that were handed over, a kilobyte each


@frozen
class Voices:
    """The plain text of a paper and the stronger one of its names and headings."""

    plain: Typesetter
    strong: Typesetter

    def symbols(self) -> dict[str, Symbol]:
        """Every glyph that either of them used."""
        return {**self.plain.symbols(), **self.strong.symbols()}

    def forget(self) -> None:
        """Drop all that was set so far; see `Typesetter.forget`."""
        self.plain.forget()
        self.strong.forget()


def voices_of(typefaces: Typefaces, symbols: dict[str, Symbol] | None = None) -> Voices:
    """Text in the text face; names in the legends' face where that has all of ASCII.

    Both put what they use into ``symbols``, if it is given.
    """
    wanted = string.ascii_letters + string.digits + string.punctuation
    whole = all(typefaces.dark.glyph(char) is not None for char in wanted)
    strong = typefaces.dark if whole else typefaces.text
    return Voices(
        Typesetter(typefaces.text, live=True, symbols=symbols),
        Typesetter(strong, live=True, symbols=symbols),
    )


def handing_over(ahead: Ahead, voices: Voices, symbols: Mapping[str, Symbol]) -> Ahead:
    """The same, letting go of what earlier pages placed once that is much."""

    def hand_over(layer: Layer) -> Layer:
        held = ahead(layer)
        if len(symbols) > _MOST_HELD:
            voices.forget()
        return held

    return hand_over


@frozen
class Drawn:
    """Items in their place and the height that they take."""

    items: tuple[Item, ...]
    height: float


Draw: TypeAlias = Callable[[Point], Drawn]


@frozen
class Cell:
    """A box of a form: a label above a value, and the share of the row's width."""

    label: str
    value: str
    share: float = 1.0


@frozen
class Running:
    """The lines that repeat on every page: kind of paper, what it is about, and its foot."""

    kind: str
    about: str
    foot: str


class Paper:
    """Pages of one document in the making.

    With ``ahead`` the text of a page is handed over when the next one begins.
    """

    def __init__(
        self, running: Running, voices: Voices, ink: Ink, ahead: Ahead | None = None
    ) -> None:
        self.voices = voices
        self.ink = ink
        self._running = running
        self._ahead = ahead
        self._full: list[Layer] = []  # the text of every page before this one
        self._items: list[Item] = []  # on this page
        self._foot = slice(0, 0)  # those pinned to its foot
        self._y = _TOP - 4.0  # the first page has no running head
        self._end = LETTER.height - _BOTTOM

    @property
    def left(self) -> float:
        """Where the text begins, mm."""
        return _LEFT

    @property
    def width(self) -> float:
        """Width of the text, mm."""
        return LETTER.width - 2 * _LEFT

    @property
    def room(self) -> float:
        """Height left on this page, mm."""
        return self._end - self._y

    @property
    def begun(self) -> bool:
        """Whether anything is on this page yet."""
        return bool(self._items)

    @property
    def at(self) -> Point:
        """The corner where the next block begins."""
        return Point(_LEFT, self._y)

    def turn(self) -> None:
        """Go on at the head of a new page."""
        self._close()
        self._y = _TOP
        self._end = LETTER.height - _BOTTOM

    def space(self, height: float) -> None:
        """Leave some height free; none at the head of a page."""
        if self._items:
            self._y += height

    def keep(self, height: float) -> None:
        """Start a new page unless this much height is left."""
        if self.room < height:
            self.turn()

    def block(self, draw: Draw) -> None:
        """Draw what must stay together."""
        drawn = draw(self.at)
        if drawn.height > self.room and self._items:
            self.turn()
            drawn = draw(self.at)
        self._items += drawn.items
        self._y += drawn.height

    def pin(self, draw: Draw) -> None:
        """Draw at the foot of this page, and end the page's text above it."""
        height = draw(self.at).height
        self._end -= height
        start = len(self._items)
        self._items += draw(Point(_LEFT, self._end)).items
        self._foot = slice(start, len(self._items))
        self._end -= 3.0

    def heading(self, text: str) -> None:
        """A heading with a rule below, never left by itself at the foot of a page."""
        self.space(4.0)
        self.keep(22.0)
        self.block(lambda at: heading(self, text, at))

    def paragraph(self, text: str, size: float = BODY) -> None:
        """A paragraph over the whole width."""
        self.block(lambda at: text_block(self.voices.plain, text, at, size, self.width, self.ink))

    def points(self, texts: Sequence[str]) -> None:
        """A list, each text behind a dash."""
        for text in texts:
            self.block(partial(self._point, text))

    def table(
        self,
        columns: Sequence[Column],
        rows: Sequence[Sequence[str]],
        beside: Callable[[int, Rect], tuple[Item, ...]] = lambda _, __: (),
    ) -> None:
        """A table over as many pages as it needs, its titles on each.

        ``beside`` draws something into the box of a row, by the row's index. A row that is
        higher than a page runs off it.
        """
        style = TableStyle(BODY, self.ink, 0.75, THIN, RULE)
        left = list(rows)
        while left:
            fresh = not self._items or self._y == _TOP
            drawn = table(
                self.voices.plain,
                columns,
                left,
                self.at,
                style,
                head=self.voices.strong,
                max_height=self.room,
            )
            if not drawn.rows and fresh:
                drawn = table(self.voices.plain, columns, left[:1], self.at, style)
            self._items += drawn.with_beside(partial(_from, len(rows) - len(left), beside))
            self._y += drawn.height
            left = left[len(drawn.rows) :]
            if left:
                self.turn()

    def finish(self, key: str, title: str) -> tuple[Page, ...]:
        """All pages with their running lines."""
        self._close()
        count = len(self._full)
        whole = Rect(0.0, 0.0, LETTER.width, LETTER.height)
        return tuple(
            Page(
                f"{key}-{number}",
                f"{title}, page {number} of {count}",
                LETTER,
                whole,
                whole,
                self._layers(text, self._running_lines(number, count)),
            )
            for number, text in enumerate(self._full, start=1)
        )

    def _layers(self, text: Layer, running: tuple[Item, ...]) -> tuple[Layer, ...]:
        """The layers of a page; what was handed over is not touched again."""
        if self._ahead is None:
            return (replace(text, items=(*text.items, *running)),)
        return text, Layer("Running lines", running)

    def _close(self) -> None:
        """End this page; its items are read in order, and what is pinned to its foot comes last."""
        items, start, end = self._items, self._foot.start, self._foot.stop
        text = Layer("Paper", (*items[:start], *items[end:], *items[start:end]))
        self._full.append(text if self._ahead is None else self._ahead(text))
        self._items, self._foot = [], slice(0, 0)

    def _point(self, text: str, at: Point) -> Drawn:
        indent = 3.5
        dash = self.voices.plain.line("–", Point(at.x, baseline(at.y, BODY)), BODY, self.ink)
        corner = Point(at.x + indent, at.y)
        block = text_block(self.voices.plain, text, corner, BODY, self.width - indent, self.ink)
        return Drawn((*dash, *block.items), block.height)

    def _running_lines(self, number: int, count: int) -> tuple[Item, ...]:
        plain, strong, ink = self.voices.plain, self.voices.strong, self.ink
        right = _LEFT + self.width
        foot = shorten_text(plain, self._running.foot, BODY, self.width - 40.0)
        items: list[Item] = [
            rule(_LEFT, _FOOT_Y - 4.2, self.width, THIN, ink),
            *plain.line(foot, Point(_LEFT, _FOOT_Y), BODY, ink),
            *plain.line(f"page {number} of {count}", Point(right, _FOOT_Y), BODY, ink, "right"),
        ]
        if number > 1:
            about = shorten_text(plain, self._running.about, BODY, self.width - 40.0)
            items += strong.line(self._running.kind, Point(_LEFT, _HEAD_Y), BODY, ink)
            items += plain.line(about, Point(right, _HEAD_Y), BODY, ink, "right")
            items.append(rule(_LEFT, _HEAD_Y + 2.2, self.width, THIN, ink))
        return tuple(items)


def _from(
    first: int, beside: Callable[[int, Rect], tuple[Item, ...]], index: int, box: Rect
) -> tuple[Item, ...]:
    """What is beside a row of a part of a table that begins at row ``first``."""
    return beside(first + index, box)


def running_lines(kind: str, order: Order, day: str | None, foot: str = "") -> Running:
    """The running lines of a paper about a whole order; ``foot`` is added to the foot."""
    revision = f"revision {order.revision}" if order.revision else ""
    about = "  |  ".join(part for part in (order.title, order.plant, revision) if part)
    below = "  |  ".join(part for part in (foot_line(order, day), foot) if part)
    return Running(kind, about, below)


def foot_line(order: Order, day: str | None) -> str:
    """The foot of every page: title, and revision and date where they are known."""
    parts = [order.title, f"revision {order.revision}" if order.revision else "", day or ""]
    return "  |  ".join(part for part in parts if part)


def draw_title(paper: Paper, title: str, kind: str, at: Point) -> Drawn:
    """The title of a paper, large, with its kind at the right edge."""
    strong, plain = paper.voices.strong, paper.voices.plain
    name = strong.paragraph(title, at, TITLE, paper.width * 0.77, paper.ink)
    right = Point(at.x + paper.width, at.y + TITLE * 1.4)
    label = plain.line(kind.upper(), right, BODY + 0.4, paper.ink, "right")
    return Drawn((*name.placements, *label), name.height + 1.5)


def baseline(top: float, size: float) -> float:
    """The baseline of the first line of a block that begins at ``top``."""
    return top + PITCH * size / 2 + size / 2


def rule(x: float, y: float, width: float, thickness: float, ink: Ink) -> Stroke:
    """A level line."""
    return Stroke(polyline((Point(x, y), Point(x + width, y))), ink, thickness)


def shorten_text(setter: Typesetter, text: str, size: float, width: float) -> str:
    """The text, truncated if it is wider than its line."""
    first, *rest = setter.wrap(text, size, width)
    return f"{first} …" if rest else text


def text_block(
    setter: Typesetter,
    text: str,
    at: Point,
    size: float,
    width: float,
    ink: Ink,
    align: Align = "left",
) -> Drawn:
    """Wrapped text with its top-left corner at ``at``."""
    block = setter.paragraph(text, at, size, width, ink, align)
    return Drawn(block.placements, block.height)


def heading(paper: Paper, text: str, at: Point) -> Drawn:
    """A heading over the whole width, with its rule and the air below."""
    line = paper.voices.strong.line(text, Point(at.x, at.y + HEADING), HEADING, paper.ink)
    under = rule(at.x, at.y + HEADING + 1.5, paper.width, RULE, paper.ink)
    return Drawn((*line, under), HEADING + 2.6)


def form(paper: Paper, rows: Sequence[Sequence[Cell]], at: Point, least: float = 0.0) -> Drawn:
    """Rows of boxes, each with a label above its value; ``least`` is a row's least height."""
    items: list[Item] = []
    y = at.y
    for row in rows:
        height, x = least, at.x
        total = math.fsum(cell.share for cell in row)
        lefts: list[float] = []
        for cell in row:
            width = paper.width * cell.share / total
            lefts.append(x)
            inner = width - 2 * _CELL_PAD
            corner = Point(x + _CELL_PAD, y + _CELL_PAD / 2)
            label = text_block(paper.voices.plain, cell.label, corner, BODY, inner, paper.ink)
            below = Point(corner.x, corner.y + label.height)
            value = text_block(paper.voices.strong, cell.value, below, BODY + 0.1, inner, paper.ink)
            items += (*label.items, *value.items)
            height = max(height, label.height + value.height + _CELL_PAD)
            x += width
        items += (
            Stroke(polyline((Point(left, y), Point(left, y + height))), paper.ink, THIN)
            for left in lefts[1:]
        )
        items.append(rule(at.x, y, paper.width, THIN, paper.ink))
        y += height
    frame = Rect(at.x, at.y, paper.width, y - at.y)
    items.append(Stroke(rectangle(frame), paper.ink, RULE))
    return Drawn(tuple(items), y - at.y)


def swatch(at: Point, size: float, ink: Ink, line: Ink) -> tuple[Item, ...]:
    """A square of an ink, outlined so that a white one shows."""
    box = rectangle(Rect(at.x, at.y, size, size))
    return Fill(box, ink), Stroke(box, line, THIN)
