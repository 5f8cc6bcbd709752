"""One group of sheets on the ticket: figures, work, inks, sheets, pieces, cuts."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from typing import Protocol

from layouts.drawing import Point, Rect
from layouts.drawing.document import Item, Step
from layouts.drawing.ink_report import InkReport
from layouts.drawing.inks import Ink, InkRole
from layouts.markers.gather import Marker
from layouts.pages.steps import step_ink
from layouts.papers.amounts import (
    amount_text,
    area_sheets,
    counts_text,
    forced_text,
    least_text,
    length_text,
    mix_text,
    noun_of,
    price_text,
    shelf_text,
)
from layouts.papers.kit.paper import Cell, Paper, form, swatch
from layouts.papers.kit.table import Column
from layouts.papers.materials.bill import group_waste, kind_of_film, parts_made
from layouts.papers.materials.hardware import carrier_text, tag_text
from layouts.papers.materials.ink_area import Coverage
from layouts.sheets.long_film import JOINING, joints
from layouts.sheets.pieces import marker_of
from layouts.sheets.sheetplan import BACK, Sheet, SheetPlan
from layouts.sheets.stock import Printer, Spots, Surface
from layouts.terms.counts import counted
from layouts.terms.units import MM_PER_INCH, inches
from layouts.terms.words import Backs, PartRole

_SQ_MM_PER_SQ_FT = 304.8 * 304.8
_MOST_ON_SHEET = 12  # markers named in the row of a sheet


def steps_of(group: SheetPlan) -> tuple[Step, ...]:
    """The cuts of a group in working order: inside before outside."""
    parts = group.parts.values()
    there = {
        Step.ENGRAVE: any(part.engraving is not None for part in parts),
        Step.HOLE: any(part.holes is not None for part in parts),
        Step.KISS_CUT: group.role is PartRole.FILM,
        Step.THROUGH_CUT: True,
    }
    return tuple(step for step, needed in there.items() if needed)


def _part_name(name: str, markers: Mapping[str, Marker]) -> str:
    """The marker that a part belongs to; of a film in pieces, which piece."""
    marker = markers[marker_of(name)]
    hand = f", {marker.plan.hand}" if marker.plan.hand else ""
    return f"{marker.plan.name}{hand} {name}"


def draw_group(
    paper: Paper,
    group: SheetPlan,
    markers: Mapping[str, Marker],
    report: InkReport | None,
    coverage: Coverage,
) -> None:
    """Add one group to the ticket: materials, work steps in order, sheets."""
    paper.heading(f"{group.key}: {group.title}, {group.build}")
    paper.block(lambda at: form(paper, _figure_rows(group, markers), at))
    paper.space(1.5)
    paper.points([*_remarks(group, markers), *_work_texts(group, markers)])
    _draw_inks(paper, group, report, coverage)
    _draw_sheets(paper, group, markers)
    _draw_areas(paper, group)
    _draw_pieces(paper, group, markers)
    _draw_cuts(paper, group)


def _draw_sheets(paper: Paper, group: SheetPlan, markers: Mapping[str, Marker]) -> None:
    """A row for each layout: copies, size, cut file and parts."""
    columns = (
        Column("Frame" if group.is_roll else "Sheet", 14.0),
        Column("Copies", 14.0),
        Column("Size", 36.0),
        Column("Cut file", 22.0),
        Column("Parts", paper.width - 86.0),
    )
    paper.space(1.5)
    paper.table(columns, [_sheet_row(each, group, markers) for each in group.sheets])


def _remarks(group: SheetPlan, markers: Mapping[str, Marker]) -> Iterator[str]:
    """What to know before the work begins."""
    yield from _stock_remarks(group, markers)
    if group.is_offcut:
        yield f"Offcuts, used before whole stock: {amount_text(group)}."
    yield f"{counts_text(group)}."
    beside = " The text beside each names its position." if group.role is PartRole.FILM else ""
    for text, more in (
        (forced_text(group), ""),
        (mix_text(group), ""),
        (price_text(group), beside),
        (shelf_text(group), ""),
    ):
        if text:
            yield f"{text[0].upper()}{text[1:]}.{more}"


def _stock_remarks(group: SheetPlan, markers: Mapping[str, Marker]) -> Iterator[str]:
    """The stock besides its name: kind of film, thickness of plate or tag."""
    build = markers[marker_of(next(iter(group.parts)))].plan.build
    match group.role:
        case PartRole.FILM:
            kind = kind_of_film(group, markers)
            if kind:
                laminate = f"; laminate: {kind} too" if build.laminate else ""
                yield f"Film kind: {kind}{laminate}."
        case PartRole.PLATE:
            yield f"Plate: {carrier_text(build)}."
        case PartRole.TAG:
            yield f"Stock: {tag_text(build)}."


def _draw_pieces(paper: Paper, group: SheetPlan, markers: Mapping[str, Marker]) -> None:
    """Film in pieces: their lengths, and how they go together."""
    found = joints([group], markers.values())
    if not found:
        return
    rows = [
        (_part_name(key, markers), " + ".join(map(inches, joint.lengths)), inches(joint.lap))
        for key, joint in sorted(found.items())
    ]
    columns = (
        Column("Film in pieces", 60.0),
        Column("Pieces from left to right", paper.width - 84.0),
        Column("Lap", 24.0, "right"),
    )
    paper.space(1.5)
    paper.table(columns, rows)
    paper.paragraph(JOINING)


def _draw_areas(paper: Paper, group: SheetPlan) -> None:
    """On which sheets each area's parts are, if they were kept together."""
    rows = [(area, ", ".join(texts)) for area, texts in sorted(area_sheets([group]).items())]
    if rows:
        paper.space(1.5)
        paper.table((Column("Area", 60.0), Column("Where", paper.width - 60.0)), rows)


