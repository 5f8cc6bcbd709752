"""The reference chart: a poster that explains how to read this plant's markers.

It is made from the order: the bands, abbreviations, paints and machines in use, the
scheme's cutoff and edition, and a real marker drawn large. The main text is as large as the sheet
allows, and on a wall it is always legible from 6 ft; whatever does not fit goes on a second sheet.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from layouts.drawing import Point, Rect, rectangle
from layouts.drawing.document import Document, Fill, Item, Layer, Page, Symbol, symbols_among
from layouts.drawing.typefaces import Typefaces
from layouts.markers.gather import Marker
from layouts.order.order import Order
from layouts.papers.abbreviations import Abbreviation, abbreviations
from layouts.papers.chart.anatomy import specimen
from layouts.papers.chart.emergency import draw_emergency
from layouts.papers.chart.facts import (
    BandFact,
    EquipmentCode,
    FieldFact,
    PaintFact,
    band_facts,
    equipment_codes,
    field_facts,
    paint_facts,
)
from layouts.papers.chart.flow import Columns, broken, whole
from layouts.papers.chart.hero import draw_hero
from layouts.papers.chart.key import draw_color_key
from layouts.papers.chart.look import Look, PosterSize
from layouts.papers.chart.sections import all_sections
from layouts.papers.kit.paper import BODY, Voices, rule, shorten_text, voices_of
from layouts.papers.schedule import ValveRow
from layouts.plan.legibility import SMALLEST_LETTER, letter_for_distance, reading_distance
from layouts.schemes.model import Scheme
from layouts.terms.counts import counted
from layouts.terms.site_lengths import legible_text
from layouts.terms.units import MM_PER_FOOT
from layouts.terms.values import frozen

__all__ = ["PosterSize", "chart"]

WALL_DISTANCE = 6 * MM_PER_FOOT  # reading distance for the main text of a wall chart
_LARGEST = 1.7  # of the main text, times its least size
_FINE = 0.68  # of notes, as a share of the main text
_STEPS = 7  # of the search for the largest text
_FACES = (10.0, 8.0, 6.0)  # heights of the marker in cap heights of the text, tried in this order
_COLUMNS = (3, 2)  # tried in this order
_TITLE = "PIPE, EQUIPMENT AND VALVE MARKERS"
# Left to be filled in by hand if the order does not say: a file name makes a poor wall title.
_BLANK = "________"
_ASK_PLANT = f"Plant: {_BLANK}{_BLANK} (give plant and revision on sheet Order)"


@frozen
class _Facts:
    """Everything a chart says about one plant."""

    order: Order
    schemes: tuple[Scheme, ...]
    marker: Marker | None
    bands: tuple[BandFact, ...]
    fields: tuple[FieldFact, ...]
    codes: tuple[Abbreviation, ...]
    paints: tuple[PaintFact, ...]
    equipment: tuple[EquipmentCode, ...]
    valves: int
    urgent: tuple[ValveRow, ...]
    day: str | None


def chart(
    order: Order,
    markers: Sequence[Marker],
    valves: Sequence[ValveRow],
    schemes: Mapping[str, Scheme],
    typefaces: Typefaces,
    size: PosterSize | str = PosterSize.POSTER,
    date: str | None = None,
) -> Document:
    """The chart on a sheet of a given size; ``date`` is used if the order has none.

    ``valves`` are the rows of the valve schedule; ``schemes`` are those in use, by the names the
    order gives them.

    Raises:
        ValueError: there is no such size.
    """
    facts = _facts(order, markers, valves, schemes, order.date or date)
    poster = PosterSize(size)
    least = letter_for_distance(WALL_DISTANCE) if poster.on_wall else BODY
    voices = voices_of(typefaces)
    best = None
    for high in _FACES:
        best = _Chart(facts, poster, voices, least, high)
        if best.whole() is not None:
            return _largest(best, least).document()
    assert best is not None
    return best.document()


def _largest(best: _Chart, least: float) -> _Chart:
    """The chart with the largest text that fits one sheet."""
    small, large = least, least * _LARGEST
    for _ in range(_STEPS):
        middle = (small + large) / 2
        tried = best.resized(middle)
        if tried.whole() is not None:
            best, small = tried, middle
        else:
            large = middle
    return best


def _facts(
    order: Order,
    markers: Sequence[Marker],
    valves: Sequence[ValveRow],
    schemes: Mapping[str, Scheme],
    day: str | None,
) -> _Facts:
    first = schemes[order.scheme]
    used = tuple({scheme.key: scheme for scheme in (first, *schemes.values())}.values())
    return _Facts(
        order=order,
        schemes=used,
        marker=specimen(markers),
        bands=band_facts(markers, used),
        fields=field_facts(markers, used),
        codes=abbreviations(order, schemes),
        paints=paint_facts(order, schemes),
        equipment=equipment_codes(order),
        valves=len(valves),
        urgent=tuple(row for row in valves if row.emergency),
        day=day,
    )


class _Chart:
    """A chart at one size of its main text."""

    def __init__(
        self,
        facts: _Facts,
        poster: PosterSize,
        voices: Voices,
        body: float,
        face_height: float,
    ) -> None:
        inks = facts.schemes[0].inks
        self._facts, self._poster = facts, poster
        self._face_height = face_height
        accent = inks[facts.schemes[0].pairings[0].field]
        if facts.marker is not None:
            accent = facts.marker.face.design.field
        fine = body * _FINE
        self._look = Look(
            voices=voices,
            black=inks["black"],
            white=inks["white"],
            red=inks["safety red"],
            accent=accent,
            sheet=poster.sheet,
            body=body,
            fine=max(fine, SMALLEST_LETTER) if poster.on_wall else max(fine, 1.35),
        )
        self._symbols: dict[str, Symbol] = {}
        self._top, self._start = self._head()
        self._sections = all_sections(
            self._look, facts.order, facts.schemes, facts.codes, facts.equipment, facts.paints
        )

    def resized(self, body: float) -> _Chart:
        """The same chart at another size of its main text, with the lines already set."""
        return _Chart(self._facts, self._poster, self._look.voices, body, self._face_height)

    def whole(self) -> tuple[Item, ...] | None:
        """The sections on one sheet, each in one column; None where it is too small."""
        for count in _COLUMNS:
            items = whole(self._sections, self._columns(self._start, count))
            if items is not None:
                return items
        return None

    def document(self) -> Document:
        """All sheets."""
        sheets = list(self._sheets())
        order = self._facts.order
        title = f"Reference chart: {order.plant or order.title}"
        size = self._look.sheet
        paper = Rect(0.0, 0.0, size.width, size.height)
        pages = tuple(
            Page(
                f"chart-{number}",
                f"{title}, sheet {number} of {len(sheets)}",
                size,
                paper,
                paper,
                (Layer("Chart", (*items, *self._foot(number, len(sheets)))),),
            )
            for number, items in enumerate(sheets, start=1)
        )
        known = {**self._symbols, **self._look.voices.symbols()}
        items = (item for page in pages for layer in page.layers for item in layer.items)
        symbols = {each.id: each for each in symbols_among(items, known)}
        return Document("chart", title, pages, symbols, self._facts.day)

    def _sheets(self) -> Iterator[tuple[Item, ...]]:
        """Everything on one sheet, or split over as many sheets as it takes."""
        items = self.whole()
        if items is not None:
            yield (*self._top, *items)
            return
        items, left = broken(self._sections, self._columns(self._start, _COLUMNS[0]))
        yield (*self._top, *items)
        while left:
            title, start = self._title()
            columns = self._columns(start, _COLUMNS[0])
            items = whole(left, columns)
            if items is None:
                items, left = broken(left, columns)
            else:
                left = ()
            yield (*title, *items)

    def _head(self) -> tuple[tuple[Item, ...], float]:
        """Title, emergency valves and the marker, and where the columns begin."""
        look, facts = self._look, self._facts
        items, y = self._title()
        box = draw_emergency(look, facts.urgent, Point(look.margin, y))
        items += box.items
        y += box.height + look.air
        if facts.marker is not None:
            scheme = next(s for s in facts.schemes if s.key == facts.marker.plan.scheme)
            corner = Point(look.margin, y)
            drawn, symbol = draw_hero(
                look, facts.marker, scheme, facts.codes, facts.bands, self._face_height, corner
            )
            self._symbols[symbol.id] = symbol
            items += drawn.items
            y += drawn.height + 0.6 * look.air
        key = draw_color_key(look, facts.fields, facts.bands, facts.schemes, Point(look.margin, y))
        return (*items, *key.items), y + key.height + look.air

    def _title(self) -> tuple[list[Item], float]:
        """A black bar with the title, a strip of the field's color, and the reading distance."""
        look, order = self._look, self._facts.order
        strong, plain, body = look.voices.strong, look.voices.plain, look.body
        inner, left = look.width - 4 * body, look.margin + 2 * body
        title = look.fitted(_TITLE, 3.2 * body, inner)
        name = order.plant or _ASK_PLANT
        sub = look.fitted(name, 1.7 * body, inner * 0.62)
        high = title + sub + 4.3 * body
        bar = Rect(look.margin, look.margin, look.width, high)
        base = bar.y + 1.5 * body + title
        below = base + 1.5 * body + sub
        facts = (f"revision {order.revision or _BLANK}", self._facts.day or "")
        about = "   |   ".join(part for part in facts if part)
        strip = Rect(bar.x, bar.bottom, bar.width, 0.8 * body)
        items: list[Item] = [
            Fill(rectangle(bar), look.black),
            Fill(rectangle(strip), look.accent),
            *strong.line(_TITLE, Point(left, base), title, look.white),
            *strong.line(name, Point(left, below), sub, look.white),
            *plain.line(about, Point(bar.right - 2 * body, below), 1.1 * body, look.white, "right"),
        ]
        return items, strip.bottom + 0.6 * look.air

    def _columns(self, start: float, count: int) -> Columns:
        look = self._look
        end = look.sheet.height - look.margin - 3.2 * look.fine
        room = Rect(look.margin, start, look.width, max(0.0, end - start))
        return Columns(room, look.air, count)

    def _foot(self, number: int, count: int) -> tuple[Item, ...]:
        look, order = self._look, self._facts.order
        plain, size = look.voices.plain, look.fine
        y = look.sheet.height - look.margin
        valves = counted(self._facts.valves, "valve")
        reads = legible_text(reading_distance(look.body))
        use = (
            f"main text legible to {reads}"
            if self._poster.on_wall
            else (f"DESK COPY: main text legible to {reads}; for the wall print 24 x 36 in or A1")
        )
        parts = (
            order.title,
            f"revision {order.revision}" if order.revision else "",
            f"{valves}: see the valve schedule" if self._facts.valves else "",
            use,
        )
        right = f"sheet {number} of {count}"
        room = look.width - plain.width(right, size) - 2 * size
        text = shorten_text(plain, "   |   ".join(part for part in parts if part), size, room)
        end = Point(look.margin + look.width, y)
        return (
            rule(look.margin, y - 1.9 * size, look.width, 2 * look.hair, look.black),
            *plain.line(text, Point(look.margin, y), size, look.black),
            *plain.line(right, end, size, look.black, "right"),
        )
