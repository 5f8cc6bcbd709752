"""Parts of an installation pack that are not of one position: head, front page, signatures."""

from __future__ import annotations

from collections.abc import Sequence

from layouts.drawing import Point
from layouts.markers.gather import Marker, Placing
from layouts.order.order import Order
from layouts.papers.kit.paper import BODY, TITLE, Cell, Drawn, Paper
from layouts.papers.kit.table import Column
from layouts.papers.materials.hardware import packing_list
from layouts.papers.packs.methods import Methods
from layouts.papers.packs.texts import CAUTIONS, STEPS
from layouts.terms.words import Kind


def within(places: Sequence[tuple[Marker, Placing]]) -> list[Marker]:
    """The markers of these places alone, their quantities counted from them."""
    heaps: dict[str, tuple[Marker, list[Placing]]] = {}
    for marker, placing in places:
        heaps.setdefault(marker.id, (marker, []))[1].append(placing)
    return [
        Marker(marker.id, marker.plan, marker.face, sum(each.count for each in own), tuple(own))
        for marker, own in heaps.values()
    ]


def title_block(paper: Paper, area: str, at: Point) -> Drawn:
    """The area's name, and what the paper is."""
    strong, plain = paper.voices.strong, paper.voices.plain
    title = strong.paragraph(area, at, TITLE, paper.width * 0.76, paper.ink)
    right = Point(at.x + paper.width, at.y + TITLE * 1.4)
    kind = plain.line("INSTALLATION PACK", right, BODY + 0.4, paper.ink, "right")
    return Drawn((*title.placements, *kind), title.height + 1.5)


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


def signatures() -> list[list[Cell]]:
    """Boxes for whoever fixed and checked."""
    return [
        [Cell("Fixed by", "", 2.0), Cell("Date", ""), Cell("Checked against the P&ID by", "", 2.0)]
    ]


def front(paper: Paper, methods: Methods, markers: Sequence[Marker]) -> None:
    """What holds for the whole area: cautions, order of work, methods, parts to take along."""
    paper.heading("Before anything is fixed")
    paper.points(CAUTIONS)
    paper.heading("Order of work")
    for number, text in enumerate(STEPS, start=1):
        paper.paragraph(f"{number}.  {text}")
    paper.heading("Methods of this area")
    columns = (
        Column("", 8.0),
        Column("What", 46.0),
        Column("Surface, and when it is put on", 66.0),
        Column("How", paper.width - 120.0),
    )
    paper.table(columns, methods.rows())
    parts = packing_list(markers)
    if parts:
        paper.heading("Take along")
        wide = (Column("Part", 84.0), Column("Size", 60.0), Column("Pieces", 44.0, "right"))
        paper.table(wide, parts)
