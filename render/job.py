"""The one place that knows the order of the hops: an order in, a job folder out.

The same order and options give the same bytes. ``render.draw`` is the short form for one marker.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from layouts.check import check_face, check_sheets
from layouts.cutpath import Known, prepared_page
from layouts.drawing import Document
from layouts.errors import OutputError
from layouts.findings import Finding
from layouts.inks import Ink
from layouts.margin import SheetText
from layouts.marker import Marker
from layouts.request import marker_of
from layouts.schemes.loader import scheme_keys
from layouts.sheet import assemble
from layouts.sheetplan import SheetPlan
from layouts.spec import Order
from layouts.typeset import Typesetter
from render import dxf
from render.gamut import InkReport, gamut_findings, ink_report
from render.hands import by_hands, hands
from render.judge import (
    Judged,
    Options,
    approval_notes,
    idle_acceptances,
    intent_of,
    judge,
    press_of,
    printed_date,
    profile_of,
    refuse_blocked,
)
from render.nesting import nested
from render.output import manifest
from render.paperwork import Files, Paperwork, paper_pieces
from render.preflight import inspect, unlimited
from render.sheetfiles import Printing, sheet_files

_WORTH_SHARING = 40  # distinct markers, from which a second process saves more than it costs


@dataclass(frozen=True, slots=True)
class JobFolder:
    """Everything that one order produces: files by their path in the folder, and what is in it."""

    files: Mapping[str, bytes]
    markers: tuple[Marker, ...]
    groups: tuple[SheetPlan, ...]
    findings: tuple[Finding, ...]


def build(
    order: Order, options: Options, file: str = "", noted: Sequence[Finding] | None = None
) -> JobFolder:
    """The job folder of an order; ``noted`` is what its reader had to remark, None if none read it.

    Raises:
        InputError: a marker is impossible, or fits no stock; every finding is carried.
        BlockedError: a marker must not be printed as it is and is not accepted.
        OutputError: a sheet failed its own inspection.
    """
    options.progress("planning")
    judged = judge(order, options, file)
    told = judged.gathered.findings
    if noted is not None:
        told = (*noted, *told)
        told = (*told, *idle_acceptances(order, told))
    refuse_blocked(told)
    options.progress("nesting")
    groups, nest_findings = nested(judged.gathered.markers, order, options)
    refuse_blocked(nest_findings)
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
    inks = _inks_of(documents)
    report = _color_report(options, inks)
    off_color = gamut_findings(report) if report else ()
    outdated = approval_notes(judged, options)
    findings = (*told, *nest_findings, *off_color, *outdated)
    work = Paperwork(
        order, judged, groups, findings, options.shop.printer, report, options.prices, date
    )
    printing = Printing(options.shop.printer, press_of(options, inks), options.previews)
    count = hands() if len(judged.gathered.markers) >= _WORTH_SHARING else 1
    pieces: list[Callable[[], Files]] = [
        *paper_pieces(work),
        *(
            partial(sheet_files, group, document, printing)
            for group, document in zip(groups, documents, strict=True)
        ),
    ]
    if count > 1:
        dxf.warm(options.shop.printer.cut_units)
    files = {name: data for written in by_hands(pieces, count) for name, data in written}
    files.update(_scheme_files(judged, options))
    options.progress("preflight")
    _preflight(files, count)
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
    known = Known()
    pages = tuple(prepared_page(page, document.symbols, known=known) for page in document.pages)
    return replace(document, pages=pages)


def _preflight(files: Mapping[str, bytes], count: int) -> None:
    """No PDF leaves that our own inspection of print files would refuse.

    Raises:
        OutputError: a file failed; each failing point is named.
    """
    written = [(name, data) for name, data in files.items() if name.endswith(".pdf")]
    largest_first = sorted(written, key=lambda each: -len(each[1]))
    found = by_hands([partial(_pdf_faults, *each) for each in largest_first], count)
    faults = [fault for of_file in found for fault in of_file]
    if faults:
        raise OutputError(f"a written file failed its inspection: {'; '.join(faults)}")


def _pdf_faults(name: str, data: bytes) -> list[str]:
    """The failing points of a file, each with the file's name."""
    return [
        f"{name}: {point.what} [{point.code}]"
        for point in inspect(data, budget=unlimited()).failures
    ]


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
    there = {marker_of(name) for name in group.parts}
    notes = dict.fromkeys(
        note for marker in markers if marker.id in there for note in marker.plan.build.notes
    )
    return SheetText(text.order, tuple(notes))


def _inks_of(documents: Iterable[Document]) -> tuple[Ink, ...]:
    """Every ink of the job, once."""
    return tuple({ink.name: ink for each in documents for ink in each.inks()}.values())
