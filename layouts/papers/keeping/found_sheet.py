"""The result of a survey: change sheet with pictures, in working order, and questions."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace
from functools import partial

from layouts.drawing import Point, Rect, Size, rectangle
from layouts.drawing.document import Document, Item, Stroke
from layouts.drawing.inks import black_among
from layouts.drawing.typefaces import Typefaces
from layouts.markers.piece_ids import PlacedPiece
from layouts.order.order import Order, Position
from layouts.order.position import PlaceDetails
from layouts.papers.changes import place_text
from layouts.papers.kit.cautions import Audience, cautions_for
from layouts.papers.kit.figure import Pictures, Trims
from layouts.papers.kit.paper import (
    BODY,
    NAME,
    THIN,
    Cell,
    Drawn,
    Paper,
    Running,
    draw_title,
    foot_line,
    form,
    rule,
    text_block,
    voices_of,
)
from layouts.papers.kit.table import Column
from layouts.survey.outcome import Outcome, Question, Surveyed, Verdict
from layouts.survey.sightings import Noted, Stray
from layouts.terms.counts import counted
from layouts.terms.site_lengths import feet_and_inches

_HEADINGS = {
    Verdict.REPLACE: "Replace",
    Verdict.ADD: "Add",
    Verdict.LOOK: "Look again",
}
_ROOM = Size(48.0, 20.0)
_TEXT = 54.0  # from the left edge to the words beside a picture, mm
_BOX = 2.4
_LEAST = 40.0


def found_sheet(order: Order, surveyed: Surveyed, typefaces: Typefaces, day: str) -> Document:
    """The change sheet of a survey on US letter pages; ``day`` is that of reading."""
    ink = black_among(
        shape.ink
        for each in surveyed.outcomes
        for part in each.piece.marker.face.parts
        for shape in part.art
    )
    pictures = Pictures(Trims(ink))
    about = "  |  ".join(part for part in (order.title, order.plant) if part)
    paper = Paper(
        Running("Survey: what to change", about, f"{foot_line(order, None)}  |  read {day}"),
        voices_of(typefaces),
        ink,
    )
    paper.block(lambda at: draw_title(paper, order.title, "Survey: changes", at))
    paper.block(lambda at: form(paper, _head_rows(order, surveyed, day), at))
    paper.heading("Before you change anything")
    paper.points(cautions_for(Audience.CHANGES))
    _draw_questions(paper, surveyed.questions)
    for verdict, heading in _HEADINGS.items():
        _draw_outcomes(paper, heading, surveyed.of(verdict), pictures)
    _draw_strays(paper, surveyed.strays)
    _draw_open(paper, surveyed.of(Verdict.OPEN))
    return Document(
        "survey-changes",
        f"Survey: {order.plant or order.title}",
        paper.finish("survey-changes", "Survey: what to change"),
        {**pictures.symbols(), **paper.voices.symbols()},
        day,
    )


def _head_rows(order: Order, surveyed: Surveyed, day: str) -> list[list[Cell]]:
    return [
        [
            Cell("Plant", order.plant or "–", 2.0),
            Cell("List: revision", order.revision or "–"),
            Cell("Read on", day),
            Cell("Questions", str(len(surveyed.questions))),
        ],
        [Cell(str(each).capitalize(), str(surveyed.count(each))) for each in Verdict],
    ]


def _draw_questions(paper: Paper, questions: Sequence[Question]) -> None:
    """Asked of the P&ID and the line list before anything is made."""
    if not questions:
        return
    paper.heading(f"Ask the P&ID and the line list first: {counted(len(questions), 'question')}")
    rest = paper.width - 10.0
    columns = (
        Column("Done", 10.0),
        Column("Area", rest * 0.14),
        Column("Line or tag", rest * 0.15),
        Column("Where", rest * 0.2),
        Column("Question", rest * 0.34),
        Column("Seen by", rest * 0.17),
    )
    rows = [
        ("", each.area, each.thing or "–", each.where or "–", each.what, each.noted.signed)
        for each in questions
    ]
    paper.table(columns, rows, lambda _, box: _tick_box(paper, box))


def _draw_outcomes(
    paper: Paper, heading: str, outcomes: Sequence[Outcome], pictures: Pictures
) -> None:
    """Pieces that take the same marker for the same reason share its picture."""
    if not outcomes:
        return
    paper.heading(f"{heading}: {counted(len(outcomes), 'piece')}")
    groups: dict[tuple[str, str], list[Outcome]] = defaultdict(list)
    for each in outcomes:
        groups[each.piece.marker.id, each.reason].append(each)
    for same in groups.values():
        paper.keep(_LEAST)
        paper.block(partial(_draw_marker, paper, same, pictures))
        _draw_places(paper, same)


def _draw_marker(paper: Paper, same: Sequence[Outcome], pictures: Pictures, at: Point) -> Drawn:
    first, ink = same[0], paper.ink
    plan = first.piece.placing.plan
    items: list[Item] = [rule(at.x, at.y, paper.width, 2 * THIN, ink)]
    top = at.y + 1.6
    picture = pictures.of(first.piece.marker.face, _ROOM)
    items += picture.at(Point(at.x, top))
    y = top
    hand = f", {plan.hand}" if plan.hand else ""
    for setter, size, text in (
        (paper.voices.strong, NAME, f"{plan.name}{hand}  {first.piece.marker.id}"),
        (paper.voices.plain, BODY, f"Why: {first.reason}"),
        (paper.voices.plain, BODY, plan.build.mount_text),
    ):
        block = text_block(setter, text, Point(at.x + _TEXT, y), size, paper.width - _TEXT, ink)
        items += block.items
        y += block.height + 0.4
    return Drawn(tuple(items), max(picture.size.height, y - top) + 3.2)


def _draw_places(paper: Paper, same: Sequence[Outcome]) -> None:
    rest = paper.width - 10.0
    columns = (
        Column("Done", 10.0),
        Column("Piece", rest * 0.13),
        Column("Area", rest * 0.16),
        Column("Line or tag", rest * 0.15),
        Column("Where", rest * 0.26),
        Column("Written down", rest * 0.3),
    )
    rows = [
        (
            "",
            each.piece.id,
            each.piece.area,
            each.piece.thing or "–",
            _where(each.piece),
            "; ".join(dict.fromkeys(text for row in each.rows for text in _said(row.noted))),
        )
        for each in same
    ]
    paper.table(columns, rows, lambda _, box: _tick_box(paper, box))
    paper.space(3.0)


def _draw_strays(paper: Paper, strays: Sequence[Stray]) -> None:
    if not strays:
        return
    paper.heading(f"Remove: {counted(len(strays), 'marker')} in no list")
    paper.paragraph(
        "Each has a question above. Take it down only after the question is answered: the list "
        "may be what is wrong."
    )
    rest = paper.width - 10.0
    columns = (
        Column("Done", 10.0),
        Column("It reads", rest * 0.26),
        Column("Area", rest * 0.16),
        Column("Line or tag", rest * 0.15),
        Column("Where", rest * 0.23),
        Column("Written down", rest * 0.2),
    )
    rows = [
        (
            "",
            each.noted.reads,
            each.area,
            each.thing or "–",
            _place(
                Position(location=each.location, details=PlaceDetails(from_=each.from_, to=each.to))
            ),
            "; ".join((*each.seen, *_said(replace(each.noted, reads="")))),
        )
        for each in strays
    ]
    paper.table(columns, rows, lambda _, box: _tick_box(paper, box))


def _draw_open(paper: Paper, outcomes: Sequence[Outcome]) -> None:
    """Pieces that nobody looked at, so that they are not taken for good ones."""
    if not outcomes:
        return
    paper.heading(f"Not surveyed: {counted(len(outcomes), 'piece')}")
    paper.paragraph("Nothing is known of these. Nothing is ordered for them, and none is left out.")
    columns = (
        Column("Area", paper.width * 0.2),
        Column("Pieces", paper.width * 0.1, "right"),
        Column("Ids", paper.width * 0.7),
    )
    by_area: dict[str, list[str]] = defaultdict(list)
    for each in outcomes:
        by_area[each.piece.area].append(each.piece.id)
    rows = [(area, str(len(ids)), ", ".join(ids)) for area, ids in by_area.items()]
    paper.table(columns, rows)


def _said(noted: Noted) -> tuple[str, ...]:
    """Who wrote what, for a table."""
    return (*noted.texts, noted.signed)


def _where(piece: PlacedPiece) -> str:
    position = piece.placing.position
    spot = f"{feet_and_inches(position.at)} from start" if position.at is not None else ""
    where = _place(replace(position, area="", line=""))
    return ", ".join(part for part in (where, spot) if part and part != "–") or "–"


def _place(position: Position) -> str:
    text = place_text(position)
    return "–" if text == "no place given" else text


def _tick_box(paper: Paper, box: Rect) -> tuple[Item, ...]:
    square = Rect(box.x + 1.0, box.y + box.height / 2 - _BOX / 2, _BOX, _BOX)
    return (Stroke(rectangle(square), paper.ink, THIN),)
