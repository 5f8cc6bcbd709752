"""The one place that knows the order of the hops: an order in, a job folder out.

``build`` makes a whole job, ``draw`` is its short form for one marker. Both are pure in the
sense that matters: the same order and options give the same bytes.
"""

from __future__ import annotations

import datetime
import os
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from layouts.check import check_sheets
from layouts.drawing import Document, Page
from layouts.errors import BlockedError, InputError, OutputError
from layouts.face import Part, PartRole, Typefaces
from layouts.findings import Finding, Place, Severity
from layouts.marker import Gathered, Marker, gather
from layouts.nest import DEFAULT_EFFORT
from layouts.schemes.loader import load_scheme, scheme_from_toml, scheme_keys
from layouts.schemes.model import Scheme
from layouts.sheet import SheetText, assemble
from layouts.sheetplan import SheetPlan, Wanted, plan_sheets
from layouts.single import single
from layouts.spec import Order
from layouts.stock import CutUnits, Shop, Stock
from layouts.typeset import Typesetter
from render.fonts import typefaces as load_typefaces
from render.output import manifest

Progress = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Options:
    """What the command line adds to an order."""

    shop: Shop
    font: Path | None = None
    effort: int = DEFAULT_EFFORT
    folder: Path = field(default_factory=Path)  # where a scheme file named by the order lies
    previews: bool = False
    progress: Progress = lambda _: None


@dataclass(frozen=True, slots=True)
class JobFolder:
    """Everything that one order produces: files by their path in the folder, and what is in it."""

    files: Mapping[str, bytes]
    markers: tuple[Marker, ...]
    groups: tuple[SheetPlan, ...]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class Judged:
    """An order planned and composed, before anything is nested or written."""

    gathered: Gathered
    schemes: Mapping[str, Scheme]
    typefaces: Typefaces


def judge(order: Order, options: Options, file: str) -> Judged:
    """Plan and compose every marker of the order, and collect all findings.

    Raises:
        InputError: a scheme or the font cannot be read.
    """
    typefaces = load_typefaces(options.font)
    schemes = _schemes(order, options.folder)
    gathered = gather(order.items, schemes, order.scheme, typefaces, order.accept, file)
    return Judged(gathered, schemes, typefaces)


def build(order: Order, options: Options, file: str = "") -> JobFolder:
    """The job folder of an order.

    Raises:
        InputError: a marker is impossible, or fits no stock; every finding is carried.
        BlockedError: a marker must not be printed as it is and is not accepted.
        OutputError: a sheet failed its own inspection.
    """
    options.progress("planning")
    judged = judge(order, options, file)
    refuse_blocked(judged.gathered.findings)
    options.progress("nesting")
    groups, unplaced = _nested(judged.gathered.markers, order, options)
    refuse_blocked(unplaced)
    options.progress("drawing")
    date = printed_date(order.date)
    setter = Typesetter(judged.typefaces.text)
    text = SheetText(_heading(order), ())
    documents = [
        assemble(
            group,
            _with_notes(text, group, judged.gathered.markers),
            options.shop.printer,
            setter,
            date,
        )
        for group in groups
    ]
    for group, document in zip(groups, documents, strict=True):
        faults = check_sheets(group, document)
        if faults:
            raise OutputError(f"{group.key} failed its inspection: {'; '.join(faults)}")
    options.progress("writing")
    files = dict(_sheet_files(groups, documents, options))
    files.update(_paper_files(order, judged, groups, options, date))
    files["manifest.json"] = manifest(files)
    return JobFolder(files, judged.gathered.markers, groups, judged.gathered.findings)


def refuse_blocked(findings: Sequence[Finding]) -> None:
    """Raise for findings that keep the order from being printed; the impossible ones win."""
    if any(finding.severity is Severity.UNREADABLE for finding in findings):
        raise InputError(findings)
    if any(finding.blocks for finding in findings):
        raise BlockedError(findings)


