"""Installation packs: one paper per area, with every position, what to install and how."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping, Sequence

from layouts.drawing.document import Document
from layouts.drawing.inks import black_among
from layouts.drawing.typefaces import Typefaces
from layouts.markers.gather import Marker
from layouts.markers.positions import NO_AREA, Hanging, walks
from layouts.order.order import Order
from layouts.papers.amounts import area_sheets
from layouts.papers.kit.cautions import hazards_of
from layouts.papers.kit.figure import Pictures, Trims
from layouts.papers.kit.paper import Paper, Running, draw_title, foot_line, form, voices_of
from layouts.papers.packs.front import draw_front, head_rows, signature_rows, within
from layouts.papers.packs.methods import Methods
from layouts.papers.packs.position_entry import Entry
from layouts.papers.packs.stretch_entry import draw_stretch
from layouts.papers.packs.stretches import stretches
from layouts.papers.packs.texts import READING, SIDES
from layouts.papers.packs.ticks import tick_symbol
from layouts.sheets.long_film import Joint, joints
from layouts.sheets.sheetplan import SheetPlan
from layouts.terms.counts import counted

__all__ = ["NO_AREA", "file_names", "install"]


_KIND = "Installation pack"


def install(
    order: Order,
    markers: Sequence[Marker],
    typefaces: Typefaces,
    date: str | None = None,
    groups: Sequence[SheetPlan] = (),
) -> Mapping[str, Document]:
    """A pack on US letter pages for each area, sorted by area name.

    Every installation of every marker is in exactly one pack, once. ``date`` is used if the order
    has none. If the sheets of ``groups`` keep areas together, each pack names its sheets.
    """
    sheets = area_sheets(groups)
    joined = joints(groups, markers)
    ink = black_among(
        shape.ink for marker in markers for part in marker.face.parts for shape in part.art
    )
    trims = Trims(ink)
    return {
        area: _draw_pack(
            order, area, stops, typefaces, Pictures(trims), date, sheets.get(area, ()), joined
        )
        for area, stops in walks(markers).items()
    }


# Letters that do not decompose into ASCII.
_LETTERS = str.maketrans(
    {"ß": "ss", "æ": "ae", "ø": "o", "œ": "oe", "đ": "d", "ł": "l", "þ": "th", "ð": "d", "ı": "i"}
)
# Device names that Windows reserves, with any suffix (Win32 naming conventions).
_RESERVED = frozenset(
    {"con", "prn", "aux", "nul"} | {f"{port}{n}" for port in ("com", "lpt") for n in range(10)}
)


def file_names(areas: Iterable[str], noun: str = "area") -> dict[str, str]:
    """A file name (without suffix) for each area, unique even when case is ignored.

    Accents are dropped (``Kühlraum`` gives ``kuhlraum``), and names that Windows reserves are
    avoided. ``noun`` begins a name that would otherwise be reserved, or codes and nothing else.
    """
    names: dict[str, str] = {}
    taken: set[str] = set()
    for area in areas:
        stem = _stem_of(area, noun)
        name, number = stem, 2
        while name in taken:
            name, number = f"{stem}-{number}", number + 1
        taken.add(name)
        names[area] = name
    return names


def _stem_of(area: str, noun: str) -> str:
    """The area in ASCII letters, digits and hyphens; non-Latin scripts by character code."""
    plain = unicodedata.normalize("NFKD", area.casefold().translate(_LETTERS))
    stem = re.sub(r"[^a-z0-9]+", "-", plain.encode("ascii", "ignore").decode()).strip("-")[:60]
    if not stem and any(char.isalnum() for char in area):
        codes = (f"u{ord(char):04x}" for char in area if char.isalnum())
        stem = "-".join((noun, *codes))[:60]
    if stem in _RESERVED:
        stem = f"{noun}-{stem}"
    return stem or noun


def _draw_pack(
    order: Order,
    area: str,
    stops: Sequence[Hanging],
    typefaces: Typefaces,
    pictures: Pictures,
    date: str | None,
    sheets: Sequence[str],
    joined: Mapping[str, Joint],
) -> Document:
    day = order.date or date
    places = [(stop.marker, stop.placing) for stop in stops]
    revision = f"revision {order.revision}" if order.revision else ""
    about = "  |  ".join(part for part in (area, order.plant, revision) if part)
    running = Running(f"Installation: {area}", about, foot_line(order, day))
    paper = Paper(running, voices_of(typefaces), pictures.ink)
    methods = Methods(placing.plan.build for _, placing in places)
    paper.block(lambda at: draw_title(paper, area, _KIND, at))
    paper.block(lambda at: form(paper, head_rows(order, places, day), at))
    if sheets:
        paper.space(1.5)
        paper.paragraph(
            f"On the sheets of this area: {'; '.join(sheets)}. The number beside each film is "
            "its position number below."
        )
    draw_front(paper, methods, within(places), hazards_of(places))
    paper.heading(f"{counted(len(places), 'position')}: check off each piece installed")
    paper.paragraph(READING)
    if any(stop.marker.plan.hand for stop in stops):
        paper.paragraph(SIDES)
    paper.space(1.0)
    tick = tick_symbol()
    entries = (
        Entry(stop, methods.letter(stop.placing.plan.build), joined.get(stop.marker.id))
        for stop in stops
    )
    for stretch in stretches(entries):
        draw_stretch(paper, stretch, pictures)
    paper.space(4.0)
    paper.block(lambda at: form(paper, signature_rows(), at, least=11.0))
    title = f"Installation: {area}"
    return Document(
        f"install-{area}",
        f"{title}, {order.plant or order.title}",
        paper.finish("install", title),
        {tick.id: tick, **pictures.symbols(), **paper.voices.symbols()},
        day,
    )
