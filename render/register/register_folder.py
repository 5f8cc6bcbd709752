"""The folder of a register: its table, its history, and the orders that its pieces are made by.

    register.csv    one row for each piece that hangs; register.xlsx is the same to read
    history.csv     all that was done, the oldest first: lines are added and none is changed
    lifetimes.toml  the plant's own lifetimes, if it has any
    orders/         the order of each job or list by its number, with schemes, proof, approvals

It is written whole beside its place and moved there, so a command that fails changes nothing. A
table edited by hand is read as it is, and its history says so.
"""

from __future__ import annotations

import csv
import datetime
import hashlib
import io
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import field, replace
from pathlib import Path

from layouts.register.model import (
    DAY_COLUMNS,
    ENTRY_COLUMNS,
    EVENT_COLUMNS,
    Deed,
    Entry,
    Event,
    Register,
)
from layouts.schemes.lifetimes import Exposure, Lifetime
from layouts.schemes.loader import lifetimes_from_toml, load_lifetimes
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.synonyms import show_value
from layouts.terms.values import frozen
from render.files.atomic import manifest, write_file, write_folder
from render.files.intake import bytes_of
from render.files.overwrite import MANIFEST
from render.files.spreadsheet import plain_text
from render.files.xlsx import Book
from render.folder.open import open_job
from render.write.tables import csv_file

TABLE, BOOK, HISTORY, LIFETIMES, ORDERS = (
    *("register.csv", "register.xlsx", "history.csv", "lifetimes.toml", "orders/"),
)
_WIDE = {"position": 34, "marker": 34, "note": 34, "line_or_tag": 18, "area": 18, "build": 16}


@frozen
class Stored:
    """A register with the files of its orders, by their names in its folder."""

    folder: Path
    register: Register = field(default_factory=Register)
    kept: Mapping[str, bytes] = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()
    edited: bool = False

    @property
    def lifetimes(self) -> tuple[Lifetime, ...]:
        """The plant's own lifetimes before the usual ones.

        Raises:
            InputError: the plant's file has faults.
        """
        own = self.kept.get(LIFETIMES)
        if own is None:
            return load_lifetimes()
        return lifetimes_from_toml(own.decode("utf-8-sig", "replace"), LIFETIMES)

    def orders(self) -> Mapping[str, Mapping[str, bytes]]:
        """The files of every order by its number."""
        found: dict[str, dict[str, bytes]] = {}
        for name, data in self.kept.items():
            if name.startswith(ORDERS):
                number, _, file = name.removeprefix(ORDERS).partition("/")
                found.setdefault(number, {})[file] = data
        return found


def read_register(path: Path) -> Stored:
    """The register of a folder, or of the table in it.

    Raises:
        InputError: it is not a register, or some rows are invalid; the error holds every fault.
    """
    folder = path.parent if path.name in (TABLE, BOOK) else path
    job = open_job(folder)
    if TABLE not in job.hashes:
        what = f"{folder} is no register: it has no {TABLE}"
        right = "name the folder that `pipelegend register` wrote"
        raise InputError([Finding("register-unreadable", Severity.UNREADABLE, what, right)])
    faults: list[Finding] = []
    try:
        table = bytes_of(folder / TABLE)
    except OSError as error:
        what = f"{TABLE} cannot be opened ({error.strerror})"
        right = "restore the folder as it was written"
        raise InputError(
            [Finding("register-unreadable", Severity.UNREADABLE, what, right)]
        ) from error
    edited = hashlib.sha256(table).hexdigest() != job.hashes[TABLE]
    entries = tuple(_entries(table, faults))
    history = tuple(Event(*row) for row in _rows(job.file(HISTORY), EVENT_COLUMNS, HISTORY, faults))
    if faults:
        raise InputError(faults)
    kept = {
        name: job.file(name) for name in job.hashes if name == LIFETIMES or name.startswith(ORDERS)
    }
    return Stored(folder, Register(entries, history), kept, _edited(edited), edited)


def open_or_new(folder: Path, lifetimes: Path | None = None) -> Stored:
    """The register of a folder, an empty one where there is none; with the plant's lifetimes.

    Raises:
        InputError: the folder or the file of lifetimes cannot be used.
    """
    there = folder.is_dir() and any(folder.iterdir())
    stored = read_register(folder) if there else Stored(folder)
    if lifetimes is None:
        return stored
    try:
        data = bytes_of(lifetimes)
    except OSError as error:
        what = f"{lifetimes} cannot be opened ({error.strerror})"
        fault = Finding("register-lifetimes", Severity.UNREADABLE, what, "check its name")
        raise InputError([fault]) from error
    lifetimes_from_toml(data.decode("utf-8-sig", "replace"), lifetimes.name)
    return replace(stored, kept={**stored.kept, LIFETIMES: data})


def _edited(edited: bool) -> tuple[Finding, ...]:
    if not edited:
        return ()
    what, right = "the table was edited by hand", "its rows are read as they are now"
    return (Finding("register-edited", Severity.WARNING, what, right, place=Place(TABLE)),)


