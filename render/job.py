"""Turns an order into a job folder. Only this module knows the sequence of the hops.

The same order and options give the same bytes. ``render.draw`` is the short form for one marker.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import partial

from layouts.drawing.ink_report import InkReport
from layouts.drawing.inks import Ink
from layouts.markers.content import content_of
from layouts.markers.drawn_ids import ids_text
from layouts.markers.gather import Marker
from layouts.order.order import Order
from layouts.pages.margin import SheetText
from layouts.review.acceptances import idle_acceptances
from layouts.sheets.choice import by_row, misfits
from layouts.sheets.gang import Gang
from layouts.sheets.groups import Groups, RunAll, lay_out
from layouts.sheets.made import base_notes, made_markers
from layouts.sheets.pieces import marker_of
from layouts.sheets.sheetplan import SheetPlan
from layouts.terms.errors import refuse_blocked
from layouts.terms.findings import Finding
from layouts.terms.values import frozen
from render.color.gamut import gamut_findings, ink_report
from render.decide import Decided, decide
from render.files.atomic import JobFiles
from render.options import Options, printed_date
from render.processes import process_count, run_all
from render.read.schemes import scheme_files
from render.release import release
from render.write.paperwork import Files, Paperwork, Share, paper_makers
from render.write.pdf.press import intent_of, press_of
from render.write.sheetfiles import Printing, sheet_files

_WORTH_SHARING = 40  # distinct markers, above which a second process saves time


@frozen
class JobFolder:
    """Everything that one order produces; ``files`` gives the content of each by its path."""

    files: JobFiles
    markers: tuple[Marker, ...]
    groups: tuple[SheetPlan, ...]
    findings: tuple[Finding, ...]


def build(
    order: Order,
    options: Options,
    file: str = "",
    noted: Sequence[Finding] | None = None,
    files: JobFiles | None = None,
) -> JobFolder:
    """Build the job folder of an order.

    ``noted`` holds the findings of its reader, None if the order was not read from a file. Files
    go into ``files``, from any process; without it they are held in memory.

    Raises:
        InputError: a marker is impossible or fits no stock; the error holds every finding.
        BlockedError: a marker must not be printed as it stands, and nobody accepted the finding.
        OutputError: a sheet or a file failed its own inspection, or cannot be written.
    """
    return write_job(nest_order(order, options, file, noted), files)


@frozen
class NestedOrder:
    """An order after hop 4: decided, composed and nested, nothing written."""

    order: Order
    options: Options
    decided: Decided
    groups: tuple[SheetPlan, ...]
    findings: tuple[Finding, ...]


def nest_order(
    order: Order, options: Options, file: str = "", noted: Sequence[Finding] | None = None
) -> NestedOrder:
    """Hops 2 to 4; takes and raises what ``build`` does."""
    options.progress("planning")
    decided = decide(order, options, file)  # 2 decide, 3 compose
    markers = decided.gathered.markers
    found = _all_findings(order, decided, noted)
    refuse_blocked(found)
    too_large = misfits(markers, order, options.shop, file)
    options.progress("nesting")
    groups, unplaced = nest_groups(markers, order, options)  # 4 nest
    # A marker that is too large is reported by its row, in the words of a check.
    rest = [each for each in unplaced if not (too_large and each.code == "stock-too-small")]
    refuse_blocked((*too_large, *by_row(rest, markers, file)))
    groups = tuple(replace(group, job=order.title) for group in groups)
    return NestedOrder(order, options, decided, groups, (*found, *unplaced))


def nest_groups(markers: Sequence[Marker], order: Order, options: Options) -> Groups:
    """Hop 4, independent groups in as many processes as fit.

    Raises:
        InputError: the shop keeps no such stock, or an offcut could be of several builds.
        OutputError: a nest failed its judge.
    """
    watch = partial(options.progress, "nesting")
    run: RunAll = partial(run_all, count=process_count(), watch=watch)
    return lay_out(markers, order, options.shop, run, options.progress)


def write_job(
    nested: NestedOrder,
    files: JobFiles | None = None,
    share: Share = Share.WHOLE,
    gang: Gang | None = None,
) -> JobFolder:
    """Hops 5 and 6; ``share`` says which part of the files, ``gang`` whose orders they are for.

    Raises:
        OutputError: a sheet or a file failed its own inspection, or cannot be written.
    """
    options, decided, groups = nested.options, nested.decided, nested.groups
    markers = decided.gathered.markers
    processes = process_count() if len(markers) >= _WORTH_SHARING else 1
    options.progress("writing")
    files = JobFiles() if files is None else files
    makers, findings = _file_makers(nested, share, gang)
    release(makers, markers, groups, files, processes, options.progress)  # 5 assemble, 6 write
    if share is not Share.GANG:
        for name, data in scheme_files(decided.schemes, options.folder).items():
            files.put(name, data)
    files.seal()
    return JobFolder(files, markers, groups, findings)


def _all_findings(
    order: Order, decided: Decided, noted: Sequence[Finding] | None
) -> tuple[Finding, ...]:
    """Findings from reading, planning and review, and those about the order's acceptances."""
    if noted is None:
        return decided.gathered.findings
    found = (*noted, *decided.gathered.findings)
    return (*found, *idle_acceptances(order, found))


