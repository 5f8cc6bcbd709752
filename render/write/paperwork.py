"""The papers of a job: proof, ticket, bill, chart, valve schedule, packs and tables."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from enum import Enum
from functools import partial
from typing import TypeAlias

from layouts.drawing.ink_report import InkReport
from layouts.drawing.typefaces import Typefaces
from layouts.markers.content import ContentIn, proof_hash, proof_json
from layouts.markers.drawn_ids import PIECE_COLUMNS, piece_rows
from layouts.markers.gather import Marker
from layouts.order.normal import order_json_pieces
from layouts.order.order import Order
from layouts.papers.chart import chart
from layouts.papers.materials import Prices, materials
from layouts.papers.materials.bill_paper import bill_document, bill_table
from layouts.papers.materials.ink_area import Coverage
from layouts.papers.packs import file_names, install
from layouts.papers.packs.listing import guide, is_long, tables
from layouts.papers.placards import sign_documents, sign_paper
from layouts.papers.proof import Proof
from layouts.papers.registers import register_paper, registers
from layouts.papers.schedule import valve_rows
from layouts.papers.ticket import ticket
from layouts.papers.ticket.bags import BAG_COLUMNS, bag_rows
from layouts.papers.valve_chart import ValveChart
from layouts.schemes.model import Scheme
from layouts.sheets.gang import Gang
from layouts.sheets.sheetplan import SheetPlan
from layouts.terms.findings import Finding
from layouts.terms.values import frozen
from layouts.terms.words import PieceId
from render.write import pdf
from render.write.tables import csv_file, markers_csv, nest_json, one_buffer
from render.write.valve_workbook import valves_xlsx

Files: TypeAlias = Callable[[], Iterator[tuple[str, bytes]]]


@frozen
class Paperwork:
    """An order with every decision about it."""

    order: Order
    markers: Sequence[Marker]
    schemes: Mapping[str, Scheme]
    typefaces: Typefaces
    content_in: ContentIn
    groups: tuple[SheetPlan, ...]
    findings: tuple[Finding, ...]
    report: InkReport | None
    prices: Prices | None
    date: str | None
    gang: Gang | None = None


class Share(Enum):
    """Which part of a job's files a folder holds."""

    WHOLE = "whole"
    ORDER = "order"  # without what the shop makes of it, which a gang's folder holds
    GANG = "gang"


def paper_makers(
    work: Paperwork, share: Share = Share.WHOLE
) -> tuple[tuple[Files, ...], tuple[Files, ...]]:
    """What makes the folder's papers and tables, each file by its path.

    The first are those that take longer than any sheets, the second take less.
    """
    longest, others = {
        Share.WHOLE: ((_packs, _for_approval), (_for_the_plant, _for_the_shop, _of_markers)),
        Share.ORDER: ((_packs, _for_approval), (_for_the_plant, _of_markers)),
        Share.GANG: ((), (_for_the_shop,)),
    }[share]
    return tuple(partial(each, work) for each in longest), tuple(
        partial(each, work) for each in others
    )


def _for_approval(work: Paperwork) -> Iterator[tuple[str, bytes]]:
    content = work.content_in()
    drawn = Proof(
        work.order,
        work.markers,
        work.findings,
        work.schemes,
        work.typefaces,
        work.date,
        proof_hash(content),
    )
    yield "proof.pdf", pdf.write_ahead(drawn.document, drawn.pages)
    yield "proof.json", proof_json(content)


def _for_the_shop(work: Paperwork) -> Iterator[tuple[str, bytes]]:
    coverage = Coverage()
    document = ticket(
        work.order,
        work.markers,
        work.groups,
        work.schemes,
        work.typefaces,
        work.date,
        work.report,
        coverage,
        work.gang,
    )
    yield "ticket.pdf", pdf.write(document)
    bill = materials(work.markers, work.groups, work.prices, coverage)
    yield "materials.pdf", pdf.write(bill_document(work.order, bill, work.typefaces, work.date))
    yield "materials.csv", csv_file(bill_table(bill))
    yield "nest.json", nest_json(work.groups, work.gang)
    if work.gang is not None:
        by_id = {marker.id: marker for marker in work.markers}
        yield "bags.csv", csv_file((BAG_COLUMNS, *bag_rows(work.gang, work.groups, by_id)))


def _of_markers(work: Paperwork) -> Iterator[tuple[str, bytes]]:
    yield "markers.csv", markers_csv(work.markers)
    if work.order.piece_id is not PieceId.NONE:
        yield "pieces.csv", csv_file((PIECE_COLUMNS, *piece_rows(work.markers)))


def _for_the_plant(work: Paperwork) -> Iterator[tuple[str, bytes]]:
    order, schemes, typefaces = work.order, work.schemes, work.typefaces
    valves = valve_rows(order, schemes, any(group.two_faced for group in work.groups))
    poster = chart(order, work.markers, valves, schemes, typefaces, date=work.date)
    yield "chart.pdf", pdf.write(poster)
    if valves:
        framed = ValveChart(order, valves, schemes, typefaces, work.date)
        yield "valves.pdf", pdf.write_ahead(framed.document, framed.pages)
        yield "valves.xlsx", valves_xlsx(order, valves, schemes, work.date)
    tables_of_valves = registers(order)
    if tables_of_valves:
        paper = register_paper(order, tables_of_valves, typefaces, work.date)
        yield "registers/registers.pdf", pdf.write(paper)
    for each in tables_of_valves:
        titles = tuple(title for title, _ in each.columns)
        yield f"registers/{each.key}.csv", csv_file((titles, *each.rows))
    yield from _signs(work)
    yield "order.json", one_buffer(order_json_pieces(order))


def _signs(work: Paperwork) -> Iterator[tuple[str, bytes]]:
    """The order's signs, each at full size, and the paper about them."""
    order = work.order
    if not order.signs:
        return
    printer = work.groups[0].printer
    made = sign_documents(order, work.schemes, work.typefaces, printer, work.date)
    for name, document in made.items():
        yield f"signs/{name}.pdf", pdf.write(document)
    about = sign_paper(order, work.schemes, work.typefaces, work.date)
    yield "signs/signs.pdf", pdf.write(about)


def _packs(work: Paperwork) -> Iterator[tuple[str, bytes]]:
    """Installation packs by area; for very many positions, tables with one paper."""
    order, typefaces = work.order, work.typefaces
    if is_long(work.markers):
        title, paper = guide(order, work.markers, typefaces, work.date)
        yield f"install/{title}.pdf", pdf.write(paper)
        for name, table in tables(work.markers, work.groups):
            yield f"install/{name}.csv", csv_file(table)
        return
    packs = install(order, work.markers, typefaces, work.date, work.groups)
    names = file_names(packs)
    for area, pack in packs.items():
        yield f"install/{names[area]}.pdf", pdf.write(pack)
