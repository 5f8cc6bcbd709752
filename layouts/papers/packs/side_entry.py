"""A line marked on both sides, on its pack: both markers at the head, a line for each place.

Each side has a column: its picture at the head, and below it a number and a box for each place.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from layouts.drawing import Point, Size
from layouts.drawing.document import Item
from layouts.drawing.typeset import PITCH
from layouts.papers.kit.figure import Pictures
from layouts.papers.kit.paper import BODY, THIN, Drawn, Paper, baseline, rule, text_block
from layouts.papers.packs.entry_parts import (
    AIR,
    GAP,
    NAME_SIZE,
    caption_text,
    count_fitting,
    draw_named_text,
)
from layouts.papers.packs.position_entry import Entry, direction_texts, fixing_texts, warnings
from layouts.papers.packs.stretches import Stretch
from layouts.papers.packs.ticks import PITCH_OF_BOXES, draw_ticks

_COLUMNS = (0.0, 58.0)  # lefts of the two sides
_WIDE = 55.0  # of a column
_NUMBER = 9.0  # before its boxes
_TEXT = 116.0  # left of what both sides share
_ROOM = Size(46.0, 11.0)  # of a picture
_LINE = PITCH * BODY


def draw_sides(paper: Paper, stretch: Stretch, pictures: Pictures) -> None:
    """Add the stretch to the paper; its head again at the head of a page."""
    left = list(stretch.pairs)
    while left:
        head = _draw_head(paper, left, pictures, paper.at)
        heights = [_line_height(paper, pair) for pair in left]
        count = count_fitting(heights, paper.room - head.height - AIR)
        if not count and paper.begun:
            paper.turn()
            continue
        part, left = left[: max(count, 1)], left[max(count, 1) :]

        def draw(at: Point, part: Sequence[tuple[Entry, Entry]] = part) -> Drawn:
            common = _draw_head(paper, part, pictures, at)
            items, y = list(common.items), at.y + common.height
            for pair in part:
                items += _draw_line(paper, pair, Point(at.x, y))
                y += _line_height(paper, pair)
            return Drawn(tuple(items), y + AIR - at.y)

        paper.block(draw)


def _draw_head(
    paper: Paper, pairs: Sequence[tuple[Entry, Entry]], pictures: Pictures, at: Point
) -> Drawn:
    """Both markers, the line, and how they are mounted."""
    pair, top = pairs[0], at.y + AIR
    sides = [
        _draw_side(paper, entry, pictures, Point(at.x + x, top))
        for entry, x in zip(pair, _COLUMNS, strict=True)
    ]
    shared = _draw_shared(paper, pair[0], Point(at.x + _TEXT, top))
    height = max(each.height for each in (*sides, shared))
    line = rule(at.x, at.y, paper.width, THIN, paper.ink)
    items = (line, *(item for each in sides for item in each.items), *shared.items)
    return Drawn(items, height + AIR + 0.6)


def _draw_side(paper: Paper, entry: Entry, pictures: Pictures, at: Point) -> Drawn:
    """One side's marker: picture, id and size, name, and direction of flow."""
    picture = pictures.of(entry.marker.face, _ROOM)
    corner = Point(at.x + _NUMBER, at.y + 0.4)
    below = Point(corner.x, corner.y + picture.size.height + 0.4)
    caption = text_block(
        paper.voices.plain, caption_text(entry), below, BODY, _WIDE - _NUMBER, paper.ink
    )
    told = draw_named_text(
        paper,
        (entry.name, ""),
        (f"{entry.side}: {'; '.join(direction_texts(entry))}",),
        Point(corner.x, below.y + caption.height),
        _WIDE - _NUMBER,
    )
    height = below.y + caption.height + told.height - at.y
    return Drawn((*picture.at(corner), *caption.items, *told.items), height)


def _draw_shared(paper: Paper, entry: Entry, at: Point) -> Drawn:
    """Line, ends, method and what to do, for both sides."""
    texts = (entry.ends, "; ".join(fixing_texts(entry, 0)))
    return draw_named_text(
        paper,
        (f"Method {entry.mount}", entry.line),
        texts,
        at,
        paper.left + paper.width - at.x,
        tuple(warnings(entry)),
    )


def _draw_line(paper: Paper, pair: tuple[Entry, Entry], at: Point) -> Iterator[Item]:
    """One place: a number and boxes for each side, and where it is."""
    strong, ink = paper.voices.strong, paper.ink
    for entry, x in zip(pair, _COLUMNS, strict=True):
        first = Point(at.x + x, baseline(at.y, BODY))
        yield from strong.line(str(entry.number), first, NAME_SIZE, ink)
        boxes = Point(at.x + x + _NUMBER, at.y)
        yield from draw_ticks(paper, entry, boxes, _WIDE - _NUMBER).items
    corner = Point(at.x + _TEXT, at.y)
    yield from text_block(
        paper.voices.plain, pair[0].own, corner, BODY, _own_width(paper), ink
    ).items


def _line_height(paper: Paper, pair: tuple[Entry, Entry]) -> float:
    lines = len(paper.voices.plain.wrap(pair[0].own, BODY, _own_width(paper)))
    boxes = [draw_ticks(paper, entry, paper.at, _WIDE - _NUMBER).height for entry in pair]
    return max(lines * _LINE, *boxes, PITCH_OF_BOXES)


def _own_width(paper: Paper) -> float:
    return paper.width - _TEXT - GAP
