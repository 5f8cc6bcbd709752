"""Packs of very many positions: tables to sort, part and print as the crews need them.

A paper with a picture a position would fill thousands of pages. So an order of more than
``MOST_ON_PAPER`` positions gets one paper that holds for all areas and a table (CSV) an area.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import TypeAlias

from layouts.drawing.document import Document
from layouts.drawing.inks import black_among
from layouts.drawing.typefaces import Typefaces
from layouts.markers.gather import Marker
from layouts.markers.positions import Stop, walks
from layouts.order.order import Order
from layouts.papers.amounts import area_sheets
from layouts.papers.kit.paper import Paper, Running, form, voices_of
from layouts.papers.materials.hardware import packing_list
from layouts.papers.packs import file_names
from layouts.papers.packs.front import front, head_rows, signatures, title_block, within
from layouts.papers.packs.methods import Methods
from layouts.papers.packs.spot import Spot, instructions, warnings
from layouts.papers.proof import foot_line
from layouts.sheets.long_film import Joint, joints
from layouts.sheets.sheetplan import SheetPlan

MOST_ON_PAPER = 5_000
COLUMNS = (
    *("number", "marker", "name", "hand", "pieces", "line", "location", "drawing", "from", "to"),
    *("where", "note", "method", "how", "row", "done"),
)
_TITLE = "Installation: all areas"
# Method and instructions, by all that they are made of.
_Told: TypeAlias = dict[tuple[object, ...], tuple[str, str]]
# An area's file is named in letters, digits and hyphens alone, so these names are free.
_GUIDE, _PARTS = "_all-areas", "_take-along"


def is_long(markers: Iterable[Marker]) -> bool:
    """Whether the markers hang in too many places for a paper with pictures."""
    return sum(len(marker.placings) for marker in markers) > MOST_ON_PAPER


def tables(
    markers: Sequence[Marker], groups: Sequence[SheetPlan] = ()
) -> Iterator[tuple[str, bytes]]:
    """A table of the positions of each area, and one of the parts to take along.

    File names without suffix, and CSV with a heading row. Every placing is in one table, once.
    """
    methods, joined = _methods(markers), joints(groups, markers)
    areas, sheets = walks(markers), area_sheets(groups)
    names = file_names(areas)
    told: _Told = {}
    parts: list[tuple[str, ...]] = []
    for area, stops in areas.items():
        yield names[area], _csv(COLUMNS, (_row(stop, methods, joined, told) for stop in stops))
        own = within([(stop.marker, stop.placing) for stop in stops])
        parts += ((area, "sheets of this area", text, "") for text in sheets.get(area, ()))
        parts += ((area, *row) for row in packing_list(own))
    yield _PARTS, _csv(("area", "part", "size", "pieces"), parts)


def guide(
    order: Order, markers: Sequence[Marker], typefaces: Typefaces, date: str | None = None
) -> tuple[str, Document]:
    """File name (without suffix) and paper of what holds for all areas: cautions, methods."""
    day = order.date or date
    ink = black_among(
        shape.ink for marker in markers for part in marker.face.parts for shape in part.art
    )
    about = "  |  ".join(part for part in ("all areas", order.plant, order.revision) if part)
    paper = Paper(Running(_TITLE, about, foot_line(order, day)), voices_of(typefaces), ink)
    places = [(marker, placing) for marker in markers for placing in marker.placings]
    paper.block(lambda at: title_block(paper, "All areas", at))
    paper.block(lambda at: form(paper, head_rows(order, places, day), at))
    paper.space(1.5)
    paper.paragraph(
        "The positions of each area stand in a table beside this paper, in the order of the walk; "
        "the column marker names the picture on the proof. Write into the column done."
    )
    front(paper, _methods(markers), markers)
    paper.space(4.0)
    paper.block(lambda at: form(paper, signatures(), at, least=11.0))
    pages = paper.finish("install", _TITLE)
    subject = f"{_TITLE}, {order.plant or order.title}"
    return _GUIDE, Document("install-all", subject, pages, paper.voices.symbols(), day)


def _methods(markers: Iterable[Marker]) -> Methods:
    """The methods of all areas, with the same letters in every table."""
    return Methods(plan.build for marker in markers for plan in marker.plans)


def _row(
    stop: Stop,
    methods: Methods,
    joined: Mapping[str, Joint],
    told: _Told,
) -> tuple[object, ...]:
    placing, marker = stop.placing, stop.marker
    place = placing.position
    # All that the instructions are made of, so that equal ones are put in words once.
    key = (
        *(marker.id, id(placing.plan), id(placing.spec), placing.count),
        *(place.to, place.height, place.distance),
    )
    how = told.get(key)
    if how is None:
        letter = methods.letter(placing.plan.build)
        spot = Spot(stop.number, marker, placing, letter, joined.get(marker.id))
        how = told[key] = (
            letter,
            "; ".join((*warnings(spot), *instructions(spot, placing.count))),
        )
    return (
        *(stop.number, marker.id, marker.plan.name, marker.plan.hand, placing.count),
        *(place.line, place.location, place.drawing, place.from_, place.to),
        *(place.spot, place.note, *how, place.row, ""),
    )


def _csv(columns: Sequence[str], rows: Iterable[Sequence[object]]) -> bytes:
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows(rows)
    return text.getvalue().encode()
