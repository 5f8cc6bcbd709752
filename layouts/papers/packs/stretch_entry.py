"""A stretch of the walk on its pack: what is common once, and a line for each position."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from layouts.drawing import Point, Size
from layouts.drawing.document import Item
from layouts.drawing.typeset import PITCH
from layouts.papers.kit.figure import Picture, Pictures
from layouts.papers.kit.paper import BODY, THIN, Drawn, Paper, baseline, rule, text_block
from layouts.papers.packs.spot import Spot, instructions, warnings
from layouts.papers.packs.stretches import Shared, Stretch
from layouts.papers.packs.ticks import PITCH_OF_BOXES, ticks
from layouts.terms.units import inches
from layouts.terms.words import Kind

_ROOM = Size(50.0, 12.5)  # of the picture
_PICTURE, _PLACE, _HOW, _TICKS = 9.0, 62.0, 113.0, 166.0  # lefts of the columns
_NAME = 1.9
_AIR = 0.8
_GAP = 2.0  # between columns, and between a name and what follows it
_LEAST_BESIDE = 12.0  # no text begins beside a name in less room
_LINE = PITCH * BODY
_TICKS_WIDTH = 21.9
_TOGETHER = 2  # so many lines of a stretch stand below its picture at least
# Cells of what differs in its words alone: how many in a row, and the room of their pictures.
_CELLS = {Kind.VALVE: (4, Size(26.0, 12.5)), Kind.EQUIPMENT: (3, Size(40.0, 12.5))}
_NUMBER, _CELL_TICKS = 7.0, 12.0  # widths within a cell


def draw_stretch(paper: Paper, stretch: Stretch, pictures: Pictures) -> None:
    """Add the stretch to the paper."""
    match stretch.shared:
        case Shared.NOTHING:
            paper.block(lambda at: _single(paper, stretch.first, pictures, at))
        case Shared.MARKER:
            _lines(paper, stretch, pictures)
        case Shared.FIXING:
            _cells(paper, stretch, pictures)


def _single(paper: Paper, spot: Spot, pictures: Pictures, at: Point) -> Drawn:
    """One position: picture, place, what to do, boxes."""
    top = at.y + _AIR
    number = paper.voices.strong.line(
        str(spot.number), Point(at.x, baseline(top, BODY)), _NAME, paper.ink
    )
    boxes = ticks(paper, spot, Point(at.x + _TICKS, top), _TICKS_WIDTH)
    place = (", ".join(part for part in (spot.line, spot.location) if part), *spot.beside)
    body = _body(paper, spot, place, spot.placing.count, pictures, Point(at.x, top))
    line = rule(at.x, at.y, paper.width, THIN, paper.ink)
    return Drawn(
        (line, *number, *boxes.items, *body.items), max(body.height, boxes.height) + 2 * _AIR
    )


def _lines(paper: Paper, stretch: Stretch, pictures: Pictures) -> None:
    """The marker once, below it a line a position; the marker again at the head of a page."""
    left = list(stretch.spots)
    while left:
        head = _common(paper, left, pictures, paper.at)
        heights = [_line_height(paper, spot) for spot in left]
        count = _fitting(heights, paper.room - head.height - _AIR)
        if count < min(_TOGETHER, len(left)) and paper.begun:
            paper.turn()
            continue
        part, left = left[: max(count, 1)], left[max(count, 1) :]

        def draw(at: Point, part: Sequence[Spot] = part) -> Drawn:
            common = _common(paper, part, pictures, at)
            items, y = list(common.items), at.y + common.height
            for spot in part:
                items += _line(paper, spot, Point(at.x, y))
                y += _line_height(paper, spot)
            return Drawn(tuple(items), y + _AIR - at.y)

        paper.block(draw)


def _common(paper: Paper, spots: Sequence[Spot], pictures: Pictures, at: Point) -> Drawn:
    """What holds for all of some neighbors that take the same marker."""
    first, top = spots[0], at.y + _AIR
    body = _body(paper, first, (first.line, first.ends), 0, pictures, Point(at.x, top))
    line = rule(at.x, at.y, paper.width, THIN, paper.ink)
    return Drawn((line, *body.items), body.height + _AIR + 0.6)


def _line(paper: Paper, spot: Spot, at: Point) -> Iterator[Item]:
    """One position of a stretch that takes one marker."""
    strong, ink = paper.voices.strong, paper.ink
    yield from strong.line(str(spot.number), Point(at.x, baseline(at.y, BODY)), _NAME, ink)
    yield from ticks(paper, spot, Point(at.x + _TICKS, at.y), _TICKS_WIDTH).items
    corner = Point(at.x + _PICTURE, at.y)
    yield from text_block(paper.voices.plain, spot.own, corner, BODY, _own_width(), ink).items


def _line_height(paper: Paper, spot: Spot) -> float:
    lines = len(paper.voices.plain.wrap(spot.own, BODY, _own_width()))
    boxes = ticks(paper, spot, paper.at, _TICKS_WIDTH).height
    return max(lines * _LINE, boxes, PITCH_OF_BOXES)


def _own_width() -> float:
    return _TICKS - _PICTURE - _GAP


def _fitting(heights: Iterable[float], room: float) -> int:
    """How many of the lines, one below the other, a room takes."""
    count, used = 0, 0.0
    for height in heights:
        used += height
        if used > room:
            break
        count += 1
    return count


def _body(
    paper: Paper, spot: Spot, place: Sequence[str], pieces: int, pictures: Pictures, at: Point
) -> Drawn:
    """Picture with what it measures, where it goes, and what to do."""
    ink = paper.ink
    line, *further = place
    where = _told(
        paper,
        (spot.name, line),
        further,
        Point(at.x + _PLACE, at.y),
        _HOW - _PLACE - _GAP,
    )
    how = _how(paper, spot, pieces, Point(at.x + _HOW, at.y))
    picture = pictures.of(spot.marker.face, _ROOM)
    below = at.y + picture.size.height + 0.8
    said = paper.voices.plain.line(
        _caption(spot), Point(at.x + _PICTURE, baseline(below, BODY)), BODY, ink
    )
    placed = picture.at(Point(at.x + _PICTURE, at.y + 0.4))
    height = max(picture.size.height + 0.8 + _LINE, where.height, how.height)
    return Drawn((placed, *where.items, *how.items, *said), height)


def _how(paper: Paper, spot: Spot, pieces: int, at: Point) -> Drawn:
    """The method, and what to do: the direction beside it where it fits, to be seen first."""
    width = _TICKS - _HOW - _GAP
    method, texts = f"Method {spot.mount}", [*instructions(spot, pieces)]
    beside = _beside(paper, method, width)
    parted = bool(texts) and paper.voices.plain.width(texts[0], BODY) <= beside
    first, rest = ("; ".join(texts[:1]), texts[1:]) if parted else ("; ".join(texts), [])
    return _told(paper, (method, first), ("; ".join(rest),), at, width, tuple(warnings(spot)))


def _beside(paper: Paper, name: str, width: float) -> float:
    """The room behind a name in its line."""
    return width - paper.voices.strong.width(name, BODY) - _GAP


def _caption(spot: Spot) -> str:
    """What tells the piece in hand from others of the same words: its id and its size."""
    measures = spot.marker.face.measures
    return f"{spot.marker.id}   {inches(measures.length)} x {inches(measures.height)}"


def _told(
    paper: Paper,
    first: tuple[str, str],
    rest: Iterable[str],
    at: Point,
    width: float,
    strong: Iterable[str] = (),
) -> Drawn:
    """A name with its text behind it, what must not be overlooked, and further paragraphs."""
    voices, ink = paper.voices, paper.ink
    name, text = first
    head = text_block(voices.strong, name, at, BODY, width, ink)
    items, y = [*head.items], at.y + head.height
    beside = _beside(paper, name, width)
    if text and beside >= max(_LEAST_BESIDE, voices.plain.width(text.split(" ")[0], BODY)):
        line = voices.plain.wrap(text, BODY, beside)[0]
        x = at.x + width - beside
        items += voices.plain.line(line, Point(x, baseline(at.y, BODY)), BODY, ink)
        text = text[len(line) :].lstrip()
    for setter, each in (
        *((voices.strong, each) for each in strong),
        (voices.plain, text),
        *((voices.plain, each) for each in rest),
    ):
        if each:
            block = text_block(setter, each, Point(at.x, y), BODY, width, ink)
            items += block.items
            y += block.height
    return Drawn(tuple(items), y - at.y)


def _cells(paper: Paper, stretch: Stretch, pictures: Pictures) -> None:
    """What is put up in the same way: pictures beside each other, each with its box."""
    in_row, _ = _CELLS[stretch.first.marker.plan.kind]
    rows = [stretch.spots[at : at + in_row] for at in range(0, len(stretch.spots), in_row)]
    first = True
    for row in rows:

        def draw(at: Point, row: Sequence[Spot] = row, first: bool = first) -> Drawn:
            head = _head_of_cells(paper, stretch, at) if first else Drawn((), 0.0)
            cells = _row_of_cells(paper, row, pictures, Point(at.x, at.y + head.height))
            return Drawn((*head.items, *cells.items), head.height + cells.height)

        paper.block(draw)
        first = False


def _head_of_cells(paper: Paper, stretch: Stretch, at: Point) -> Drawn:
    """What all cells have in common, over the whole width."""
    spot, numbers = stretch.first, (stretch.spots[0].number, stretch.spots[-1].number)
    text = "; ".join(part for part in (spot.line, spot.ends, *instructions(spot, 0)) if part)
    told = _told(
        paper,
        (f"{numbers[0]} to {numbers[1]}   Method {spot.mount}", text),
        (),
        Point(at.x, at.y + _AIR),
        paper.width,
        tuple(warnings(spot)),
    )
    line = rule(at.x, at.y, paper.width, THIN, paper.ink)
    return Drawn((line, *told.items), told.height + 2 * _AIR)


def _row_of_cells(paper: Paper, row: Sequence[Spot], pictures: Pictures, at: Point) -> Drawn:
    in_row, room = _CELLS[row[0].marker.plan.kind]
    wide = paper.width / in_row
    drawn = [
        _cell(paper, spot, pictures.of(spot.marker.face, room), room, Point(at.x + n * wide, at.y))
        for n, spot in enumerate(row)
    ]
    items = tuple(item for each in drawn for item in each.items)
    return Drawn(items, max(each.height for each in drawn) + _AIR)


def _cell(paper: Paper, spot: Spot, picture: Picture, room: Size, at: Point) -> Drawn:
    """One position of a stretch whose markers differ in their words."""
    ink, plain = paper.ink, paper.voices.plain
    number = paper.voices.strong.line(
        str(spot.number), Point(at.x, baseline(at.y, BODY)), _NAME, ink
    )
    boxes = ticks(paper, spot, Point(at.x + _NUMBER + room.width + 1.0, at.y), _CELL_TICKS)
    placed = picture.at(Point(at.x + _NUMBER, at.y + 0.4))
    below = at.y + picture.size.height + 0.8
    corner = Point(at.x + _NUMBER, below)
    wide = room.width + 1.0 + _CELL_TICKS - _GAP
    texts = [spot.marker.id, *([spot.own] if spot.own else [])]
    own = text_block(plain, "\n".join(texts), corner, BODY, wide, ink)
    height = max(below + own.height - at.y, boxes.height)
    return Drawn((*number, placed, *boxes.items, *own.items), height)
