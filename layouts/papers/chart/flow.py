"""Columns: sections set side by side, whole where there is room, else row by row over sheets."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import product

from layouts.drawing import Point, Rect
from layouts.drawing.document import Item
from layouts.papers.chart.look import Row, Section
from layouts.terms.values import frozen

_STRETCH = 2.0  # largest growth factor of the air between sections


@frozen
class Columns:
    """The room below the marker: columns of one width, ``air`` between all."""

    room: Rect
    air: float
    count: int

    @property
    def width(self) -> float:
        """Of one column."""
        return (self.room.width - (self.count - 1) * self.air) / self.count

    def left(self, column: int) -> float:
        """Where a column begins."""
        return self.room.x + column * (self.width + self.air)


def whole(sections: Sequence[Section], columns: Columns) -> tuple[Item, ...] | None:
    """All sections unbroken, each in one column, so that the columns end most alike.

    None if the space is too short for that. Air grows so that columns reach the same foot.
    """
    heights = [_height(section, columns.width) for section in sections]
    best: tuple[float, tuple[int, ...]] | None = None
    for choice in product(range(columns.count), repeat=len(sections)):
        tallest = max(_stacked(heights, choice, columns))
        if best is None or tallest < best[0] - 1e-6:
            best = tallest, choice
    if best is None or best[0] > columns.room.height:
        return None
    return _place_sections(sections, heights, best[1], columns)


def _place_sections(
    sections: Sequence[Section],
    heights: Sequence[float],
    choice: Sequence[int],
    columns: Columns,
) -> tuple[Item, ...]:
    items: list[Item] = []
    reach = _stacked(heights, choice, columns)
    for column in range(columns.count):
        mine = [index for index, at in enumerate(choice) if at == column]
        left = columns.room.height - reach[column]
        air = columns.air
        if len(mine) > 1:
            air += min(left / (len(mine) - 1), _STRETCH * columns.air)
        y = columns.room.y
        for index in mine:
            items += _draw_section(sections[index], Point(columns.left(column), y), columns.width)
            y += heights[index] + air
    return tuple(items)


def _stacked(heights: Sequence[float], choice: Sequence[int], columns: Columns) -> list[float]:
    """How far each column reaches, air between its sections."""
    air = columns.air
    reach = [-air] * columns.count
    for height, column in zip(heights, choice, strict=True):
        reach[column] += air + height
    return reach


def _height(section: Section, width: float) -> float:
    return math.fsum(row.draw(Point(0.0, 0.0), width).height for row in section)


def _draw_section(section: Section, at: Point, width: float) -> list[Item]:
    items: list[Item] = []
    y = at.y
    for row in section:
        drawn = row.draw(Point(at.x, y), width)
        items += drawn.items
        y += drawn.height
    return items


def broken(
    sections: Sequence[Section], columns: Columns
) -> tuple[tuple[Item, ...], tuple[Section, ...]]:
    """Sections row by row down the columns of one sheet, and what did not fit.

    A heading stays with its first row. The last column is left at a section's end where one is
    in it. A row higher than a whole column runs off it.
    """
    items: list[Item] = []
    left = [list(section) for section in sections]
    for column in range(columns.count):
        y, at = columns.room.y, columns.left(column)
        while left:
            section = left[0]
            fresh = y == columns.room.y
            count = _rows_that_fit(section, columns.width, columns.room.bottom - y)
            last = column == columns.count - 1
            if count < len(section) and not fresh and (last or count == 0):
                break
            count = max(count, 2 if section[0].held else 1) if fresh else count
            taken = tuple(section[:count])
            items += _draw_section(taken, Point(at, y), columns.width)
            y += _height(taken, columns.width) + columns.air
            if count < len(section):
                left[0] = [*_continue_heading(section), *section[count:]]
                break
            left.pop(0)
    return tuple(items), tuple(tuple(section) for section in left)


def _continue_heading(section: Sequence[Row]) -> list[Row]:
    """The heading of a section that continues elsewhere."""
    again = section[0].again
    return [] if again is None else [Row(again, held=True, again=again)]


def _rows_that_fit(section: Sequence[Row], width: float, room: float) -> int:
    used, count = 0.0, 0
    for row in section:
        used += row.draw(Point(0.0, 0.0), width).height
        if used > room:
            break
        count += 1
    while 0 < count < len(section) and section[count - 1].held:
        count -= 1
    return count
