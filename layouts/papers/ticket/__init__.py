"""The ticket: what the shop prints, cuts and packs, with the proven minimum of each stock."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from layouts.drawing import Point
from layouts.drawing.document import Document, Step
from layouts.drawing.ink_report import InkReport
from layouts.drawing.inks import black_among
from layouts.drawing.typefaces import Typefaces
from layouts.markers.gather import Marker
from layouts.order.order import Order
from layouts.pages.steps import step_ink
from layouts.papers.kit.paper import (
    BODY,
    NAME,
    TITLE,
    Cell,
    Drawn,
    Paper,
    Running,
    form,
    text_block,
    voices_of,
)
from layouts.papers.kit.table import Column
from layouts.papers.materials.hardware import packing_list
from layouts.papers.materials.ink_area import Coverage
from layouts.papers.proof import foot_line
from layouts.papers.ticket.group import group_part, steps_of
from layouts.schemes.model import Scheme
from layouts.sheets.sheetplan import SheetPlan

HANDLING = (
    "Put film on a dry, clean, cured surface at a temperature that its adhesive takes; for a "
    "plate that is done in the shop, before the markers go out.",
    "Nothing pierces or crushes an insulation jacket or its vapor retarder: straps snug, not "
    "tight; no screw, rivet or staple.",
    "Keep the hands of a line apart: a right-hand marker on the wrong side shows the wrong way.",
    "Before fixing, trace the line to both ends and agree it with the P&ID; changing a label "
    "follows the plant's change procedure.",
    "Ammonia, hot surfaces, work at height and isolation are for trained people under local "
    "codes; local codes and licensed practice decide.",
)


def ticket(
    order: Order,
    markers: Sequence[Marker],
    groups: Sequence[SheetPlan],
    schemes: Mapping[str, Scheme],
    typefaces: Typefaces,
    date: str | None = None,
    report: InkReport | None = None,
    coverage: Coverage | None = None,
) -> Document:
    """The shop's ticket on US letter pages; ``date`` is used where the order has none.

    ``report`` says what the printer's profile makes of each ink; without a profile there is none.
    ``coverage`` is what is known of the parts already.
    """
    day = order.date or date
    revision = f"revision {order.revision}" if order.revision else ""
    about = "  |  ".join(part for part in (order.title, order.plant, revision) if part)
    running = Running("Shop ticket", about, foot_line(order, day))
    shapes = (shape for group in groups for part in group.parts.values() for shape in part.art)
    paper = Paper(running, voices_of(typefaces), black_among(shape.ink for shape in shapes))
    paper.block(lambda at: _first_line(paper, groups, at))
    paper.space(3.0)
    paper.block(lambda at: _title(paper, order, at))
    paper.block(lambda at: form(paper, _head(order, groups, schemes, day), at))
    by_id = {marker.id: marker for marker in markers}
    known = coverage or Coverage()
    for group in groups:
        group_part(paper, group, by_id, report, known)
    _mounting(paper, markers)
    paper.heading("Handling")
    paper.points(HANDLING)
    paper.space(4.0)
    paper.block(lambda at: form(paper, _RELEASE, at, least=11.0))
    return Document(
        "ticket",
        f"Shop ticket: {order.title}",
        paper.finish("ticket", "Shop ticket"),
        paper.voices.symbols(),
        day,
    )


# Filled by hand: who lets the job run, by a proof that was approved.
_RELEASE = [
    [
        Cell("Released for production by", "", 2.0),
        Cell("Date", ""),
        Cell("Signature", "", 2.0),
        Cell("By proof no.", ""),
    ]
]


def mapping_line(groups: Sequence[SheetPlan]) -> str:
    """Which inks are no inks, said before anything else."""
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
    return (
        f"Before printing, map these inks to cutting: {', '.join(dict.fromkeys(mapped))}. Set "
        f"{' and '.join(silent)} not to print. An ink that the machine does not know prints as a "
        "line."
    )


_CUT_WORDS: Mapping[Step, str] = {
    Step.ENGRAVE: "engraving",
    Step.HOLE: "hole",
    Step.KISS_CUT: "kiss cut",
    Step.THROUGH_CUT: "through cut",
}


def _first_line(paper: Paper, groups: Sequence[SheetPlan], at: Point) -> Drawn:
    text = mapping_line(groups)
    return text_block(paper.voices.strong, text, at, NAME, paper.width, paper.ink)


def _title(paper: Paper, order: Order, at: Point) -> Drawn:
    strong, plain = paper.voices.strong, paper.voices.plain
    title = strong.paragraph(order.title, at, TITLE, paper.width * 0.78, paper.ink)
    right = Point(at.x + paper.width, at.y + TITLE * 1.4)
    kind = plain.line("SHOP TICKET", right, BODY + 0.4, paper.ink, "right")
    return Drawn((*title.placements, *kind), title.height + 1.5)


def _head(
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
            Cell("Sheets and frames", str(sum(group.copies for group in groups))),
            Cell("Parts", str(sum(sum(group.quantities.values()) for group in groups))),
        ],
    ]


def _mounting(paper: Paper, markers: Sequence[Marker]) -> None:
    rows = packing_list(markers)
    if not rows:
        return
    paper.heading("Mounting parts")
    columns = (
        Column("Part", 84.0),
        Column("Size", 60.0),
        Column("Pieces", paper.width - 144.0, "right"),
    )
    paper.table(columns, rows)
