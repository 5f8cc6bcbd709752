"""The valve schedule: a framed chart for the wall as a document, and a workbook.

The chart is 17 x 11 in, so that a plant prints it on one sheet of an office printer and hangs
it under glass; emergency valves come first, each with a flag in the margin.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial

from layouts.drawing import Point, Rect, Size, polygon, rectangle
from layouts.drawing.document import Ahead, Document, Fill, Item, Layer, Page, Stroke, Symbol
from layouts.drawing.inks import Ink
from layouts.drawing.typefaces import Typefaces
from layouts.drawing.typeset import PITCH
from layouts.order.order import Order
from layouts.papers.kit.paper import THIN, Voices, handing_over, rule, shorten_text, voices_of
from layouts.papers.kit.table import Column, TableStyle, table
from layouts.papers.schedule import ValveRow
from layouts.schemes.model import Scheme
from layouts.terms.counts import counted

LEDGER = Size(431.8, 279.4)  # 17 x 11 in, ANSI/ASME Y14.1 size B lying
_BODIES = (3.4, 2.9, 2.4)  # the largest at which all is on one page; the last in any case
_TITLE, _HEADING = 8.5, 3.6
_FRAME = Rect(9.0, 9.0, LEDGER.width - 18.0, LEDGER.height - 18.0)
_LEFT, _RIGHT = 32.0, LEDGER.width - 17.0
_TOP, _END, _FOOT_Y = 19.0, LEDGER.height - 24.0, LEDGER.height - 15.0
_FLAG = Rect(15.0, 0.0, 14.0, 5.6)
_COLUMNS = (
    Column("Valve no.", 36.0),
    Column("System", 78.0),
    Column("Function", 60.0),
    Column("Location", 48.0),
    Column("Area", 40.0),
    Column("Size", 20.0),
    Column("Normal position", 28.0),
    Column("Lockout", 18.0),
    Column("P&ID sheet", 24.0),
    Column("Notes", _RIGHT - _LEFT - 352.0),
)
_LONGEST = 240  # characters of a cell; the workbook has them all
_KEY = (
    "Emergency valves are listed first and flagged in the margin: shut off first. Valve numbers "
    "match the tags and the P&ID sheets named here; do not work on a valve whose number differs "
    "from its sheet until the two agree."
)


class ValveChart:
    """The framed schedule of an order's valves.

    ``document`` gives everything but the pages. Its symbols are those of the pages at hand.
    """

    def __init__(
        self,
        order: Order,
        rows: Sequence[ValveRow],
        schemes: Mapping[str, Scheme],
        typefaces: Typefaces,
        date: str | None = None,
    ) -> None:
        """Take what the schedule shows.

        ``schemes`` are those in use by the names that the order gives them; ``date`` is used
        where the order has none.
        """
        self._order, self._rows, self._scheme = order, rows, schemes[order.scheme]
        self._symbols: dict[str, Symbol] = {}
        self._voices = voices_of(typefaces, self._symbols)
        title = f"Valve schedule: {order.plant or order.title}"
        self.document = Document("valves", title, (), self._symbols, order.date or date)

    def pages(self, ahead: Ahead | None = None) -> tuple[Page, ...]:
        """Draw every page, on one if it can be; with ``ahead`` only a few are held at a time."""
        for body in _BODIES[:-1]:
            if len(self._rows) * PITCH * body < _END - _TOP:
                sheets = self._fill_sheets(body)
                if sheets.count == 1:
                    return sheets.finish(self._order, self.document.date)
                self._voices.forget()
        handed = ahead and handing_over(ahead, self._voices, self._symbols)
        return self._fill_sheets(_BODIES[-1], handed).finish(self._order, self.document.date)

    def _fill_sheets(self, body: float, ahead: Ahead | None = None) -> _Sheets:
        """All valves in letters of one size."""
        sheets, rows = _Sheets(body, self._voices, self._scheme, ahead), self._rows
        sheets.head(self._order, rows, self.document.date)
        urgent = [row for row in rows if row.emergency]
        others = [row for row in rows if not row.emergency]
        if urgent:
            sheets.section("Emergency valves", urgent)
        if others:
            sheets.section("Valves" if not urgent else "All other valves", others)
        if not rows:
            sheets.line("No valves in this order.")
        return sheets


class _Sheets:
    """Framed pages in the making; with ``ahead`` each is handed over when the next begins."""

    def __init__(self, body: float, voices: Voices, scheme: Scheme, ahead: Ahead | None) -> None:
        self.voices = voices
        self._body, self._scheme = body, scheme
        self._ink: Ink = scheme.inks["black"]
        self._ahead = ahead
        self._full: list[Layer] = []  # every page before this one
        self._items: list[Item] = []  # on this page
        self._y = _TOP

    @property
    def count(self) -> int:
        """How many pages there are so far."""
        return len(self._full) + 1

    def head(self, order: Order, rows: Sequence[ValveRow], day: str | None) -> None:
        """Title, plant, counts, and how to read the schedule."""
        strong, plain, ink = self.voices.strong, self.voices.plain, self._ink
        page, y = self._items, self._y + _TITLE
        page += strong.line("VALVE SCHEDULE", Point(_LEFT, y), _TITLE, ink)
        right = Point(_RIGHT, self._y + 4.0)
        plant = shorten_text(strong, order.plant or order.title, 4.0, 230.0)
        page += strong.line(plant, right, 4.0, ink, "right")
        urgent = sum(row.emergency for row in rows)
        about = (
            counted(len(rows), "valve"),
            counted(urgent, "emergency valve"),
            f"revision {order.revision}" if order.revision else "",
            day or "",
        )
        text = "   |   ".join(part for part in about if part)
        page += plain.line(text, Point(_RIGHT, y), self._body + 0.2, ink, "right")
        page.append(rule(_LEFT, y + 4.0, _RIGHT - _LEFT, 0.8, ink))
        key = f"{_KEY} Abbreviations as in {self._scheme.title}, edition {self._scheme.edition}."
        block = plain.paragraph(key, Point(_LEFT, y + 6.0), self._body, _RIGHT - _LEFT, ink)
        page += block.placements
        self._y = y + 8.0 + block.height

    def line(self, text: str) -> None:
        """One line of text."""
        at = Point(_LEFT, self._y + 8.0)
        self._items += self.voices.plain.line(text, at, self._body, self._ink)

    def section(self, title: str, rows: Sequence[ValveRow]) -> None:
        """A heading and its valves, over as many pages as they need."""
        self._heading(title)
        left = rows
        cells = [_cells(row) for row in rows]
        style = TableStyle(self._body, self._ink, self._body * 0.48, THIN, 0.45)
        while left:
            drawn = table(
                self.voices.plain,
                _COLUMNS,
                cells[-len(left) :],
                Point(_LEFT, self._y),
                style,
                head=self.voices.strong,
                max_height=_END - self._y,
            )
            self._items += drawn.with_beside(partial(self._beside, left))
            self._y += drawn.height + 5.0
            left = left[len(drawn.rows) :]
            if left:
                self._turn()
                self._heading(f"{title}, continued")

    def _beside(self, rows: Sequence[ValveRow], index: int, box: Rect) -> tuple[Item, ...]:
        return self._flag(box) if rows[index].emergency else ()

    def finish(self, order: Order, day: str | None) -> tuple[Page, ...]:
        """All pages with frame and foot."""
        self._turn()
        count = len(self._full)
        whole = Rect(0.0, 0.0, LEDGER.width, LEDGER.height)
        return tuple(
            Page(
                f"valves-{number}",
                f"Valve schedule, page {number} of {count}",
                LEDGER,
                whole,
                whole,
                (rows, Layer("Frame", self._frame(order, day, number, count))),
            )
            for number, rows in enumerate(self._full, start=1)
        )

    def _heading(self, title: str) -> None:
        if self._y + 26.0 > _END:
            self._turn()
        at = Point(_LEFT, self._y + _HEADING + 2.0)
        self._items += self.voices.strong.line(title, at, _HEADING, self._ink)
        self._y = at.y + 2.0

    def _turn(self) -> None:
        rows = Layer("Schedule", tuple(self._items))
        self._full.append(rows if self._ahead is None else self._ahead(rows))
        self._items, self._y = [], _TOP

    def _flag(self, row: Rect) -> tuple[Item, ...]:
        """A red pennant in the margin that points at the row."""
        top = row.center.y - _FLAG.height / 2
        shape = polygon(
            (
                Point(_FLAG.x, top),
                Point(_FLAG.right - 3.5, top),
                Point(_FLAG.right, row.center.y),
                Point(_FLAG.right - 3.5, top + _FLAG.height),
                Point(_FLAG.x, top + _FLAG.height),
            )
        )
        at = Point(_FLAG.x + (_FLAG.width - 3.5) / 2 + 0.6, row.center.y + 1.1)
        word = self.voices.strong.line("EMERG.", at, 2.0, self._scheme.inks["white"], "center")
        return (Fill(shape, self._scheme.inks["safety red"]), *word)

    def _frame(self, order: Order, day: str | None, number: int, count: int) -> tuple[Item, ...]:
        plain, ink = self.voices.plain, self._ink
        parts = (order.title, f"revision {order.revision}" if order.revision else "", day or "")
        foot = shorten_text(plain, "  |  ".join(part for part in parts if part), self._body, 330.0)
        return (
            Stroke(rectangle(_FRAME), ink, 0.9),
            Stroke(rectangle(_FRAME.grown(-1.6)), ink, 0.25),
            rule(_LEFT, _FOOT_Y - 5.0, _RIGHT - _LEFT, THIN, ink),
            *plain.line(foot, Point(_LEFT, _FOOT_Y), self._body, ink),
            *plain.line(
                f"page {number} of {count}", Point(_RIGHT, _FOOT_Y), self._body, ink, "right"
            ),
        )


def _cells(row: ValveRow) -> tuple[str, ...]:
    """The row's texts, each with its end left off where it would fill half a page."""
    cells = (
        row.number,
        row.system,
        row.function,
        row.location,
        row.area,
        row.size,
        row.normal_position,
        "yes" if row.lockout else "",
        row.drawing,
        row.notes,
    )
    return tuple(text if len(text) <= _LONGEST else f"{text[:_LONGEST]} …" for text in cells)
