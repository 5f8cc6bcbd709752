"""The ticket: what the shop prints, cuts and packs, with the proven minimum of each stock."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from layouts.drawing import Point
from layouts.drawing.document import Document, Step
from layouts.drawing.ink_report import InkReport
from layouts.drawing.inks import black_among
from layouts.drawing.typefaces import Typefaces
from layouts.markers.gather import Marker
from layouts.order.order import Order
from layouts.pages.steps import step_ink
from layouts.papers.kit.cautions import Audience, cautions_for, hazards_of
from layouts.papers.kit.paper import (
    NAME,
    Cell,
    Drawn,
    Paper,
    draw_title,
    form,
    running_lines,
    text_block,
    voices_of,
)
from layouts.papers.kit.table import Column
from layouts.papers.materials.hardware import packing_table
from layouts.papers.materials.ink_area import Coverage
from layouts.papers.materials.model import WASTE_RULE
from layouts.papers.ticket.bags import draw_bags
from layouts.papers.ticket.group import draw_group, steps_of
from layouts.schemes.model import Scheme
from layouts.sheets.gang import Gang
from layouts.sheets.sheetplan import SheetPlan


def ticket(
    order: Order,
    markers: Sequence[Marker],
    groups: Sequence[SheetPlan],
    schemes: Mapping[str, Scheme],
    typefaces: Typefaces,
    date: str | None = None,
    report: InkReport | None = None,
    coverage: Coverage | None = None,
    gang: Gang | None = None,
) -> Document:
    """The shop's ticket on US letter pages; ``date`` is used if the order has none.

    ``report`` gives each ink as the printer's profile renders it; without a profile there is no
    report. ``coverage`` is the ink coverage of the parts where already known. ``gang`` names the
    orders where several share the sheets.
    """
    day = order.date or date
    shapes = (shape for group in groups for part in group.parts.values() for shape in part.art)
    ink = black_among(shape.ink for shape in shapes)
    paper = Paper(running_lines(_KIND, order, day), voices_of(typefaces), ink)
    paper.block(lambda at: _draw_mapping(paper, groups, at))
    paper.space(3.0)
    paper.block(lambda at: draw_title(paper, order.title, _KIND, at))
    paper.block(lambda at: form(paper, _head_rows(order, groups, schemes, day), at))
    by_id = {marker.id: marker for marker in markers}
    known = coverage or Coverage()
    for group in groups:
        draw_group(paper, group, by_id, report, known)
    paper.space(1.5)
    paper.paragraph(WASTE_RULE)
    if gang is not None:
        draw_bags(paper, gang, groups, by_id)
    _draw_mounting(paper, markers)
    paper.heading("Handling")
    places = ((marker, placing) for marker in markers for placing in marker.placings)
    paper.points(cautions_for(Audience.TICKET, hazards_of(places)))
    paper.space(4.0)
    paper.block(lambda at: form(paper, _RELEASE, at, least=11.0))
    return Document(
        "ticket",
        f"{_KIND}: {order.title}",
        paper.finish("ticket", _KIND),
        paper.voices.symbols(),
        day,
    )


_KIND = "Shop ticket"
# Filled in by hand: who releases the job, against which approved proof.
_RELEASE = [
    [
        Cell("Released for production by", "", 2.0),
        Cell("Date", ""),
        Cell("Signature", "", 2.0),
        Cell("Proof no.", ""),
    ]
]


def mapping_line(groups: Sequence[SheetPlan]) -> str:
    """Which inks are cut lines and not printed, stated before anything else."""
    steps = [step for step in _CUT_WORDS if any(step in steps_of(group) for group in groups)]
    if not steps:
        return "Nothing on this ticket is cut."
    mapped = (
        f"{step_ink(step, group.printer).name} = {_CUT_WORDS[step]}"
        for step in steps
        for group in groups
        if step in steps_of(group)
    )
    silent = dict.fromkeys(
        step_ink(step, group.printer).name
        for step in (Step.NOTES, Step.MARKS)
        for group in groups
        if step is Step.NOTES or group.printer.marks is not None
    )
    named, notes = ", ".join(dict.fromkeys(mapped)), " and ".join(silent)
    return (
        f"Before printing, map these inks to cutting: {named}. Set {notes} not to print. An ink "
        "that the machine does not recognize prints as a line."
    )


_CUT_WORDS: Mapping[Step, str] = {
    Step.ENGRAVE: "engraving",
    Step.HOLE: "hole",
    Step.KISS_CUT: "kiss cut",
    Step.THROUGH_CUT: "through cut",
}


def _draw_mapping(paper: Paper, groups: Sequence[SheetPlan], at: Point) -> Drawn:
    text = mapping_line(groups)
    return text_block(paper.voices.strong, text, at, NAME, paper.width, paper.ink)


def _head_rows(
    order: Order,
    groups: Sequence[SheetPlan],
    schemes: Mapping[str, Scheme],
    day: str | None,
) -> list[list[Cell]]:
    titles = dict.fromkeys(group.printer.title for group in groups)
    editions = "; ".join(
        f"{scheme.title}, edition {scheme.edition}" for _, scheme in sorted(schemes.items())
    )
    return [
        [Cell("Scheme", editions)],
        [
            Cell("Plant", order.plant or "–", 2.0),
            Cell("Revision", order.revision or "–"),
            Cell("Date", day or "–"),
        ],
        [
            Cell("Machines", "; ".join(titles), 2.0),
            *_count_cells(groups),
        ],
    ]


def _count_cells(groups: Sequence[SheetPlan]) -> Iterator[Cell]:
    """Frames, sheets and parts of all groups, copies counted."""
    frames = sum(group.copies for group in groups if group.is_roll)
    sheets = sum(group.copies for group in groups if not group.is_roll)
    if frames:
        yield Cell("Roll frames", str(frames))
    if sheets:
        yield Cell("Sheets", str(sheets))
    yield Cell("Parts", str(sum(sum(group.quantities.values()) for group in groups)))


def _draw_mounting(paper: Paper, markers: Sequence[Marker]) -> None:
    rows = packing_table(markers)
    if not rows:
        return
    paper.heading("Mounting hardware")
    columns = (
        Column("Part", 44.0),
        Column("Specification", paper.width - 118.0),
        Column("Size", 46.0),
        Column("Pieces", 28.0, "right"),
    )
    paper.table(columns, rows)