def printed_date(given: str | None) -> str | None:
    """The order's date, else the day of SOURCE_DATE_EPOCH, else none; never the clock.

    Raises:
        InputError: SOURCE_DATE_EPOCH is no whole number of seconds.
    """
    if given is not None:
        return given
    epoch = os.environ.get("SOURCE_DATE_EPOCH")
    if not epoch:
        return None
    try:
        day = datetime.datetime.fromtimestamp(int(epoch), datetime.UTC)
    except (ValueError, OverflowError, OSError) as error:
        raise InputError(
            [
                Finding(
                    "source-date-epoch",
                    Severity.UNREADABLE,
                    f"SOURCE_DATE_EPOCH is {epoch!r}, which is no date",
                    "give whole seconds since 1970, or unset it",
                )
            ]
        ) from error
    return day.date().isoformat()


def _heading(order: Order) -> str:
    revision = f"rev {order.revision}" if order.revision else ""
    return ", ".join(part for part in (order.title, order.plant, revision) if part)


def _schemes(order: Order, folder: Path) -> dict[str, Scheme]:
    """Every scheme that the order names: built in, or a TOML file beside the order."""
    names = {order.scheme, *(item.spec.scheme for item in order.items if item.spec.scheme)}
    return {name: find_scheme(name, folder) for name in sorted(names)}


def find_scheme(name: str, folder: Path) -> Scheme:
    """A scheme by its key, or by its file.

    Raises:
        InputError: there is none of that name, or its file has faults.
    """
    if name in scheme_keys():
        return load_scheme(name)
    path = folder / name
    if path.suffix == ".toml" and path.is_file():
        return scheme_from_toml(path.read_text("utf-8"), path.name)
    raise InputError(
        [
            Finding(
                "scheme-unknown",
                Severity.UNREADABLE,
                f"there is no scheme {name!r}",
                f"use {', '.join(scheme_keys())}, or name a scheme file (.toml) beside the order",
                place=Place(field="scheme"),
            )
        ]
    )


def _nested(
    markers: Iterable[Marker], order: Order, options: Options
) -> tuple[tuple[SheetPlan, ...], tuple[Finding, ...]]:
    """Every part of every marker, grouped by stock and build, on sheets."""
    wanted: dict[tuple[PartRole, str], list[Wanted]] = defaultdict(list)
    for marker in markers:
        for part in marker.face.parts:
            wanted[part.role, _build_text(part, marker)].append(
                Wanted(marker.id, part, marker.quantity)
            )
    groups: list[SheetPlan] = []
    findings: list[Finding] = []
    counts: dict[PartRole, int] = defaultdict(int)
    for role, text in sorted(wanted):
        stock = _stock_for(role, order, options.shop)
        counts[role] += 1
        key = f"{role}-{counts[role]}"
        group, unplaced = plan_sheets(key, stock, role, text, wanted[role, text], options.effort)
        groups.append(group)
        findings += unplaced
    return tuple(groups), tuple(findings)


def _build_text(part: Part, marker: Marker) -> str:
    build = marker.plan.build
    match part.role:
        case PartRole.FILM:
            return build.film_text
        case PartRole.PLATE:
            return build.plate_material
        case PartRole.TAG:
            return ", ".join(text for text in ("printed tag board", build.laminate) if text)


def _stock_for(role: PartRole, order: Order, shop: Shop) -> Stock:
    """The order's stock for a role.

    Raises:
        InputError: the shop keeps no such stock, or not for that role.
    """
    name = {
        PartRole.FILM: order.stocks.film,
        PartRole.PLATE: order.stocks.plate,
        PartRole.TAG: order.stocks.tag,
    }[role]
    stock = shop.stocks.get(name)
    if stock is not None and role in stock.roles:
        return stock
    fitting = ", ".join(each.key for each in shop.of_role(role))
    what = f"{name!r} is no stock for {role}" if stock else f"there is no stock {name!r}"
    raise InputError(
        [
            Finding(
                "stock-unknown",
                Severity.UNREADABLE,
                what,
                f"use {fitting}, or add it to the shop's file",
                place=Place(field=f"stocks.{role}"),
            )
        ]
    )


