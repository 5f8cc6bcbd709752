"""The look of a chart: its sizes, and the rows of its columns.

Everything follows from the cap height of the main text, ``body``, and the width of the sheet.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from enum import StrEnum
from typing import TypeAlias

from layouts.drawing import Point, Rect, Size, rectangle
from layouts.drawing.document import Fill, Item, Stroke
from layouts.drawing.inks import Ink
from layouts.papers.kit.paper import Drawn, Voices, rule, text_block
from layouts.terms.units import MM_PER_INCH
from layouts.terms.values import frozen


class PosterSize(StrEnum):
    """Sheets that a chart is made for."""

    POSTER = "24x36in"
    A1 = "A1"
    LETTER = "letter"

    @property
    def sheet(self) -> Size:
        """The sheet, portrait: 24 x 36 in, ISO 216 A1, ANSI/ASME Y14.1 size A."""
        return {
            PosterSize.POSTER: Size(24 * MM_PER_INCH, 36 * MM_PER_INCH),
            PosterSize.A1: Size(594.0, 841.0),
            PosterSize.LETTER: Size(8.5 * MM_PER_INCH, 11 * MM_PER_INCH),
        }[self]

    @property
    def on_wall(self) -> bool:
        """Whether it hangs on a wall rather than being read at a desk."""
        return self is not PosterSize.LETTER


@frozen
class Look:
    """Voices, inks and sizes of one chart; ``fine`` is the cap height of what is read up close."""

    voices: Voices
    black: Ink
    white: Ink
    red: Ink
    accent: Ink
    sheet: Size
    body: float
    fine: float

    @property
    def margin(self) -> float:
        """From the sheet's edge to what is printed."""
        return 0.036 * self.sheet.width

    @property
    def width(self) -> float:
        """Of what is printed."""
        return self.sheet.width - 2 * self.margin

    @property
    def air(self) -> float:
        """Between columns, and between sections."""
        return 2.0 * self.body

    @property
    def hair(self) -> float:
        """The line between two rows."""
        return 0.05 * self.body

    def fitted(self, text: str, size: float, width: float) -> float:
        """The cap height, or less where the strong text would be wider than that."""
        wide = self.voices.strong.width(text, 1.0)
        return min(size, width / wide) if wide else size


Draw: TypeAlias = Callable[[Point, float], Drawn]


@frozen
class Row:
    """A piece of a column, drawn at a corner in a width; ``held`` stays with what follows.

    ``again`` redraws a heading where its section continues in another column.
    """

    draw: Draw
    held: bool = False
    again: Draw | None = None


Section: TypeAlias = tuple[Row, ...]
"""Rows under one heading."""


@frozen
class Chip:
    """A colored field with a word, or none."""

    field: Ink
    word: str = ""
    ink: Ink | None = None


def heading_row(look: Look, title: str) -> Row:
    """A bar over the column and the title of a section."""

    def draw(at: Point, width: float) -> Drawn:
        bar = Fill(rectangle(Rect(at.x, at.y, width, 0.42 * look.body)), look.black)
        size = look.fitted(title, 1.45 * look.body, width)
        base = at.y + 1.25 * look.body + size
        line = look.voices.strong.line(title, Point(at.x, base), size, look.black)
        return Drawn((bar, *line), base + 0.85 * look.body - at.y)

    def again(at: Point, width: float) -> Drawn:
        bar = Fill(rectangle(Rect(at.x, at.y, width, 0.14 * look.body)), look.black)
        text = f"{title}, continued"
        size = look.fitted(text, look.body, width)
        base = at.y + 0.8 * look.body + size
        line = look.voices.strong.line(text, Point(at.x, base), size, look.black)
        return Drawn((bar, *line), base + 0.6 * look.body - at.y)

    return Row(draw, held=True, again=again)


def text_row(look: Look, text: str, size: float, *, strong: bool = False) -> Row:
    """A paragraph."""

    def draw(at: Point, width: float) -> Drawn:
        setter = look.voices.strong if strong else look.voices.plain
        block = text_block(setter, text, at, size, width, look.black)
        return Drawn(block.items, block.height + 0.45 * size)

    return Row(draw)


def point_row(look: Look, text: str, size: float) -> Row:
    """A paragraph behind a square."""

    def draw(at: Point, width: float) -> Drawn:
        indent = 1.5 * size
        corner = Point(at.x + indent, at.y)
        block = text_block(look.voices.plain, text, corner, size, width - indent, look.black)
        box = Rect(at.x + 0.1 * size, at.y + 0.65 * size, 0.5 * size, 0.5 * size)
        dot = Fill(rectangle(box), look.accent)
        edge = Stroke(rectangle(box), look.black, look.hair)
        return Drawn((dot, edge, *block.items), block.height + 0.5 * size)

    return Row(draw)


def cells_row(look: Look, cells: Sequence[tuple[str, float, bool]]) -> Row:
    """Texts side by side, each with its share of the width and whether it is strong."""

    def draw(at: Point, width: float) -> Drawn:
        items: list[Item] = [rule(at.x, at.y, width, look.hair, look.black)]
        x, tallest = at.x, 0.0
        for text, share, strong in cells:
            setter = look.voices.strong if strong else look.voices.plain
            room = share * width
            corner = Point(x, at.y + 0.15 * look.body)
            block = text_block(setter, text, corner, look.body, room - 0.8 * look.body, look.black)
            items += block.items
            tallest = max(tallest, block.height)
            x += room
        return Drawn(tuple(items), tallest + 0.3 * look.body)

    return Row(draw)


def chip_row(look: Look, chip: Chip, title: str, text: str) -> Row:
    """A colored field with its meaning beside it."""

    def draw(at: Point, width: float) -> Drawn:
        high, wide = 3.0 * look.body, 5.2 * look.body
        top = at.y + 0.25 * look.body
        box = Rect(at.x, top, wide, high)
        beside = Point(at.x + wide + 1.1 * look.body, top - 0.1 * look.body)
        room = width - wide - 1.1 * look.body
        body, black = look.body, look.black
        head = text_block(look.voices.strong, title, beside, body, room, black)
        below = Point(beside.x, beside.y + head.height)
        said = text_block(look.voices.plain, text, below, body, room, black)
        told = head.height + (said.height if text else 0.0)
        items = (*chip_items(look, chip, box), *head.items, *(said.items if text else ()))
        return Drawn(items, max(high, told) + 0.55 * look.body)

    return Row(draw)


def chip_items(look: Look, chip: Chip, box: Rect) -> tuple[Item, ...]:
    """The field, its edge, and its word."""
    items: list[Item] = [
        Fill(rectangle(box), chip.field),
        Stroke(rectangle(box), look.black, look.hair),
    ]
    if chip.word and chip.ink is not None:
        size = look.fitted(chip.word, 0.5 * box.height, 0.86 * box.width)
        base = Point(box.center.x, box.center.y + size / 2)
        items += look.voices.strong.line(chip.word, base, size, chip.ink, "center")
    return tuple(items)
