"""Survey sheets: every piece of an area in the order of the walk, with boxes for what is seen."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import partial
from itertools import groupby

from layouts.drawing import Point, Rect, Size, rectangle
from layouts.drawing.document import Document, Item, Stroke
from layouts.drawing.inks import BLACK, black_among
from layouts.drawing.typefaces import Typefaces
from layouts.markers.piece_ids import PlacedPiece
from layouts.order.order import Order, PipeMarker
from layouts.papers.kit.cautions import Audience, cautions_for, hazards_of
from layouts.papers.kit.figure import Pictures, Trims
from layouts.papers.kit.paper import (
    BODY,
    NAME,
    RULE,
    THIN,
    Cell,
    Drawn,
    Paper,
    Running,
    baseline,
    draw_title,
    foot_line,
    form,
    rule,
    text_block,
    voices_of,
)
from layouts.survey.sightings import Seen
from layouts.terms.counts import counted
from layouts.terms.site_lengths import ruler_text
from layouts.terms.units import MM_PER_INCH
from layouts.terms.values import frozen
from layouts.terms.words import Kind

_READING = (
    "One line of boxes for each piece, marked with its id. Tick all that is true; tick nothing "
    "where you did not look. Measure the circumference over the insulation with a tape, wherever "
    "you can reach it safely. The same rows are in the workbook of this area; write there what "
    "you wrote here, with your name and the day."
)
_STRAYS = "Markers that hang and are not on this sheet"
_ROOM = Size(40.0, 17.0)
_NUMBER, _TEXT, _BOXES = 9.0, 52.0, 104.0  # from the left edge to each column, mm
_GAP = 2.0
_BOX, _LINE, _IN_LINE = 2.4, 4.0, 4
_BLANK = 8.5  # height of a row to write in
_BLANK_ROWS = 8
_TITLES = 4.6
_BLANK_COLUMNS = (
    ("Line or tag", 0.16),
    ("What it says", 0.28),
    ("Where", 0.22),
    ("From, to", 0.18),
    ("Note, photo", 0.16),
)


@frozen
class SurveyHead:
    """What every sheet of a survey says at its head: ``seal`` names the list it was made of."""

    order: Order
    seal: str
    day: str | None


def survey_sheets(
    head: SurveyHead, pieces: Sequence[PlacedPiece], typefaces: Typefaces
) -> Mapping[str, Document]:
    """A sheet on US letter pages for each area, by its name, in the order of the walk."""
    ink = black_among(
        shape.ink for each in pieces for part in each.marker.face.parts for shape in part.art
    )
    trims = Trims(ink)
    return {
        area: _draw_sheet(head, area, list(own), typefaces, Pictures(trims))
        for area, own in groupby(pieces, lambda piece: piece.area)
    }


def blank_sheet(area: str, day: str | None, typefaces: Typefaces, rows: int) -> Document:
    """A sheet for starting without a list: blank rows for existing or missing markers."""
    title = f"Walk-down: {area}"
    paper = Paper(Running(title, title, day or ""), voices_of(typefaces), BLACK)
    paper.block(lambda at: draw_title(paper, area, "Walk-down", at))
    paper.block(lambda at: form(paper, [_signature_cells()], at, least=11.0))
    paper.heading("Before you walk")
    paper.points(cautions_for(Audience.SURVEY))
    paper.heading("One row per marker, valve or machine, whether a marker hangs there or not")
    _draw_blanks(paper, rows)
    pages = paper.finish("survey", title)
    return Document(f"survey-{area}", title, pages, paper.voices.symbols(), day)


def _draw_sheet(
    head: SurveyHead,
    area: str,
    pieces: Sequence[PlacedPiece],
    typefaces: Typefaces,
    pictures: Pictures,
) -> Document:
    order = head.order
    title = f"Survey: {area}"
    about = "  |  ".join(part for part in (area, order.plant, f"list {head.seal}") if part)
    paper = Paper(
        Running(title, about, f"{foot_line(order, head.day)}  |  list {head.seal}"),
        voices_of(typefaces),
        pictures.ink,
    )
    paper.block(lambda at: draw_title(paper, area, "Survey sheet", at))
    paper.block(lambda at: form(paper, _head_rows(head, pieces), at))
    paper.space(1.5)
    paper.block(lambda at: form(paper, [_signature_cells()], at, least=11.0))
    paper.heading("Before you walk")
    places = [(piece.marker, piece.placing) for piece in pieces]
    paper.points(cautions_for(Audience.SURVEY, hazards_of(places)))
    paper.heading(f"{counted(len(pieces), 'piece')}, in the order of the walk")
    paper.paragraph(_READING)
    paper.points([f"{seen}: {seen.help}" for seen in Seen])
    paper.space(1.0)
    for _, same in groupby(pieces, lambda piece: piece.number):
        _draw_entry(paper, list(same), pictures)
    paper.heading(_STRAYS)
    paper.paragraph("Write what each says. Leave it where it is.")
    _draw_blanks(paper, _BLANK_ROWS)
    return Document(
        f"survey-{area}",
        f"{title}, {order.plant or order.title}",
        paper.finish("survey", title),
        {**pictures.symbols(), **paper.voices.symbols()},
        order.date or head.day,
    )


def _head_rows(head: SurveyHead, pieces: Sequence[PlacedPiece]) -> list[list[Cell]]:
    order = head.order
    kinds = {kind: sum(each.marker.plan.kind is kind for each in pieces) for kind in Kind}
    return [
        [
            Cell("Plant", order.plant or "–", 2.0),
            Cell("List", order.title, 2.0),
            Cell("Revision", order.revision or "–"),
            Cell("List no.", head.seal),
        ],
        [
            Cell("Pieces", str(len(pieces))),
            Cell("Pipe markers", str(kinds[Kind.PIPE])),
            Cell("Equipment markers", str(kinds[Kind.EQUIPMENT])),
            Cell("Valve tags", str(kinds[Kind.VALVE])),
        ],
    ]


def _signature_cells() -> list[Cell]:
    return [
        Cell("Surveyed by", "", 2.0),
        Cell("Date", ""),
        Cell("Entered in the workbook by", "", 2.0),
    ]


def _draw_entry(paper: Paper, pieces: Sequence[PlacedPiece], pictures: Pictures) -> None:
    """One position with its picture; the pieces beyond what a page holds go on the next."""
    left = list(pieces)
    while left:
        most = max(1, int((paper.room - 2.0) // _piece_height()))
        if most < min(len(left), 3) and paper.begun:
            paper.turn()
            continue
        part, left = left[:most], left[most:]
        paper.block(partial(_draw_position, paper, part, pictures))


def _piece_height() -> float:
    return _LINE * 3 + 2.4


def _draw_position(
    paper: Paper, pieces: Sequence[PlacedPiece], pictures: Pictures, at: Point
) -> Drawn:
    first, ink = pieces[0], paper.ink
    top = at.y + 1.2
    items: list[Item] = [rule(at.x, at.y, paper.width, RULE, ink)]
    items += paper.voices.strong.line(
        str(first.number), Point(at.x, baseline(top, NAME)), NAME, ink
    )
    picture = pictures.of(first.marker.face, _ROOM)
    items += picture.at(Point(at.x + _NUMBER, top))
    said, height = _draw_texts(paper, first, Point(at.x + _TEXT, top))
    items += said
    height = max(height, picture.size.height)
    y = top
    for piece in pieces:
        items += _draw_boxes(paper, piece, Point(at.x + _BOXES, y))
        y += _piece_height()
    return Drawn(tuple(items), max(height, y - top) + 2.4)


def _draw_texts(paper: Paper, piece: PlacedPiece, at: Point) -> tuple[list[Item], float]:
    """Name, place and size of the required marker."""
    width = _BOXES - _TEXT - _GAP
    plan = piece.placing.plan
    hand = f", {plan.hand}" if plan.hand else ""
    items: list[Item] = []
    y = at.y
    for setter, text in (
        (paper.voices.strong, f"{plan.name}{hand}"),
        *((paper.voices.plain, text) for text in _place_lines(piece)),
    ):
        block = text_block(setter, text, Point(at.x, y), BODY, width, paper.ink)
        items += block.items
        y += block.height
    return items, y - at.y


def _place_lines(piece: PlacedPiece) -> Iterator[str]:
    position, plan = piece.placing.position, piece.placing.plan
    line = f"line {position.line}" if position.line else ""
    drawing = f"P&ID {position.drawing}" if position.drawing else ""
    yield from _filled(", ".join(part for part in (line, drawing) if part))
    if isinstance(piece.placing.spec, PipeMarker):
        yield f"from {position.from_ or '____'} to {position.to or '____'}"
    yield from _filled("; ".join(part for part in (position.location, position.spot) if part))
    if plan.od is not None:
        yield f"{ruler_text(plan.od)} diameter, {math.pi * plan.od / MM_PER_INCH:.1f} in around"
    if position.row is not None:
        yield f"row {position.row}"


def _filled(*texts: str) -> Iterable[str]:
    return (text for text in texts if text)


def _draw_boxes(paper: Paper, piece: PlacedPiece, at: Point) -> Iterator[Item]:
    """The boxes of one piece, its id, and what to write down."""
    plain, strong, ink = paper.voices.plain, paper.voices.strong, paper.ink
    width = paper.width - _BOXES
    step = width / _IN_LINE
    first = baseline(at.y, BODY)
    yield from strong.line(piece.id, Point(at.x, first), BODY, ink)
    for share, last, label in ((1.0, 1.85, "around"), (1.9, 4.0, "reads, note, photo")):
        x = at.x + share * step
        yield from plain.line(label, Point(x, first), BODY, ink)
        start = x + plain.width(label, BODY) + 1.0
        yield rule(start, first + 0.6, at.x + last * step - start, THIN, ink)
    for index, seen in enumerate(Seen):
        line, column = divmod(index, _IN_LINE)
        x, y = at.x + column * step, at.y + (line + 1) * _LINE
        box = Rect(x, baseline(y, BODY) - BODY - (_BOX - BODY) / 2, _BOX, _BOX)
        yield Stroke(rectangle(box), ink, 0.2)
        yield from plain.line(seen, Point(x + _BOX + 1.0, baseline(y, BODY)), BODY, ink)


def _draw_blanks(paper: Paper, rows: int) -> None:
    """Rows to write in; their titles are on every page."""
    titled = False
    for _ in range(rows):
        if not titled or paper.room < _BLANK:
            paper.keep(_TITLES + 3 * _BLANK)
            paper.block(lambda at: _draw_blank(paper, _TITLES, True, at))
            titled = True
        paper.block(lambda at: _draw_blank(paper, _BLANK, False, at))


def _draw_blank(paper: Paper, height: float, titled: bool, at: Point) -> Drawn:
    items: list[Item] = []
    x = at.x
    for title, share in _BLANK_COLUMNS:
        box = Rect(x, at.y, paper.width * share, height)
        items.append(Stroke(rectangle(box), paper.ink, THIN))
        if titled:
            spot = Point(x + 1.2, baseline(at.y + 0.6, BODY))
            items += paper.voices.strong.line(title, spot, BODY, paper.ink)
        x += paper.width * share
    return Drawn(tuple(items), height)