def _with_notes(text: SheetText, group: SheetPlan, markers: Iterable[Marker]) -> SheetText:
    """The slug's text with the mounting notes of the markers on the group's sheets."""
    notes = dict.fromkeys(
        note for marker in markers if marker.id in group.parts for note in marker.plan.build.notes
    )
    return SheetText(text.order, tuple(notes))


def _sheet_files(
    groups: Iterable[SheetPlan], documents: Iterable[Document], options: Options
) -> Iterable[tuple[str, bytes]]:
    """Print files a group, cut files an arrangement."""
    from render import dxf, pdf, png, svg

    printer = options.shop.printer
    for group, document in zip(groups, documents, strict=True):
        yield f"print/{group.key}.pdf", pdf.write(document)
        cut_done: set[int] = set()
        for sheet, page in zip(group.sheets, document.pages, strict=True):
            if options.previews:
                name = f"preview/{group.key}-{sheet.number}"
                yield f"{name}.png", png.write(page, document.symbols, width_px=1600)
            if sheet.cut in cut_done:
                continue
            cut_done.add(sheet.cut)
            name = f"cut/{group.key}-{sheet.cut}"
            yield f"{name}.dxf", dxf.write(page, document.symbols, printer.cut_units)
            yield f"{name}.svg", svg.write_page(cut_only(page), {})


def cut_only(page: Page) -> Page:
    """The page with nothing but what a cutter or its operator reads."""
    return replace(page, layers=tuple(layer for layer in page.layers if layer.step is not None))


def _paper_files(
    order: Order,
    judged: Judged,
    groups: tuple[SheetPlan, ...],
    options: Options,
    date: str | None,
) -> Iterable[tuple[str, bytes]]:
    """Proof, ticket, tables and the order itself."""
    from render import pdf, proof, tables, ticket
    from render.specfile import order_json

    markers = judged.gathered.markers
    yield (
        "proof.pdf",
        pdf.write(
            proof.proof(
                order, markers, judged.gathered.findings, judged.schemes, judged.typefaces, date
            )
        ),
    )
    yield (
        "ticket.pdf",
        pdf.write(
            ticket.ticket(order, markers, groups, options.shop.printer, judged.typefaces, date)
        ),
    )
    yield "markers.csv", tables.markers_csv(markers)
    yield "nest.json", tables.nest_json(groups)
    yield "order.json", order_json(order)


def draw(
    order: Order, options: Options
) -> tuple[Document, tuple[Marker, ...], tuple[Finding, ...]]:
    """The short form for one marker: a page with its parts at true size, and its findings.

    A line read from both sides gives two markers, below each other.

    Raises:
        InputError: the marker is impossible.
        BlockedError: it must not be printed as it is.
    """
    judged = judge(order, options, "")
    refuse_blocked(judged.gathered.findings)
    setter = Typesetter(judged.typefaces.text)
    markers = judged.gathered.markers
    document = single(markers, options.shop.printer, setter, printed_date(order.date))
    return document, markers, judged.gathered.findings


def drawn_bytes(document: Document, suffix: str, cut_units: CutUnits) -> bytes:
    """A one-page document in the format of a file suffix.

    Raises:
        OutputError: the suffix is none of .pdf, .svg, .dxf and .png.
    """
    from render import dxf, pdf, png, svg

    page = document.pages[0]
    match suffix.lower():
        case ".pdf":
            return pdf.write(document)
        case ".svg":
            return svg.write_page(page, document.symbols)
        case ".dxf":
            return dxf.write(page, document.symbols, cut_units)
        case ".png":
            return png.write(page, document.symbols, dpi=150)
        case _:
            raise OutputError(
                f"{suffix or 'no suffix'} is no format; name the file .pdf, .svg, .dxf or .png"
            )
