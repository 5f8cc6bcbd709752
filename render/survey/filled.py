"""Filled sheets of a survey read back: every row as it was written, or every fault of every cell.

A sheet names the list that it was made of, so one of another plant is told; so are unknown ids,
words that say nothing, days after the day of reading, and rows without a name or a day. Columns
that a surveyor added are kept with the note.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from layouts.order.order import Order
from layouts.survey.agreement import contradictions
from layouts.survey.sightings import (
    Noted,
    Seen,
    SeenError,
    Sighting,
    Stray,
    read_circumference,
    read_seen,
)
from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.synonyms import nearest, show_value
from layouts.terms.units import UnitError
from layouts.terms.values import frozen
from render.read import read_tables
from render.read.cells import Cell, CellFault
from render.read.columns import column_letters
from render.survey.survey_columns import AREA, BY, DATE, HEADINGS, LIST_NUMBER, PLANT

_HEADS = (LIST_NUMBER, PLANT, AREA, BY, DATE)
# What shows that somebody looked: a name or a day by itself does not.
_SAID = ("found", "reads", "circumference_in", "note", "photo")
_OLD_REVISION = "survey-other-list"


@frozen
class Expected:
    """What the sheets are held against: the list, the ids of its pieces, and the day of reading."""

    order: Order
    seal: str
    ids: Collection[str]
    date: str


@dataclass(slots=True)
class Answers:
    """The combined answers of all sheets, and their faults."""

    sightings: list[Sighting] = field(default_factory=list)
    strays: list[Stray] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)

    @property
    def sound(self) -> bool:
        """Whether nothing in any sheet has to be corrected first."""
        return not any(each.blocks for each in self.findings)


def read_filled(paths: Sequence[Path], expected: Expected) -> Answers:
    """The rows of all sheets, given in any order; a repeated row counts once.

    Raises:
        InputError: a file cannot be read at all.
    """
    answers = Answers()
    for path in sorted(paths, key=lambda each: (each.name, str(each))):
        tables, notes = read_tables(path, HEADINGS)
        # A sheet that is left out may hold what somebody wrote, and nothing of that may be lost.
        answers.findings += (replace(each, severity=_weight(each)) for each in notes)
        for sheet, rows in tables:
            shown_sheet = sheet if len(tables) > 1 else ""
            _SheetReader(Place(path.name, sheet=shown_sheet), expected, answers).read(rows)
    answers.sightings = _once(answers.sightings)
    answers.strays = list(dict.fromkeys(answers.strays))
    answers.findings += contradictions(answers.sightings)
    return answers


def _weight(note: Finding) -> Severity:
    return Severity.UNREADABLE if note.code == "sheet-left-out" else note.severity


def _once(sightings: Iterable[Sighting]) -> list[Sighting]:
    """Rows that say the same of the same piece by the same person on the same day, once."""
    found: dict[tuple[object, ...], Sighting] = {}
    for each in sightings:
        noted = replace(each.noted, place=Place())
        found.setdefault((each.piece, each.seen, noted), each)
    return list(found.values())


class _SheetReader:
    """One sheet: the lines above its headings, then row by row."""

    def __init__(self, place: Place, expected: Expected, answers: Answers) -> None:
        self._place = place
        self._expected = expected
        self._answers = answers
        self._head: dict[str, str] = {}
        self._columns: dict[str, int] = {}
        self._titles: list[str] = []

    def read(self, rows: Iterable[tuple[int, list[Cell]]]) -> None:
        """Every row of the sheet."""
        for number, cells in rows:
            if self._columns:
                self._row(number, cells)
            elif _is_heading(cells):
                self._take_headings(cells)
                self._check_head()
            else:
                self._take_head(number, cells)
        if not self._columns:
            right = "give a sheet that `pipelegend survey` wrote, with its heading row"
            self._fault(
                "survey-no-headings", None, "", "no row has the headings id and found", right
            )

    def _take_head(self, number: int, cells: Sequence[Cell]) -> None:
        label = _text(cells[0]).casefold().rstrip(":") if cells else ""
        if label in _HEADS and len(cells) > 1:
            value = cells[1]
            if label == DATE:
                self._head[DATE] = self._day(number, 1, value) if _text(value) else ""
            else:
                self._head[label] = _text(value)

    def _take_headings(self, cells: Sequence[Cell]) -> None:
        self._titles = [_text(cell) for cell in cells]
        for index, title in enumerate(self._titles):
            name = _name(title)
            if name in HEADINGS:
                self._columns.setdefault(name, index)

    def _check_head(self) -> None:
        """Whether the sheet was made of this list."""
        seal, plant = self._head.get(LIST_NUMBER, ""), self._head.get(PLANT, "")
        own = self._expected.order.plant
        if plant and own and plant.casefold() != own.casefold():
            what = f"the sheet is of {plant}, and the list is of {own}"
            right = "give the list of that plant, or take the sheet out"
            self._fault("survey-other-plant", None, PLANT, what, right)
        elif seal != self._expected.seal:
            what = f"the sheet was made of list {seal or 'without a number'}, and this is list "
            what += self._expected.seal
            right = "rows of places that both have are read; survey the others again"
            place = replace(self._place, field=LIST_NUMBER)
            self._answers.findings.append(
                Finding(_OLD_REVISION, Severity.NOTE, what, right, place=place)
            )

    def _row(self, number: int, cells: Sequence[Cell]) -> None:
        texts = {name: self._cell(number, name, cells) for name in self._columns}
        added = self._added(cells)
        if not (any(texts.get(name) for name in _SAID) or added):
            if not texts.get("id") and any(texts.get(name) for name in HEADINGS):
                self._unread_stray(number)
            return
        noted = self._noted(number, texts, added)
        seen = self._seen(number, texts.get("found", ""))
        piece = texts.get("id", "").upper()
        if piece:
            self._sighting(number, piece, seen, noted)
        else:
            self._stray(number, texts, seen, noted)

    def _sighting(self, number: int, piece: str, seen: tuple[Seen, ...], noted: Noted) -> None:
        if piece not in self._expected.ids:
            near = nearest(piece, self._expected.ids)
            right = f"did you mean {near}?" if near else "see the sheets of this list for its ids"
            what = f"{show_value(piece)} is no piece of the list"
            self._fault("survey-unknown-id", number, "id", what, right)
            return
        self._answers.sightings.append(Sighting(piece, seen, noted))

    def _stray(
        self, number: int, texts: Mapping[str, str], seen: tuple[Seen, ...], noted: Noted
    ) -> None:
        reads = noted.reads or texts.get("should_read", "")
        if not reads:
            self._unread_stray(number)
            return
        if Seen.MISSING in seen:
            what = "a marker without an id cannot be missing: it is in no list"
            right = "write its id, or what hangs there"
            self._fault("survey-unknown-id", number, "found", what, right)
            return
        area = self._head.get(AREA, "")
        thing, location, start, end = (
            texts.get(name, "") for name in ("line_or_tag", "location", "from", "to")
        )
        noted = replace(noted, reads=reads)
        self._answers.strays.append(Stray(area, thing, location, start, end, seen, noted))

    def _unread_stray(self, number: int) -> None:
        what = "a marker in no list without its words"
        right = "write in reads what it says, or empty the row"
        self._fault("survey-stray-unread", number, "reads", what, right)

    def _seen(self, number: int, text: str) -> tuple[Seen, ...]:
        try:
            return read_seen(text)
        except SeenError as error:
            what, _, right = str(error).partition("; ")
            self._fault("survey-unknown-word", number, "found", what, right)
            return ()

    def _noted(self, number: int, texts: Mapping[str, str], added: str) -> Noted:
        by = texts.get("by") or self._head.get(BY, "")
        date = texts.get("day") or self._head.get(DATE, "")
        if not by:
            right = f"write it there or in the line {BY} above the headings"
            self._fault("survey-unsigned", number, "by", "nobody says who looked", right)
        if not date:
            right = f"write it there or in the line {DATE} above the headings"
            self._fault("survey-undated", number, "day", "nobody says when", right)
        note = "; ".join(part for part in (texts.get("note", ""), added) if part)
        return Noted(
            reads=texts.get("reads", ""),
            girth=self._girth(number, texts.get("circumference_in", "")),
            note=note,
            photo=texts.get("photo", ""),
            by=by,
            date=date,
            place=self._at(number, "found"),
        )

    def _girth(self, number: int, text: str) -> float | None:
        if not text:
            return None
        try:
            return read_circumference(text)
        except UnitError as error:
            what, _, right = str(error).partition("; ")
            self._fault("survey-circumference", number, "circumference_in", what, right)
            return None

    def _cell(self, number: int, name: str, cells: Sequence[Cell]) -> str:
        index = self._columns[name]
        cell = cells[index] if index < len(cells) else ""
        if name == "day":
            return self._day(number, index, cell) if _text(cell) else ""
        if isinstance(cell, CellFault) and not cell.date:
            self._fault(f"survey-{cell.code}", number, name, cell.what, cell.right)
            return ""
        return _text(cell)

    def _day(self, number: int, index: int, cell: Cell) -> str:
        """A day as YYYY-MM-DD, not after that of reading; empty for one that is wrong."""
        text = _text(cell)
        heading = self._titles[index] if index < len(self._titles) else DATE
        try:
            day = datetime.date.fromisoformat(text[:10] if _DAY.match(text) else text)
        except ValueError:
            what, right = f"{show_value(text)} is no day", "write it as in 2026-03-01"
            self._fault("survey-date", number, _name(heading), what, right)
            return ""
        if day.isoformat() > self._expected.date:
            what = f"{day} is after {self._expected.date}, the day of reading"
            right = "correct the day, or give the right one with --date"
            self._fault("survey-future", number, _name(heading), what, right)
            return ""
        return day.isoformat()

    def _added(self, cells: Sequence[Cell]) -> str:
        """The entries beside the known columns, under their headings."""
        known = set(self._columns.values())
        parts = []
        for index, cell in enumerate(cells):
            text = _text(cell)
            if index not in known and text:
                title = self._titles[index] if index < len(self._titles) else ""
                parts.append(f"{title}: {text}" if title else text)
        return "; ".join(parts)

    def _at(self, number: int | None, name: str) -> Place:
        index = self._columns.get(name)
        cell = f"{column_letters(index)}{number}" if index is not None and number else ""
        return replace(self._place, row=number, field=name, cell=cell)

    def _fault(self, code: str, number: int | None, name: str, what: str, right: str) -> None:
        self._answers.findings.append(
            Finding(code, Severity.UNREADABLE, what, right, place=self._at(number, name))
        )


_DAY = re.compile(r"\d{4}-\d{2}-\d{2}[ T]")


def _is_heading(cells: Sequence[Cell]) -> bool:
    names = {_name(_text(cell)) for cell in cells}
    return {"id", "found"} <= names


def _name(title: str) -> str:
    return re.sub(r"[\s\-]+", "_", title.strip().casefold())


def _text(cell: Cell) -> str:
    """The text of a cell in one line; of a date its day."""
    return cell.date if isinstance(cell, CellFault) else " ".join(cell.split())