def _draw_cuts(paper: Paper, group: SheetPlan) -> None:
    """Straight cuts from edge to edge, in order; a contour cutter needs none."""
    nested = {sheet.cut: group.nest.arrangements[sheet.nested - 1] for sheet in group.sheets}
    sequences = [
        (group.cut_name(number), cut_text(arrangement.cuts))
        for number, arrangement in sorted(nested.items())
        if arrangement.cuts
    ]
    if not sequences:
        return
    paper.space(1.5)
    columns = (Column("Cut file", 22.0), Column("Straight cuts in order", paper.width - 22.0))
    paper.table(columns, sequences)


class StraightCut(Protocol):
    """A cut from edge to edge of a block, in micrometers from the sheet's left or top edge."""

    @property
    def vertical(self) -> bool:
        """Whether it runs from top to bottom."""

    @property
    def at_um(self) -> int:
        """Where it lies."""

    @property
    def start_um(self) -> int:
        """Where it begins."""

    @property
    def end_um(self) -> int:
        """Where it ends."""


def cut_text(cuts: Iterable[StraightCut]) -> str:
    """The cuts of one arrangement: where from the left or the top edge, and from where to where."""
    return "; ".join(
        f"{number}. {'down' if cut.vertical else 'across'} at {inches(cut.at_um / 1000)} "
        f"({inches(cut.start_um / 1000)} to {inches(cut.end_um / 1000)})"
        for number, cut in enumerate(cuts, start=1)
    )


def _figure_rows(group: SheetPlan, markers: Mapping[str, Marker]) -> list[list[Cell]]:
    waste = group_waste(group, markers)
    todo = "To print" if any(part.art for part in group.parts.values()) else "To cut"
    sheets = counted(group.copies, noun_of(group))
    layouts = counted(len(group.sheets), "layout")
    cells = [
        Cell(todo, f"{sheets}, {layouts}", 1.5),
        Cell("Proven minimum", least_text(group), 1.4),
        Cell("Parts", f"{sum(group.quantities.values())} ({len(group.parts)} distinct)", 1.3),
        Cell("Used", f"{100 - waste.percent:.1f} %", 0.7),
        Cell("Waste", f"{waste.percent:.1f} %, {_sq_ft(waste.area)}", 2.1),
    ]
    if group.is_roll:
        length = group.nest.length_um / 1000
        cells.insert(1, Cell("Length used", length_text(length), 1.4))
    return [cells]


def _work_texts(group: SheetPlan, markers: Mapping[str, Marker]) -> Iterator[str]:
    """The steps of the work in order."""
    printer, layers = group.printer, group.printer.layer_names()
    if any(part.art for part in group.parts.values()):
        yield f"Print print/{group.print_name()}.pdf, each page in the copies listed."
        if group.two_faced:
            yield f"{_turn_text(group)} Print print/{group.print_name()}{BACK}.pdf on the backs."
        if any(part.white for part in group.parts.values()):
            yield _white_text(group)
        laminates = {markers[marker_of(name)].plan.build.laminate or "none" for name in group.parts}
        yield f"Laminate before cutting: {', '.join(sorted(laminates))}."
    for step in steps_of(group):
        knife = printer.knives.get(step)
        how = f" With {knife.text}." if knife is not None and knife.text else ""
        ink = step_ink(step, printer).name
        yield f"{_CUT_TEXTS[step]} (layer {layers[step]}, ink {ink}).{how}"
    if group.two_faced and group.stock.engraved:
        yield f"{_turn_text(group)} Engrave the cut files ending in {BACK} on the backs."
    elif group.two_faced:
        yield "Cut from the fronts."
    yield from _machine_texts(group)


def _turn_text(group: SheetPlan) -> str:
    """How the sheets are turned over, and what has to meet."""
    edge = "top edge (tumble)" if group.backs is Backs.TUMBLE else "left edge (turn)"
    return (
        f"Turn each sheet over along its {edge}: page n of the backs belongs to page n of the "
        "fronts, and the marks of both sides lie on each other."
    )


