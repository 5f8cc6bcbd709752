"""A stretch of the walk on its pack: shared facts once, and a line for each position."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from layouts.drawing import Point, Size
from layouts.drawing.document import Item
from layouts.drawing.typeset import PITCH
from layouts.papers.kit.figure import Picture, Pictures
from layouts.papers.kit.paper import BODY, THIN, Drawn, Paper, baseline, rule, text_block
from layouts.papers.packs.entry_parts import (
    AIR,
    GAP,
    NAME_SIZE,
    caption_text,
    count_fitting,
    draw_named_text,
    room_beside,
)
from layouts.papers.packs.position_entry import Entry, instructions, warnings
from layouts.papers.packs.side_entry import draw_sides
from layouts.papers.packs.stretches import Shared, Stretch
from layouts.papers.packs.ticks import PITCH_OF_BOXES, draw_ticks
from layouts.terms.words import Kind

_ROOM = Size(50.0, 12.5)  # of the picture
_PICTURE, _PLACE, _HOW, _TICKS = 9.0, 62.0, 113.0, 166.0  # lefts of the columns
_LINE = PITCH * BODY
_TICKS_WIDTH = 21.9
_TOGETHER = 2  # the fewest lines of a stretch below its picture
# Cells of markers that differ only in their words: how many in a row, and their pictures' room.
_CELLS = {Kind.VALVE: (4, Size(26.0, 12.5)), Kind.EQUIPMENT: (3, Size(40.0, 12.5))}
_NUMBER, _CELL_TICKS = 7.0, 12.0  # widths within a cell


def draw_stretch(paper: Paper, stretch: Stretch, pictures: Pictures) -> None:
    """Add the stretch to the paper."""
    match stretch.shared:
        case Shared.NOTHING:
            paper.block(lambda at: _draw_single(paper, stretch.first, pictures, at))
        case Shared.MARKER:
            _draw_lines(paper, stretch, pictures)
        case Shared.SIDES:
            draw_sides(paper, stretch, pictures)
        case Shared.FIXING:
            _draw_cells(paper, stretch, pictures)


def _draw_single(paper: Paper, entry: Entry, pictures: Pictures, at: Point) -> Drawn:
    """One position: picture, place, what to do, boxes."""
    top = at.y + AIR
    number = paper.voices.strong.line(
        str(entry.number), Point(at.x, baseline(top, BODY)), NAME_SIZE, paper.ink
    )
    boxes = draw_ticks(paper, entry, Point(at.x + _TICKS, top), _TICKS_WIDTH)
    place = (", ".join(part for part in (entry.line, entry.location) if part), *entry.beside)
    body = _draw_body(paper, entry, place, entry.placing.count, pictures, Point(at.x, top))
    line = rule(at.x, at.y, paper.width, THIN, paper.ink)
    return Drawn(
        (line, *number, *boxes.items, *body.items), max(body.height, boxes.height) + 2 * AIR
    )


def _draw_lines(paper: Paper, stretch: Stretch, pictures: Pictures) -> None:
    """The marker once, a line below it for each position; the marker again on a new page."""
    left = list(stretch.entries)
    while left:
        head = _draw_common(paper, left, pictures, paper.at)
        heights = [_line_height(paper, entry) for entry in left]
        count = count_fitting(heights, paper.room - head.height - AIR)
        if count < min(_TOGETHER, len(left)) and paper.begun:
            paper.turn()
            continue
        part, left = left[: max(count, 1)], left[max(count, 1) :]

        def draw(at: Point, part: Sequence[Entry] = part) -> Drawn:
            common = _draw_common(paper, part, pictures, at)
            items, y = list(common.items), at.y + common.height
            for entry in part:
                items += _draw_line(paper, entry, Point(at.x, y))
                y += _line_height(paper, entry)
            return Drawn(tuple(items), y + AIR - at.y)

        paper.block(draw)


def _draw_common(paper: Paper, entries: Sequence[Entry], pictures: Pictures, at: Point) -> Drawn:
    """The facts shared by neighbors that take the same marker."""
    first, top = entries[0], at.y + AIR
    body = _draw_body(paper, first, (first.line, first.ends), 0, pictures, Point(at.x, top))
    line = rule(at.x, at.y, paper.width, THIN, paper.ink)
    return Drawn((line, *body.items), body.height + AIR + 0.6)


def _draw_line(paper: Paper, entry: Entry, at: Point) -> Iterator[Item]:
    """One position of a stretch that takes one marker."""
    strong, ink = paper.voices.strong, paper.ink
    yield from strong.line(str(entry.number), Point(at.x, baseline(at.y, BODY)), NAME_SIZE, ink)
    yield from draw_ticks(paper, entry, Point(at.x + _TICKS, at.y), _TICKS_WIDTH).items
    corner = Point(at.x + _PICTURE, at.y)
    yield from text_block(paper.voices.plain, entry.own, corner, BODY, _own_width(), ink).items


def _line_height(paper: Paper, entry: Entry) -> float:
    lines = len(paper.voices.plain.wrap(entry.own, BODY, _own_width()))
    boxes = draw_ticks(paper, entry, paper.at, _TICKS_WIDTH).height
    return max(lines * _LINE, boxes, PITCH_OF_BOXES)


def _own_width() -> float:
    return _TICKS - _PICTURE - GAP


def _draw_body(
    paper: Paper, entry: Entry, place: Sequence[str], pieces: int, pictures: Pictures, at: Point
) -> Drawn:
    """Picture with what it measures, where it goes, and what to do."""
    ink = paper.ink
    line, *further = place
    where = draw_named_text(
        paper,
        (entry.name, line),
        further,
        Point(at.x + _PLACE, at.y),
        _HOW - _PLACE - GAP,
    )
    how = _draw_how(paper, entry, pieces, Point(at.x + _HOW, at.y))
    picture = pictures.of(entry.marker.face, _ROOM)
    below = at.y + picture.size.height + 0.8
    said = paper.voices.plain.line(
        caption_text(entry), Point(at.x + _PICTURE, baseline(below, BODY)), BODY, ink
    )
    placed = picture.at(Point(at.x + _PICTURE, at.y + 0.4))
    height = max(picture.size.height + 0.8 + _LINE, where.height, how.height)
    return Drawn((*placed, *where.items, *how.items, *said), height)


def _draw_how(paper: Paper, entry: Entry, pieces: int, at: Point) -> Drawn:
    """The method, and what to do: the direction beside it where it fits, to be seen first."""
    width = _TICKS - _HOW - GAP
    method, texts = f"Method {entry.mount}", [*instructions(entry, pieces)]
    beside = room_beside(paper, method, width)
    parted = bool(texts) and paper.voices.plain.width(texts[0], BODY) <= beside
    first, rest = ("; ".join(texts[:1]), texts[1:]) if parted else ("; ".join(texts), [])
    return draw_named_text(
        paper, (method, first), ("; ".join(rest),), at, width, tuple(warnings(entry))
    )


def _draw_cells(paper: Paper, stretch: Stretch, pictures: Pictures) -> None:
    """Markers mounted in the same way: pictures side by side, each with its box."""
    in_row, _ = _CELLS[stretch.first.marker.plan.kind]
    rows = [stretch.entries[at : at + in_row] for at in range(0, len(stretch.entries), in_row)]
    first = True
    for row in rows:

        def draw(at: Point, row: Sequence[Entry] = row, first: bool = first) -> Drawn:
            head = _draw_cells_head(paper, stretch, at) if first else Drawn((), 0.0)
            cells = _draw_cells_row(paper, row, pictures, Point(at.x, at.y + head.height))
            return Drawn((*head.items, *cells.items), head.height + cells.height)

        paper.block(draw)
        first = False


def _draw_cells_head(paper: Paper, stretch: Stretch, at: Point) -> Drawn:
    """What all cells have in common, over the whole width."""
    entry, numbers = stretch.first, (stretch.entries[0].number, stretch.entries[-1].number)
    text = "; ".join(part for part in (entry.line, entry.ends, *instructions(entry, 0)) if part)
    told = draw_named_text(
        paper,
        (f"{numbers[0]} to {numbers[1]}   Method {entry.mount}", text),
        (),
        Point(at.x, at.y + AIR),
        paper.width,
        tuple(warnings(entry)),
    )
    line = rule(at.x, at.y, paper.width, THIN, paper.ink)
    return Drawn((line, *told.items), told.height + 2 * AIR)


def _draw_cells_row(paper: Paper, row: Sequence[Entry], pictures: Pictures, at: Point) -> Drawn:
    in_row, room = _CELLS[row[0].marker.plan.kind]
    wide = paper.width / in_row
    drawn = [
        _draw_cell(
            paper, entry, pictures.of(entry.marker.face, room), room, Point(at.x + n * wide, at.y)
        )
        for n, entry in enumerate(row)
    ]
    items = tuple(item for each in drawn for item in each.items)
    return Drawn(items, max(each.height for each in drawn) + AIR)


def _draw_cell(paper: Paper, entry: Entry, picture: Picture, room: Size, at: Point) -> Drawn:
    """One position of a stretch whose markers differ in their words."""
    ink, plain = paper.ink, paper.voices.plain
    number = paper.voices.strong.line(
        str(entry.number), Point(at.x, baseline(at.y, BODY)), NAME_SIZE, ink
    )
    boxes = draw_ticks(paper, entry, Point(at.x + _NUMBER + room.width + 1.0, at.y), _CELL_TICKS)
    placed = picture.at(Point(at.x + _NUMBER, at.y + 0.4))
    below = at.y + picture.size.height + 0.8
    corner = Point(at.x + _NUMBER, below)
    wide = room.width + 1.0 + _CELL_TICKS - GAP
    texts = [entry.marker.id, *([entry.own] if entry.own else [])]
    own = text_block(plain, "\n".join(texts), corner, BODY, wide, ink)
    height = max(below + own.height - at.y, boxes.height)
    return Drawn((*number, *placed, *boxes.items, *own.items), height)
