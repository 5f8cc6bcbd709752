"""Turns an order into a job folder. Only this module knows the sequence of the hops.

The same order and options give the same bytes. ``render.draw`` is the short form for one marker.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

from layouts.drawing.document import Document, Step
from layouts.drawing.ink_report import InkReport
from layouts.drawing.inks import Ink
from layouts.drawing.typeset import Typesetter
from layouts.markers.content import content_of
from layouts.markers.drawn_ids import ids_text
from layouts.markers.gather import Marker
from layouts.order.order import Order
from layouts.pages.back import Sides, assemble_back, register_faults
from layouts.pages.check import check_face, check_sheets
from layouts.pages.cuts import CutOptions, Known, prepared_page
from layouts.pages.margin import SheetText
from layouts.pages.sheet import assemble
from layouts.pages.weeding import refuse_frames
from layouts.review.acceptances import idle_acceptances
from layouts.sheets.choice import by_row, misfits
from layouts.sheets.groups import lay_out
from layouts.sheets.made import base_notes, made_markers
from layouts.sheets.pieces import marker_of
from layouts.sheets.sheetplan import SheetPlan
from layouts.sheets.stock import Printer
from layouts.terms.errors import OutputError, refuse_blocked
from layouts.terms.findings import Finding
from render.color.gamut import gamut_findings, ink_report
from render.decide import Decided, decide
from render.files.atomic import manifest
from render.options import Options, printed_date
from render.preflight import HOUSE, PAPERS, inspect, unlimited
from render.processes import process_count, run_all
from render.read.schemes import scheme_files
from render.write import dxf
from render.write.paperwork import Files, Paperwork, paper_pieces
from render.write.pdf.press import intent_of, press_of
from render.write.sheetfiles import Printing, sheet_files

_WORTH_SHARING = 40  # distinct markers, above which a second process saves time


@dataclass(frozen=True, slots=True)
class JobFolder:
    """Everything that one order produces: files by their path in the folder, and the contents.

    ``documents`` are the fronts of each group's sheets as written.
    """

    files: Mapping[str, bytes]
    markers: tuple[Marker, ...]
    groups: tuple[SheetPlan, ...]
    findings: tuple[Finding, ...]
    documents: tuple[Document, ...] = ()


def build(
    order: Order, options: Options, file: str = "", noted: Sequence[Finding] | None = None
) -> JobFolder:
    """Build the job folder of an order.

    ``noted`` holds the findings of its reader, None if the order was not read from a file.

    Raises:
        InputError: a marker is impossible or fits no stock; the error holds every finding.
        BlockedError: a marker must not be printed as it stands, and nobody accepted the finding.
        OutputError: a sheet failed its own inspection.
    """
    options.progress("planning")
    decided = decide(order, options, file)  # 2 decide, 3 compose
    markers = decided.gathered.markers
    found = _all_findings(order, decided, noted)
    refuse_blocked(found)
    too_large = misfits(markers, order, options.shop, file)
    options.progress("nesting")
    processes = process_count() if len(markers) >= _WORTH_SHARING else 1
    nesters = partial(run_all, count=process_count(), watch=partial(options.progress, "nesting"))
    groups, unplaced = lay_out(markers, order, options.shop, nesters)  # 4 nest
    # A marker that is too large is reported by its row, in the words of a check.
    rest = [each for each in unplaced if not (too_large and each.code == "stock-too-small")]
    refuse_blocked((*too_large, *by_row(rest, markers, file)))
    groups = tuple(replace(group, job=order.title) for group in groups)
    options.progress("drawing")
    sides = _assemble_groups(order, decided, groups, options)  # 5 assemble
    options.progress("writing")
    files, findings = _write_files(  # 6 write
        order, decided, groups, sides, (*found, *unplaced), options, processes
    )
    options.progress("preflight")
    _preflight(files, _wanted_so(groups), processes, partial(options.progress, "preflight"))
    files["manifest.json"] = manifest(files)
    return JobFolder(files, markers, groups, findings, tuple(each.front for each in sides))


def _all_findings(
    order: Order, decided: Decided, noted: Sequence[Finding] | None
) -> tuple[Finding, ...]:
    """Findings from reading, planning and review, and those about the order's acceptances."""
    if noted is None:
        return decided.gathered.findings
    found = (*noted, *decided.gathered.findings)
    return (*found, *idle_acceptances(order, found))


def _assemble_groups(
    order: Order, decided: Decided, groups: Sequence[SheetPlan], options: Options
) -> list[Sides]:
    """Every group's sheets as documents, their cuts in order, their geometry checked.

    Raises:
        OutputError: the geometry has a fault.
    """
    setter, text = Typesetter(decided.typefaces.text), SheetText(_heading(order), ())
    markers, date = decided.gathered.markers, printed_date(order.date)
    made: list[Sides] = []
    for group in groups:
        told = _with_notes(text, group, markers)
        front = assemble(group, told, group.printer, setter, date)
        refuse_frames(group, front)
        back = assemble_back(group, front, told, setter) if group.two_faced else None
        made.append(Sides(_cut_in_order(front, CutOptions.of(group.printer)), back))
    _inspect(markers, groups, made)
    return made


