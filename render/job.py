"""The one place that knows the order of the hops: an order in, a job folder out.

The same order and options give the same bytes. ``render.draw`` is the short form for one marker.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from layouts.check import check_face, check_sheets
from layouts.cutpath import Bridges, CutOptions, prepared_page
from layouts.drawing import Document, Page, Step
from layouts.errors import OutputError
from layouts.findings import Finding
from layouts.inks import Ink
from layouts.margin import SheetText
from layouts.marker import Marker
from layouts.schemes.loader import scheme_keys
from layouts.sheet import assemble
from layouts.sheetplan import SheetPlan
from layouts.spec import Order
from layouts.stock import Printer
from layouts.typeset import Typesetter
from render import dxf, pdf, png, svg
from render.gamut import InkReport, gamut_findings, ink_report
from render.judge import (
    Judged,
    Options,
    approval_notes,
    intent_of,
    judge,
    press_of,
    printed_date,
    profile_of,
    refuse_blocked,
)
from render.nesting import nested
from render.output import manifest
from render.paperwork import Paperwork, paper_files
from render.preflight import Verdict, inspect


@dataclass(frozen=True, slots=True)
class JobFolder:
    """Everything that one order produces: files by their path in the folder, and what is in it."""

    files: Mapping[str, bytes]
    markers: tuple[Marker, ...]
    groups: tuple[SheetPlan, ...]
    findings: tuple[Finding, ...]


def build(
    order: Order, options: Options, file: str = "", noted: Sequence[Finding] = ()
) -> JobFolder:
    """The job folder of an order; ``noted`` is what its reader had to remark.

    Raises:
        InputError: a marker is impossible, or fits no stock; every finding is carried.
        BlockedError: a marker must not be printed as it is and is not accepted.
        OutputError: a sheet failed its own inspection.
    """
    options.progress("planning")
    judged = judge(order, options, file)
    refuse_blocked(judged.gathered.findings)
    options.progress("nesting")
    groups, unplaced = nested(judged.gathered.markers, order, options)
    refuse_blocked(unplaced)
    options.progress("drawing")
    date = printed_date(order.date)
    setter = Typesetter(judged.typefaces.text)
    text = SheetText(_heading(order), ())
    documents = [
        _cut_in_order(
            assemble(
                group,
                _with_notes(text, group, judged.gathered.markers),
                options.shop.printer,
                setter,
                date,
            )
        )
        for group in groups
    ]
    _inspect(judged.gathered.markers, groups, documents)
    options.progress("writing")
    files = dict(_sheet_files(groups, documents, options))
    report = _color_report(options, _inks_of(documents))
    off_color = gamut_findings(report) if report else ()
    outdated = approval_notes(judged, options)
    findings = (*noted, *judged.gathered.findings, *off_color, *outdated)
    work = Paperwork(
        order, judged, groups, findings, options.shop.printer, report, options.prices, date
    )
    files.update(paper_files(work))
    files.update(_scheme_files(judged, options))
    options.progress("preflight")
    _preflight(files)
    files["manifest.json"] = manifest(files)
    return JobFolder(files, judged.gathered.markers, groups, findings)


def _scheme_files(judged: Judged, options: Options) -> Iterable[tuple[str, bytes]]:
    """Schemes of the plant's own that the order names, so that the folder stands alone."""
    for name in judged.schemes:
        if name not in scheme_keys() and not Path(name).is_absolute() and ".." not in name:
            yield name, (options.folder / name).read_bytes()


def _color_report(options: Options, inks: Iterable[Ink]) -> InkReport | None:
    """What the printer's profile makes of the job's inks, where there is a profile."""
    profile = profile_of(options)
    if profile is None:
        return None
    return ink_report(inks, profile, intent_of(options))


def _cut_in_order(document: Document) -> Document:
    """The document with its contours clean and in cutting order, the same for every format."""
    pages = tuple(prepared_page(page, document.symbols) for page in document.pages)
    return replace(document, pages=pages)


def _preflight(files: Mapping[str, bytes]) -> None:
    """No PDF leaves that our own inspection of print files would refuse.

    Raises:
        OutputError: a file failed; each failing point is named.
    """
    faults = [
        f"{name}: {point.what} [{point.code}]"
        for name, data in files.items()
        if name.endswith(".pdf")
        for point in inspect(data).points
        if point.verdict in (Verdict.FAIL, Verdict.UNREADABLE)
    ]
    if faults:
        raise OutputError(f"a written file failed its inspection: {'; '.join(faults)}")


def _inspect(
    markers: Iterable[Marker], groups: Iterable[SheetPlan], documents: Iterable[Document]
) -> None:
    """Nothing unclean is written: every fault of the geometry, or none."""
    faults = [fault for marker in markers for fault in check_face(marker.face)]
    for group, document in zip(groups, documents, strict=True):
        faults += check_sheets(group, document)
    if faults:
        raise OutputError(f"the sheets failed their inspection: {'; '.join(faults)}")


def _heading(order: Order) -> str:
    revision = f"rev {order.revision}" if order.revision else ""
    return ", ".join(part for part in (order.title, order.plant, revision) if part)


def _with_notes(text: SheetText, group: SheetPlan, markers: Iterable[Marker]) -> SheetText:
    """The slug's text with the mounting notes of the markers on the group's sheets."""
    notes = dict.fromkeys(
        note for marker in markers if marker.id in group.parts for note in marker.plan.build.notes
    )
    return SheetText(text.order, tuple(notes))


def _sheet_files(
    groups: Iterable[SheetPlan], documents: Sequence[Document], options: Options
) -> Iterable[tuple[str, bytes]]:
    """A print file a group, cut files an arrangement."""
    printer = options.shop.printer
    press = press_of(options, _inks_of(documents))
    for group, document in zip(groups, documents, strict=True):
        yield f"print/{group.key}.pdf", pdf.write(document, press)
        cut_done: set[int] = set()
        for sheet, page in zip(group.sheets, document.pages, strict=True):
            if options.previews:
                name = f"preview/{group.key}-{sheet.number}.png"
                yield name, png.write(page, document.symbols, width_px=1600)
            if sheet.cut in cut_done:
                continue
            cut_done.add(sheet.cut)
            name = f"cut/{group.key}-{sheet.cut}"
            cuts = _for_machine(cut_only(page), _cut_options(printer))
            yield f"{name}.dxf", dxf.write(cuts, {}, printer.cut_units, printer.step_layers)
            yield f"{name}.svg", svg.write_page(cuts, {})


def _inks_of(documents: Iterable[Document]) -> tuple[Ink, ...]:
    """Every ink of the job, once."""
    return tuple({ink.name: ink for each in documents for ink in each.inks()}.values())


def _for_machine(page: Page, options: CutOptions) -> Page:
    """The page's cuts, already clean and in order, with what the shop's machine asks for."""
    return page if options == CutOptions() else prepared_page(page, {}, options)


def _cut_options(printer: Printer) -> CutOptions:
    """What the shop's machine asks for beyond clean contours in order."""
    return CutOptions(
        merge=printer.merge_edges,
        bridges=Bridges(printer.bridge, printer.bridge_spacing) if printer.bridge else None,
        weeding=printer.weeding_frame or None,
    )


def cut_only(page: Page) -> Page:
    """The page with nothing but what a cutter or its operator reads."""
    prints = (None, Step.WHITE)
    return replace(page, layers=tuple(each for each in page.layers if each.step not in prints))
