"""Replacements by year as bars, with their cost, and the rules that the years come from."""

from __future__ import annotations

from collections.abc import Sequence

from layouts.drawing import Point, Rect, rectangle
from layouts.drawing.document import Document, Fill, Item, Stroke
from layouts.drawing.inks import BLACK, Ink, InkRole, Lab
from layouts.drawing.typefaces import Typefaces
from layouts.papers.kit.cautions import Audience, cautions_for
from layouts.papers.kit.paper import (
    BODY,
    NAME,
    THIN,
    Cell,
    Drawn,
    Paper,
    Running,
    draw_title,
    form,
    rule,
    voices_of,
)
from layouts.papers.kit.table import Column
from layouts.schemes.lifetimes import NO_LAMINATE, Lifetime
from layouts.terms.values import frozen

_GRAY = Ink("Gray of bars", Lab(72.0, 0.0, 0.0), InkRole.COLOR)
_HEIGHT = 74.0  # of the bars, mm
_MOST_BARS = 24
_LEAST_STEP = 6.0


@frozen
class YearRow:
    """Pieces due for replacement in a year; ``cost`` is a text, empty where no prices are given.

    ``asked`` says whether the year lies within the round.
    """

    year: str
    pieces: int
    cost: str
    asked: bool


def replacement_chart(
    rows: Sequence[YearRow],
    unknown: int,
    lifetimes: Sequence[Lifetime],
    plant: str,
    typefaces: Typefaces,
    day: str | None,
) -> Document:
    """The chart on US letter pages; ``unknown`` pieces have no known age."""
    title = "Replacements by year"
    foot = "  |  ".join(part for part in (title, plant, day or "") if part)
    paper = Paper(Running(title, plant, foot), voices_of(typefaces), BLACK)
    paper.block(lambda at: draw_title(paper, title, "Register", at))
    total = sum(row.pieces for row in rows)
    cells = [
        Cell("Plant", plant or "–", 2.0),
        Cell("Pieces with a date", str(total)),
        Cell("Pieces of unknown age", str(unknown)),
        Cell("Date", day or "–"),
    ]
    paper.block(lambda at: form(paper, [cells], at))
    paper.heading("Pieces due for replacement")
    if rows:
        paper.block(lambda at: _draw_bars(paper, rows[:_MOST_BARS], at))
        paper.paragraph("Black: within this round. Gray: later.")
    _draw_years(paper, rows)
    _draw_rules(paper, lifetimes)
    paper.heading("What this is worth")
    paper.points(cautions_for(Audience.AUDIT))
    pages = paper.finish("replacements", title)
    return Document("replacements", title, pages, paper.voices.symbols(), day)


def _draw_bars(paper: Paper, rows: Sequence[YearRow], at: Point) -> Drawn:
    """A bar for each year, its number of pieces above it, on a common scale from zero."""
    plain, strong, ink = paper.voices.plain, paper.voices.strong, paper.ink
    most = max(1, *(row.pieces for row in rows))
    step = min(24.0, max(_LEAST_STEP, paper.width / len(rows)))
    foot = at.y + 6.0 + _HEIGHT
    items: list[Item] = [rule(at.x, foot, step * len(rows), 2 * THIN, ink)]
    for index, row in enumerate(rows):
        middle = at.x + (index + 0.5) * step
        height = _HEIGHT * row.pieces / most
        bar = rectangle(Rect(middle - step * 0.3, foot - height, step * 0.6, height))
        if row.pieces:
            items.append(Fill(bar, ink if row.asked else _GRAY))
            items.append(Stroke(bar, ink, THIN))
        number = Point(middle, foot - height - 1.2)
        items += strong.line(str(row.pieces), number, BODY, ink, "center")
        items += plain.line(row.year, Point(middle, foot + 4.0), BODY, ink, "center")
    return Drawn(tuple(items), 6.0 + _HEIGHT + NAME + 5.0)


def _draw_years(paper: Paper, rows: Sequence[YearRow]) -> None:
    paper.heading("By year")
    columns = (
        Column("Year", 24.0),
        Column("Pieces", 24.0),
        Column("Materials", paper.width - 48.0),
    )
    shown = [row for row in rows if row.pieces]
    paper.table(columns, [(row.year, str(row.pieces), row.cost or "–") for row in shown])
    if not shown:
        paper.paragraph("No piece of the register has a date of replacement.")


def _draw_rules(paper: Paper, lifetimes: Sequence[Lifetime]) -> None:
    paper.heading("Expected life and inspections")
    columns = (
        Column("Exposure", 22.0),
        Column("Film", 34.0),
        Column("Laminate", 34.0),
        Column("Years", 14.0),
        Column("Inspect every", 24.0),
        Column("Source", paper.width - 128.0),
    )
    table = [
        (
            str(each.exposure),
            each.film or "any",
            each.laminate if each.laminate != NO_LAMINATE else "without",
            str(each.years),
            f"{each.inspect_months} months",
            each.source,
        )
        for each in lifetimes
    ]
    named = [(*row[:2], row[2] or "any", *row[3:]) for row in table]
    paper.table(columns, named)