def _write_files(
    order: Order,
    decided: Decided,
    groups: tuple[SheetPlan, ...],
    sides: Sequence[Sides],
    found: tuple[Finding, ...],
    options: Options,
    processes: int,
) -> tuple[dict[str, bytes], tuple[Finding, ...]]:
    """Print files, cut files and papers by their path, and every finding of the job."""
    printer = next((group.printer for group in groups), options.shop.printer)
    profile, inks = options.output_profile(printer), _inks_of(each.front for each in sides)
    report = None if profile is None else ink_report(inks, profile, intent_of(printer))
    gathered = decided.gathered
    content_in = partial(
        content_of, gathered.markers, gathered.findings, decided.schemes, ids_text(order)
    )
    findings = (*found, *base_notes(groups), *_off_color(report), *options.approved(content_in))
    date = printed_date(order.date)
    work = Paperwork(
        order,
        made_markers(gathered.markers, groups),
        decided.schemes,
        decided.typefaces,
        content_in(),
        groups,
        findings,
        report,
        options.prices,
        date,
    )
    pieces: list[Callable[[], Files]] = [
        *paper_pieces(work),
        *(
            partial(sheet_files, group, each, _printing(group.printer, inks, options))
            for group, each in zip(groups, sides, strict=True)
        ),
    ]
    if processes > 1:
        for units in sorted({group.printer.cut_units for group in groups}):
            dxf.warm(units)
    files = {
        name: data
        for made in run_all(pieces, processes, partial(options.progress, "writing"))
        for name, data in made
    }
    files.update(scheme_files(decided.schemes, options.folder))
    return files, findings


def _printing(printer: Printer, inks: Iterable[Ink], options: Options) -> Printing:
    """How the files of a group are written for its machines."""
    return Printing(press_of(printer, options.output_profile(printer), inks), options.previews)


def _off_color(report: InkReport | None) -> tuple[Finding, ...]:
    return () if report is None else tuple(gamut_findings(report))


def _cut_in_order(document: Document, options: CutOptions) -> Document:
    """The document with contours as the machine cuts them, the same for every format."""
    known = Known()
    pages = tuple(prepared_page(page, document.symbols, options, known) for page in document.pages)
    return replace(document, pages=pages)


def _wanted_so(groups: Iterable[SheetPlan]) -> frozenset[str]:
    """House rules of the inspection that the shop's file turns off."""
    printers = [group.printer for group in groups]
    codes = {"cut-open"} if any(each.merge_edges for each in printers) else set()
    if any(len(set(each.step_inks.values())) < len(each.step_inks) for each in printers):
        codes.add("step-shared")
    if any(set(each.step_inks.values()) & {step.title for step in Step} for each in printers):
        codes.add("step-shared")
    return frozenset(codes)


def _preflight(
    files: Mapping[str, bytes],
    wanted_so: frozenset[str],
    count: int,
    watch: Callable[[int, int], None],
) -> None:
    """Refuse to release a PDF that our own inspection of print files would fail.

    Raises:
        OutputError: a file failed; each failing point is named.
    """
    written = [(name, data) for name, data in files.items() if name.endswith(".pdf")]
    largest_first = sorted(written, key=lambda each: -len(each[1]))
    found = run_all(
        [partial(_pdf_faults, *each, wanted_so) for each in largest_first], count, watch
    )
    faults = [fault for of_file in found for fault in of_file]
    if faults:
        raise OutputError(f"a written file failed its inspection: {'; '.join(faults)}")


def _pdf_faults(name: str, data: bytes, wanted_so: frozenset[str]) -> list[str]:
    """The failing points of a file, each with the file's name; papers may hold fonts."""
    rules = HOUSE if name.startswith("print/") else PAPERS
    return [
        f"{name}: {point.what} [{point.code}]"
        for point in inspect(data, rules=rules, budget=unlimited()).failures
        if point.code not in wanted_so
    ]


def _inspect(
    markers: Iterable[Marker], groups: Iterable[SheetPlan], sides: Iterable[Sides]
) -> None:
    """Raise with every fault of the geometry, so that no faulty file is written."""
    faults = [fault for marker in markers for fault in check_face(marker.face)]
    for group, each in zip(groups, sides, strict=True):
        faults += check_sheets(group, each.front)
        if each.back is not None:
            faults += register_faults(group, each.front, each.back)
    if faults:
        raise OutputError(f"the sheets failed their inspection: {'; '.join(faults)}")


def _heading(order: Order) -> str:
    revision = f"rev {order.revision}" if order.revision else ""
    return ", ".join(part for part in (order.title, order.plant, revision) if part)


def _with_notes(text: SheetText, group: SheetPlan, markers: Iterable[Marker]) -> SheetText:
    """The slug's text with the mounting notes of the markers on the group's sheets."""
    there = {marker_of(name) for name in group.parts}
    notes = dict.fromkeys(
        note for marker in markers if marker.id in there for note in marker.plan.build.notes
    )
    return SheetText(text.order, tuple(notes))


def _inks_of(documents: Iterable[Document]) -> tuple[Ink, ...]:
    """Every ink of the job, once."""
    return tuple({ink.name: ink for each in documents for ink in each.inks()}.values())