def _white_text(group: SheetPlan) -> str:
    """When the white plate is printed, and how far it keeps inside the color."""
    ink = step_ink(Step.WHITE, group.printer).name
    choke = group.printer.white_choke
    inside = f", {choke:g} mm inside the color" if choke else ""
    if group.stock.surface is Surface.SECOND:
        return (
            f"Print the colors first, mirrored, on the back of the film; white last over them "
            f"(ink {ink}{inside})."
        )
    return f"White first (ink {ink}{inside}), then the colors over it."


def _machine_texts(group: SheetPlan) -> Iterator[str]:
    """Features of the machine's cut file beyond whole contours."""
    printer = group.printer
    if printer.merge_edges:
        yield "Edges that two neighbors share are cut once."
    if printer.bridge:
        yield (
            f"Through cuts have bridges of {printer.bridge:g} mm, at most "
            f"{printer.bridge_spacing:g} mm apart; break the parts out by hand."
        )
    if printer.weeding_frame and group.role is PartRole.FILM:
        yield f"A weeding frame is cut {printer.weeding_frame:g} mm around the kiss cuts."


_CUT_TEXTS: Mapping[Step, str] = {
    Step.ENGRAVE: "Engrave the words and fill them, before any cut",
    Step.HOLE: "Cut or drill holes and slots first",
    Step.KISS_CUT: "Kiss cut each marker at its edge: through film and laminate, not the liner",
    Step.THROUGH_CUT: "Perimeter cut last",
}


def _draw_inks(
    paper: Paper,
    group: SheetPlan,
    report: InkReport | None,
    coverage: Coverage,
) -> None:
    """Every ink with its color, the area it covers on all sheets, and how close it prints."""
    totals: dict[Ink, float] = {}
    made = parts_made(group)
    for name, part in group.parts.items():
        for ink, area in coverage.of(part).inks.items():
            totals[ink] = totals.get(ink, 0.0) + area * made[name]
    if not totals:
        return
    listed = sorted(totals, key=lambda ink: -totals[ink])
    printed = {each.ink.name: each for each in report.inks} if report else {}

    def chip(index: int, row: Rect) -> tuple[Item, ...]:
        return swatch(Point(row.x + 1.2, row.y + 0.9), 2.7, listed[index], paper.ink)

    columns = (
        Column("", 7.0),
        Column("Ink", 36.0),
        Column("Munsell", 24.0),
        Column("L* (D50)", 18.0, "right"),
        Column("a*", 16.0, "right"),
        Column("b*", 16.0, "right"),
        Column("dE00 in print", 24.0, "right"),
        Column("Area, all copies", paper.width - 141.0, "right"),
    )
    rows = [
        (
            "",
            _ink_name(ink, group),
            ink.munsell or "–",
            *_lab(ink),
            f"{printed[ink.name].delta:.1f}" if ink.name in printed else "–",
            _sq_ft(totals[ink]),
        )
        for ink in listed
    ]
    paper.space(1.5)
    paper.table(columns, rows, chip)
    if report is not None:
        paper.paragraph(_print_note(group.printer, report))


def _ink_name(ink: Ink, group: SheetPlan) -> str:
    """The ink's name in the print file; white has the name that the shop gives it."""
    return step_ink(Step.WHITE, group.printer).name if ink.role is InkRole.WHITE else ink.name


def _print_note(printer: Printer, report: InkReport) -> str:
    """The profile and intent of the computed differences, and the inks the press prints with."""
    how = "in process inks" if printer.spots is Spots.PROCESS else "as spot inks, if converted"
    return f"dE00: {how} by {report.condition}, {report.intent.name.lower()} intent."


def _lab(ink: Ink) -> tuple[str, str, str]:
    return f"{ink.lab.lightness:.2f}", f"{ink.lab.a:.2f}", f"{ink.lab.b:.2f}"


def _sheet_row(
    sheet: Sheet, group: SheetPlan, markers: Mapping[str, Marker]
) -> tuple[str, str, str, str, str]:
    counts = Counter(placed.name for placed in sheet.placed)
    listed = [
        f"{count} x {_part_name(name, markers)}"
        for name, count in sorted(counts.items(), key=lambda each: (-each[1], each[0]))
    ][:_MOST_ON_SHEET]
    more = len(counts) - _MOST_ON_SHEET
    rest = f"; and {counted(more, 'more item')}" if more > 0 else ""
    return (
        str(sheet.number),
        str(sheet.copies),
        f"{_side_text(sheet.width)} x {_side_text(sheet.length)}",
        group.cut_name(sheet.cut),
        f"{counted(len(sheet.placed), 'part')}: {'; '.join(listed)}{rest}",
    )


def _side_text(mm: float) -> str:
    """A side of a sheet: a fraction where it is one, else two decimals, as a shop measures."""
    text = inches(mm)
    return text if "." not in text else f"{mm / MM_PER_INCH:.2f} in"


def _sq_ft(square_mm: float) -> str:
    square_feet, square_meters = square_mm / _SQ_MM_PER_SQ_FT, square_mm / 1e6
    return f"{square_feet:.1f} sq ft ({square_meters:.2f} sq m)"
