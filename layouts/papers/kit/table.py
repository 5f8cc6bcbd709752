"""Tables of running text: cells wrapped in columns, rules below rows, titles on every page."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence

from layouts.drawing import Point, Rect, polyline
from layouts.drawing.document import Item, Stroke
from layouts.drawing.inks import Ink
from layouts.drawing.typeset import PITCH, Align, Typesetter
from layouts.terms.values import frozen


@frozen
class Column:
    """One column of a table, ``width`` in mm with its padding."""

    title: str
    width: float
    align: Align = "left"


@frozen
class TableStyle:
    """How a table looks: cap height and padding of its cells, widths of its rules, in mm."""

    size: float
    ink: Ink
    padding: float
    rule: float = 0.15
    head_rule: float = 0.35


@frozen
class Table:
    """A drawn table: its items, its height, and the boxes of the rows that it holds.

    ``ends`` is how many of the items come before the end of each row.
    """

    items: tuple[Item, ...]
    height: float
    rows: tuple[Rect, ...]
    ends: tuple[int, ...]

    def with_beside(self, beside: Callable[[int, Rect], Iterable[Item]]) -> Iterator[Item]:
        """The items in the order of reading, each row with what is drawn beside its box."""
        done = 0
        for index, (box, end) in enumerate(zip(self.rows, self.ends, strict=True)):
            yield from self.items[done:end]
            yield from beside(index, box)
            done = end
        yield from self.items[done:]


def table(
    setter: Typesetter,
    columns: Sequence[Column],
    rows: Sequence[Sequence[str]],
    at: Point,
    style: TableStyle,
    *,
    head: Typesetter | None = None,
    max_height: float = math.inf,
) -> Table:
    """A table whose top-left corner is ``at``, with as many whole rows as ``max_height`` holds.

    The rows that are left over begin at ``len(result.rows)``: the next page continues with them
    under the same titles. Where not even the first row fits, nothing is drawn. ``head`` sets the
    titles in a separate typeface.

    Raises:
        ValueError: a row has more or fewer cells than there are columns.
    """
    width = math.fsum(column.width for column in columns)
    titles = [column.title for column in columns]
    items, height = _row(head or setter, columns, titles, at, style)
    items.append(_rule(at, width, height, style.head_rule, style.ink))
    boxes: list[Rect] = []
    ends: list[int] = []
    for row in rows:
        corner = Point(at.x, at.y + height)
        drawn, row_height = _row(setter, columns, row, corner, style)
        if height + row_height > max_height:
            break
        items += drawn
        items.append(_rule(corner, width, row_height, style.rule, style.ink))
        boxes.append(Rect(corner.x, corner.y, width, row_height))
        ends.append(len(items))
        height += row_height
    if height > max_height or (rows and not boxes):
        return Table((), 0.0, (), ())
    return Table(tuple(items), height, tuple(boxes), tuple(ends))


def _row(
    setter: Typesetter,
    columns: Sequence[Column],
    cells: Sequence[str],
    at: Point,
    style: TableStyle,
) -> tuple[list[Item], float]:
    """The cells of one row from its top-left corner, and the height of the tallest."""
    items: list[Item] = []
    tallest, x, pad = PITCH * style.size, at.x, style.padding
    for column, cell in zip(columns, cells, strict=True):
        if cell:
            corner, inner = Point(x + pad, at.y + pad), column.width - 2 * pad
            block = setter.paragraph(cell, corner, style.size, inner, style.ink, column.align)
            items += block.placements
            tallest = max(tallest, block.height)
        x += column.width
    return items, tallest + 2 * pad


def _rule(at: Point, width: float, below: float, thickness: float, ink: Ink) -> Stroke:
    y = at.y + below
    return Stroke(polyline((Point(at.x, y), Point(at.x + width, y))), ink, thickness)