def write_register(stored: Stored, register: Register, kept: Mapping[str, bytes], day: str) -> None:
    """Write the folder whole or not at all; ``day`` is that of the change.

    Raises:
        OutputError: it cannot be written.
    """
    history = register.history
    if stored.edited:
        edit = Event(day, Deed.EDITED, "", "", "", "", TABLE)
        before = len(stored.register.history)
        history = (*history[:before], edit, *history[before:])
    files = {
        TABLE: csv_file((ENTRY_COLUMNS, *(entry.cells for entry in register.entries))),
        BOOK: _book(register.entries, day),
        HISTORY: csv_file(
            (EVENT_COLUMNS, *([getattr(each, n) for n in EVENT_COLUMNS] for each in history))
        ),
        **stored.kept,
        **kept,
    }
    files[MANIFEST] = manifest(files)
    if stored.edited:  # what was edited is taken over, so it may be replaced
        there = {name: bytes_of(stored.folder / name) for name in open_job(stored.folder).hashes}
        write_file(stored.folder / MANIFEST, manifest(there))
    write_folder(stored.folder, files, replace=True)


def _entries(table: bytes, faults: list[Finding]) -> Iterator[Entry]:
    seen: dict[str, int] = {}
    for number, row in enumerate(_rows(table, ENTRY_COLUMNS, TABLE, faults), start=2):
        entry = Entry(*row)
        for name in DAY_COLUMNS:
            if not _is_day(getattr(entry, name)):
                what = f"{show_value(getattr(entry, name))} is no day"
                faults.append(_fault("register-day", number, name, what, "write it as 2026-03-01"))
        if entry.exposure not in (*Exposure, ""):
            what = f"{show_value(entry.exposure)} is no exposure"
            right = f"write {', '.join(Exposure)}"
            faults.append(_fault("register-exposure", number, "exposure", what, right))
        if not entry.id or entry.id in seen:
            what = f"{entry.id or 'a row without id'} is there twice" if entry.id else "no id"
            right = f"see row {seen.get(entry.id, number)}: a piece hangs once"
            faults.append(_fault("register-id", number, "id", what, right))
        seen[entry.id] = number
        yield entry


def _is_day(text: str) -> bool:
    try:
        return not text or datetime.date.fromisoformat(text).isoformat() == text
    except ValueError:
        return False


def _rows(
    data: bytes, columns: Sequence[str], file: str, faults: list[Finding]
) -> Iterator[tuple[str, ...]]:
    """The rows of a table whose columns may lie in another order, as spreadsheets leave them."""
    try:
        text = data.decode("utf-8-sig")
        start = text.partition("\n")[0]
        delimiter = ";" if start.count(";") > start.count(",") else ","
        found = list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter))
    except (UnicodeDecodeError, csv.Error):
        what, right = "the table is no CSV text in UTF-8", "save it as CSV UTF-8"
        faults.append(Finding("register-unreadable", Severity.UNREADABLE, what, right))
        return
    head = [name.strip() for name in found[0]] if found else []
    missing = [name for name in columns if name not in head]
    if missing:
        what = f"the table lacks {', '.join(missing)}"
        place = Place(file, 1)
        right = "leave every heading as it was written"
        faults.append(Finding("register-column", Severity.UNREADABLE, what, right, place=place))
        return
    at = [head.index(name) for name in columns]
    for row in found[1:]:
        if any(cell.strip() for cell in row):
            cells = (row[index].strip() if index < len(row) else "" for index in at)
            yield tuple(map(plain_text, cells))


def _fault(code: str, row: int, name: str, what: str, right: str) -> Finding:
    place = Place(TABLE, row, name)
    return Finding(code, Severity.UNREADABLE, what, right, place=place)


def _book(entries: Sequence[Entry], day: str) -> bytes:
    book = Book("Register of markers", day)
    sheet = book.sheet("Register")
    head = book.style({"bold": True, "bg_color": "#262626", "font_color": "#FFFFFF"})
    plain = book.style({"num_format": "@", "valign": "top", "bottom": 4})
    urgent = book.style(
        {"num_format": "@", "valign": "top", "bottom": 4, "bg_color": "#F6D7D2", "bold": True}
    )
    for index, name in enumerate(ENTRY_COLUMNS):
        sheet.set_column(index, index, _WIDE.get(name, max(11, len(name) + 2)))
        sheet.write_string(0, index, name, head)
    for row, entry in enumerate(entries, start=1):
        for index, text in enumerate(entry.cells):
            marked = entry.needs_work and ENTRY_COLUMNS[index] in ("id", "state")
            sheet.write_string(row, index, text, urgent if marked else plain)
    sheet.autofilter(0, 0, max(1, len(entries)), len(ENTRY_COLUMNS) - 1)
    sheet.freeze_panes(1, 1)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    sheet.repeat_rows(0)
    return book.finish()
