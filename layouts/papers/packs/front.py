"""The parts of an installation pack for its whole area: head, front page, signatures."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from layouts.markers.gather import Marker, Placing
from layouts.order.order import Order
from layouts.papers.kit.cautions import Audience, Hazard, cautions_for
from layouts.papers.kit.paper import Cell, Paper
from layouts.papers.kit.table import Column
from layouts.papers.materials.hardware import packing_table
from layouts.papers.packs.methods import Methods
from layouts.papers.packs.texts import STEPS
from layouts.terms.words import Kind


def within(places: Sequence[tuple[Marker, Placing]]) -> list[Marker]:
    """Only the markers of these places, their quantities counted from them."""
    found: dict[str, tuple[Marker, list[Placing]]] = {}
    for marker, placing in places:
        found.setdefault(marker.id, (marker, []))[1].append(placing)
    return [
        Marker(marker.id, marker.plan, marker.face, sum(each.count for each in own), tuple(own))
        for marker, own in found.values()
    ]


def head_rows(
    order: Order, places: Sequence[tuple[Marker, Placing]], day: str | None
) -> list[list[Cell]]:
    """Plant, order, and the numbers of positions and pieces."""
    pieces = {
        kind: sum(placing.count for marker, placing in places if marker.plan.kind is kind)
        for kind in Kind
    }
    return [
        [
            Cell("Plant", order.plant or "–", 2.0),
            Cell("Order", order.title, 2.0),
            Cell("Revision", order.revision or "–"),
            Cell("Date", day or "–"),
        ],
        [
            Cell("Positions", str(len(places))),
            Cell("Pieces", str(sum(pieces.values()))),
            Cell("Pipe markers", str(pieces[Kind.PIPE])),
            Cell("Equipment markers", str(pieces[Kind.EQUIPMENT])),
            Cell("Valve tags", str(pieces[Kind.VALVE])),
        ],
    ]


def signature_rows() -> list[list[Cell]]:
    """Signature boxes: installed by, checked by."""
    return [
        [
            Cell("Installed by", "", 2.0),
            Cell("Date", ""),
            Cell("Checked against the P&ID by", "", 2.0),
        ]
    ]


def draw_front(
    paper: Paper, methods: Methods, markers: Sequence[Marker], hazards: Iterable[Hazard]
) -> None:
    """What applies to the whole area: cautions, order of work, methods, materials to bring."""
    paper.heading("Before you install")
    paper.points(cautions_for(Audience.PACK, hazards))
    paper.heading("Order of work")
    for number, text in enumerate(STEPS, start=1):
        paper.paragraph(f"{number}.  {text}")
    paper.heading("Methods in this area")
    columns = (
        Column("", 8.0),
        Column("What", 50.0),
        Column("Surface and temperature", 62.0),
        Column("How", paper.width - 120.0),
    )
    paper.table(columns, methods.rows())
    parts = packing_table(markers)
    if parts:
        paper.heading("Materials to bring")
        wide = (
            Column("Part", 44.0),
            Column("Specification", paper.width - 118.0),
            Column("Size", 46.0),
            Column("Pieces", 28.0, "right"),
        )
        paper.table(wide, parts)