def _file_makers(
    nested: NestedOrder, share: Share, gang: Gang | None
) -> tuple[tuple[Files, ...], tuple[Finding, ...]]:
    """What makes the papers, print files and cut files, and every finding of the job."""
    order, options, decided, groups = nested.order, nested.options, nested.decided, nested.groups
    printer = next((group.printer for group in groups), options.shop.printer)
    profile, inks = options.output_profile(printer), _inks_of(groups)
    report = None if profile is None else ink_report(inks, profile, intent_of(printer))
    gathered = decided.gathered
    content_in = partial(
        content_of, gathered.markers, gathered.findings, decided.schemes, ids_text(order)
    )
    findings = (
        *nested.findings,
        *base_notes(groups),
        *_off_color(report),
        *options.approved(content_in),
    )
    work = Paperwork(
        order,
        made_markers(gathered.markers, groups),
        decided.schemes,
        decided.typefaces,
        content_in,
        groups,
        findings,
        report,
        options.prices,
        printed_date(order.date),
        gang,
    )
    made = sorted(groups, key=lambda group: -len(group.sheets)) if share is not Share.ORDER else ()
    sheets = [
        partial(sheet_files, group, _printing(group, order, decided, inks, options))
        for group in made
    ]
    longest, papers = paper_makers(work, share)
    return (*longest, *sheets, *papers), findings


def _printing(
    group: SheetPlan, order: Order, decided: Decided, inks: Iterable[Ink], options: Options
) -> Printing:
    """How the files of a group are written for its machines."""
    printer = group.printer
    return Printing(
        _margin_text(order, group, decided.gathered.markers),
        decided.typefaces.text,
        printed_date(order.date),
        press_of(printer, options.output_profile(printer), inks),
        options.previews,
        options.pictures,
    )


def _off_color(report: InkReport | None) -> tuple[Finding, ...]:
    return () if report is None else tuple(gamut_findings(report))


def _heading(order: Order) -> str:
    revision = f"rev {order.revision}" if order.revision else ""
    return ", ".join(part for part in (order.title, order.plant, revision) if part)


def _margin_text(order: Order, group: SheetPlan, markers: Iterable[Marker]) -> SheetText:
    """The slug's text with the mounting notes of the markers on the group's sheets."""
    there = {marker_of(name) for name in group.parts}
    notes = dict.fromkeys(
        note for marker in markers if marker.id in there for note in marker.plan.build.notes
    )
    return SheetText(_heading(order), tuple(notes))


def _inks_of(groups: Iterable[SheetPlan]) -> tuple[Ink, ...]:
    """Every ink of the faces on the sheets, once, in order of first use."""
    parts = {
        id(part): part
        for group in groups
        for sheet in group.sheets
        for each in sheet.placed
        for part in [group.parts[each.name]]
    }
    shapes = (shape for part in parts.values() for shape in part.art)
    return tuple({shape.ink.name: shape.ink for shape in shapes if shape.ink}.values())
