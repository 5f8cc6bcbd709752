"""Installation packs: one paper an area, with every position, what to fix there and how."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from layouts.amounts import area_sheets
from layouts.drawing import Document, Symbol
from layouts.face import Typefaces
from layouts.geometry import Point
from layouts.inks import Ink, black_among
from layouts.marker import Marker, Placing
from layouts.origin import Origins
from layouts.packing import packing_list
from layouts.paper import (
    BODY,
    TITLE,
    Cell,
    Drawn,
    Paper,
    Running,
    form,
    voices_of,
)
from layouts.sheetplan import SheetPlan
from layouts.spec import Order
from layouts.splitting import Joint, joints
from layouts.typeset import Column
from layouts.walk import NO_AREA, Stop, walks
from layouts.words import Kind
from render.install.entry import Spot, draw_spot
from render.install.methods import Methods
from render.install.texts import CAUTIONS, STEPS
from render.proof import foot_line

__all__ = ["NO_AREA", "file_names", "install"]


def install(
    order: Order,
    markers: Sequence[Marker],
    typefaces: Typefaces,
    date: str | None = None,
    groups: Sequence[SheetPlan] = (),
) -> Mapping[str, Document]:
    """A pack on US letter pages for each area, by its name, in the order of the names.

    Every placing of every marker is in one pack, once. ``date`` is used where the order has
    none. Where the sheets of ``groups`` keep areas together, each pack names its own.
    """
    sheets = area_sheets(groups)
    joined = joints(groups, markers)
    origins = Origins(order)
    ink = black_among(
        shape.ink for marker in markers for part in marker.face.parts for shape in part.art
    )
    return {
        area: _pack(order, area, stops, origins, typefaces, ink, date, sheets.get(area, ()), joined)
        for area, stops in walks(markers).items()
    }


def file_names(areas: Iterable[str]) -> dict[str, str]:
    """A file name (without suffix) for each area, all different whatever the case of letters."""
    names: dict[str, str] = {}
    taken: set[str] = set()
    for area in areas:
        stem = re.sub(r"[^a-z0-9]+", "-", area.casefold()).strip("-")[:60] or "area"
        name, number = stem, 2
        while name in taken:
            name, number = f"{stem}-{number}", number + 1
        taken.add(name)
        names[area] = name
    return names


def _pack(
    order: Order,
    area: str,
    stops: Sequence[Stop],
    origins: Origins,
    typefaces: Typefaces,
    ink: Ink,
    date: str | None,
    sheets: Sequence[str],
    joined: Mapping[str, Joint],
) -> Document:
    day = order.date or date
    places = [(stop.marker, stop.placing) for stop in stops]
    revision = f"revision {order.revision}" if order.revision else ""
    about = "  |  ".join(part for part in (area, order.plant, revision) if part)
    running = Running(f"Installation: {area}", about, foot_line(order, day))
    paper = Paper(running, voices_of(typefaces), ink)
    methods = Methods(placing.plan.build for _, placing in places)
    paper.block(lambda at: _title(paper, area, at))
    paper.block(lambda at: form(paper, _head(order, places, day), at))
    if sheets:
        paper.space(1.5)
        paper.paragraph(
            f"On the sheets of this area: {'; '.join(sheets)}. The number beside each film is "
            "that of its position below."
        )
    _front(paper, methods, _within(places))
    paper.heading(f"Positions, {len(places)} in all: tick a box for each piece that is fixed")
    symbols: dict[str, Symbol] = {}
    for stop in stops:
        spot = Spot(
            stop.number,
            stop.marker,
            stop.placing,
            origins.of(stop.marker, stop.placing),
            methods.letter(stop.placing.plan.build),
            joined.get(stop.marker.id),
        )
        draw_spot(paper, spot, symbols)
    paper.space(4.0)
    paper.block(lambda at: form(paper, _signatures(), at, least=11.0))
    title = f"Installation: {area}"
    return Document(
        f"install-{area}",
        f"{title}, {order.plant or order.title}",
        paper.finish("install", title),
        {**symbols, **paper.voices.symbols()},
        day,
    )


def _within(places: Sequence[tuple[Marker, Placing]]) -> list[Marker]:
    """The markers of these places alone, their quantities counted from them."""
    heaps: dict[str, list[tuple[Marker, Placing]]] = defaultdict(list)
    for marker, placing in places:
        heaps[marker.id].append((marker, placing))
    return [
        replace(
            heap[0][0],
            quantity=sum(placing.count for _, placing in heap),
            placings=tuple(placing for _, placing in heap),
        )
        for heap in heaps.values()
    ]


def _title(paper: Paper, area: str, at: Point) -> Drawn:
    strong, plain = paper.voices.strong, paper.voices.plain
    title = strong.paragraph(area, at, TITLE, paper.width * 0.76, paper.ink)
    right = Point(at.x + paper.width, at.y + TITLE * 1.4)
    kind = plain.line("INSTALLATION PACK", right, BODY + 0.4, paper.ink, "right")
    return Drawn((*title.placements, *kind), title.height + 1.5)


def _head(
    order: Order, places: Sequence[tuple[Marker, Placing]], day: str | None
) -> list[list[Cell]]:
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


def _signatures() -> list[list[Cell]]:
    return [
        [Cell("Fixed by", "", 2.0), Cell("Date", ""), Cell("Checked against the P&ID by", "", 2.0)]
    ]


def _front(paper: Paper, methods: Methods, markers: Sequence[Marker]) -> None:
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
