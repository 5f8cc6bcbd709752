"""The page of a round: what to look at and what to replace, area by area, to check off."""

from __future__ import annotations

from collections.abc import Sequence

from layouts.drawing import Rect, rectangle
from layouts.drawing.document import Document, Item, Stroke
from layouts.drawing.inks import BLACK
from layouts.drawing.typefaces import Typefaces
from layouts.papers.kit.cautions import Audience, cautions_for
from layouts.papers.kit.paper import (
    THIN,
    Cell,
    Paper,
    Running,
    draw_title,
    form,
    voices_of,
)
from layouts.papers.kit.table import Column
from layouts.register.due import Due, Round, ids_text, neighbors
from layouts.survey.sightings import Seen
from layouts.terms.tags import natural_key

_BOX = 2.4


def round_page(due: Round, plant: str, typefaces: Typefaces, day: str | None) -> Document:
    """The paper that a crew carries, on US letter pages."""
    title = f"Round until {due.until}"
    foot = "  |  ".join(part for part in (title, plant, day or "") if part)
    paper = Paper(Running(title, plant, foot), voices_of(typefaces), BLACK)
    paper.block(lambda at: draw_title(paper, title, "Round", at))
    paper.block(lambda at: form(paper, _head_rows(due, plant, day), at))
    paper.space(1.5)
    paper.block(lambda at: form(paper, [_signature()], at, least=11.0))
    paper.heading("Before you go")
    paper.points(cautions_for(Audience.ROUNDS))
    paper.paragraph(
        f"Seen is one of: {', '.join(Seen)}. Several may be true. A marker with nothing written "
        "beside it counts as not looked at."
    )
    for area in sorted({each.entry.area for each in (*due.inspect, *due.replace)}, key=natural_key):
        _draw_area(paper, area, due)
    if not (due.inspect or due.replace):
        paper.heading("Nothing is due")
    return Document("round", title, paper.finish("round", title), paper.voices.symbols(), day)


def _head_rows(due: Round, plant: str, day: str | None) -> list[list[Cell]]:
    return [
        [
            Cell("Plant", plant or "–", 2.0),
            Cell("Until", due.until),
            Cell("To inspect", str(len(due.inspect))),
            Cell("To replace", str(len(due.replace))),
            Cell("Date", day or "–"),
        ]
    ]


def _signature() -> list[Cell]:
    return [Cell("Done by", "", 2.0), Cell("Date", ""), Cell("Entered in the register by", "", 2.0)]


def _draw_area(paper: Paper, area: str, due: Round) -> None:
    inspect = [each for each in due.inspect if each.entry.area == area]
    replace = [each for each in due.replace if each.entry.area == area]
    texts = [
        f"{count} to {what}"
        for count, what in ((len(inspect), "inspect"), (len(replace), "replace"))
        if count
    ]
    paper.heading(f"{area}: {', '.join(texts)}")
    if replace:
        _draw_table(paper, "Replace", replace, "Why, since")
    if inspect:
        paper.space(2.0)
        _draw_table(paper, "Inspect", inspect, "Seen")


def _draw_table(paper: Paper, what: str, rows: Sequence[Due], last: str) -> None:
    rest = paper.width - 10.0
    columns = (
        Column(what, 14.0),
        Column("Piece", rest * 0.14),
        Column("Line or tag", rest * 0.16),
        Column("Marker", rest * 0.27),
        Column("Where", rest * 0.22),
        Column(last, rest * 0.21 - 4.0),
    )
    paper.keep(20.0)
    table = [_row(each, what) for each in neighbors(rows)]
    paper.table(columns, table, lambda _, box: _tick_box(paper, box))


def _row(same: Sequence[Due], what: str) -> tuple[str, ...]:
    """Pieces of one marker at one place, with all of their ids."""
    due, entry = same[0], same[0].entry
    why = f"{due.why}, {due.since}" if what == "Replace" else ""
    marker = f"{len(same)} x {entry.marker}" if len(same) > 1 else entry.marker
    place = (entry.line_or_tag or "–", marker or "–", entry.position or "–")
    return "", ids_text(same), *place, why


def _tick_box(paper: Paper, box: Rect) -> tuple[Item, ...]:
    square = Rect(box.x + 1.0, box.y + box.height / 2 - _BOX / 2, _BOX, _BOX)
    return (Stroke(rectangle(square), paper.ink, THIN),)
