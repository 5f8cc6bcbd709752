"""Packs with very many positions: tables to sort, split and print as the crews need.

A paper with a picture for each position would fill thousands of pages. So an order of more than
``MOST_ON_PAPER`` positions gets one paper for all areas and a table (CSV) for each area.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import TypeAlias

from layouts.drawing.document import Document
from layouts.drawing.inks import black_among
from layouts.drawing.typefaces import Typefaces
from layouts.markers.gather import Marker
from layouts.markers.positions import Hanging, walks
from layouts.order.order import Order
from layouts.papers.amounts import area_sheets
from layouts.papers.kit.cautions import hazards_of
from layouts.papers.kit.paper import Paper, draw_title, form, running_lines, voices_of
from layouts.papers.materials.hardware import packing_table
from layouts.papers.packs import file_names
from layouts.papers.packs.front import draw_front, head_rows, signature_rows, within
from layouts.papers.packs.methods import Methods
from layouts.papers.packs.position_entry import Entry, instructions, warnings
from layouts.sheets.long_film import Joint, joints
from layouts.sheets.sheetplan import SheetPlan

MOST_ON_PAPER = 5_000
COLUMNS = (
    *("number", "marker", "name", "hand", "pieces", "line", "location", "drawing", "from", "to"),
    *("where", "note", "method", "how", "row", "done"),
)
_TITLE = "Installation: all areas"
# Method and instructions, by all that they are made of.
_Known: TypeAlias = dict[tuple[object, ...], tuple[str, str]]
# An area's file is named in letters, digits and hyphens only, so these names are free.
_GUIDE, _PARTS = "_all-areas", "_materials-to-bring"


def is_long(markers: Iterable[Marker]) -> bool:
    """Whether the markers go in too many places for a paper with pictures."""
    return sum(len(marker.placings) for marker in markers) > MOST_ON_PAPER


def tables(
    markers: Sequence[Marker], groups: Sequence[SheetPlan] = ()
) -> Iterator[tuple[str, Sequence[Sequence[object]]]]:
    """A table of the positions of each area, and one of the materials to bring.

    File names without suffix, and rows under a heading row. Every installation is in exactly one
    table, once.
    """
    methods, joined = _methods(markers), joints(groups, markers)
    areas, sheets = walks(markers), area_sheets(groups)
    names = file_names(areas)
    known: _Known = {}
    parts: list[tuple[str, ...]] = []
    for area, stops in areas.items():
        yield names[area], [COLUMNS, *(_row(stop, methods, joined, known) for stop in stops)]
        own = within([(stop.marker, stop.placing) for stop in stops])
        parts += ((area, "sheets of this area", "", text, "") for text in sheets.get(area, ()))
        parts += ((area, *row) for row in packing_table(own))
    yield _PARTS, [("area", "part", "specification", "size", "pieces"), *parts]


def guide(
    order: Order, markers: Sequence[Marker], typefaces: Typefaces, date: str | None = None
) -> tuple[str, Document]:
    """File name (without suffix) and paper of what applies to all areas: cautions, methods."""
    day = order.date or date
    ink = black_among(
        shape.ink for marker in markers for part in marker.face.parts for shape in part.art
    )
    paper = Paper(running_lines(_TITLE, order, day), voices_of(typefaces), ink)
    places = [(marker, placing) for marker in markers for placing in marker.placings]
    paper.block(lambda at: draw_title(paper, "All areas", "Installation pack", at))
    paper.block(lambda at: form(paper, head_rows(order, places, day), at))
    paper.space(1.5)
    paper.paragraph(
        "Each area has its own table of positions beside this paper, in the order of the walk; "
        "the column marker gives the id of the picture on the proof. Check off in the column done."
    )
    draw_front(paper, _methods(markers), markers, hazards_of(places))
    paper.space(4.0)
    paper.block(lambda at: form(paper, signature_rows(), at, least=11.0))
    pages = paper.finish("install", _TITLE)
    subject = f"{_TITLE}, {order.plant or order.title}"
    return _GUIDE, Document("install-all", subject, pages, paper.voices.symbols(), day)


def _methods(markers: Iterable[Marker]) -> Methods:
    """The methods of all areas, with the same letters in every table."""
    return Methods(placing.plan.build for marker in markers for placing in marker.placings)


def _row(
    stop: Hanging,
    methods: Methods,
    joined: Mapping[str, Joint],
    known: _Known,
) -> tuple[object, ...]:
    placing, marker = stop.placing, stop.marker
    place = placing.position
    details = place.details
    # Everything the instructions depend on, so that equal ones are worded once.
    key = (
        *(marker.id, id(placing.plan), id(placing.spec), placing.count),
        *(details.to, details.height, details.distance),
    )
    how = known.get(key)
    if how is None:
        letter = methods.letter(placing.plan.build)
        entry = Entry(stop, letter, joined.get(marker.id))
        how = known[key] = (
            letter,
            "; ".join((*warnings(entry), *instructions(entry, placing.count))),
        )
    own_ids = placing.ids if marker.pieces else ()
    note = "; ".join(filter(None, (details.note, ", ".join(own_ids))))
    return (
        *(stop.number, marker.id, marker.plan.name, marker.plan.hand, placing.count),
        *(place.line, place.location, details.drawing, details.from_, details.to),
        *(details.spot, note, *how, place.row, ""),
    )
