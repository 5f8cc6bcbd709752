"""Workbooks: the sheets that hold lists, and their cells without a value.

``python_calamine`` is fast but returns an error or an uncalculated formula as empty; if the
sheet's XML shows one, ``openpyxl`` finds the cells.
"""

from __future__ import annotations

import datetime
import os
import re
import warnings
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import field, replace
from itertools import chain, islice
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from layouts.terms.findings import Finding, Place
from layouts.terms.values import frozen
from render.read.cells import (
    Cell,
    CellFault,
    Merged,
    date_cell,
    error_cell,
    formula_cell,
    number_text,
)
from render.read.codes import FileError, fault
from render.read.columns import column_letters
from render.read.delimited import HEAD
from render.read.headings import count_headings
from render.read.hidden_columns import by_sheet_name, hidden_text
from render.read.mapping import mapping_rows
from render.read.ordersheet import HEAD_SHEET
from render.read.signsheet import SIGN_SHEET
from render.read.workbook_scan import Marks, scan

if TYPE_CHECKING:
    from python_calamine import CalamineWorkbook

ZIPPED_XML = (".xlsx", ".xlsm", ".ods")
OWN_SHEETS = ("Help", "Choices", "Examples", "Services", "Findings")  # of the template
_LEAST, _LIST = 2, 3  # headings of a list, and of each list if a workbook has several
_OLD = re.compile(
    r"\b(?:old|archived?|superseded|obsolete|backup|copy|do not use)\b", re.IGNORECASE
)
_MOST_VALUELESS = 2_000  # cells reported individually
_CHUNK = 1_000  # rows
_T = TypeVar("_T")


@frozen
class ListSheet:
    """One sheet that holds a list; ``rows`` can be read once."""

    name: str
    rows: Iterator[tuple[int, list[Cell]]]


@frozen
class ListBook:
    """A workbook: ``head`` is its sheet ``Order``, ``signs`` its sheet ``Signs``, if any."""

    head: list[list[Cell]]
    sheets: tuple[ListSheet, ...]
    findings: tuple[Finding, ...] = ()
    signs: Sequence[list[Cell]] = ()


def read_book(path: Path, own: Mapping[str, object] | None = None) -> ListBook:
    """The sheets of a workbook that hold lists, and the order's head.

    ``own`` has the plant's headings as keys; the sheet ``Order`` may name more.

    Raises:
        FileError: the workbook cannot be read; reading the rows may raise it too.
    """
    zipped = path.suffix.lower() in ZIPPED_XML
    marks = _whole(path, lambda: scan(path)) if zipped else Marks()
    hidden = _whole(path, lambda: by_sheet_name(path, marks.hidden))
    chosen, head, signs, findings = _whole(path, lambda: _sheets(path, own or {}, hidden))
    written = enumerate(head.rows, 1)
    read = [[_cell(c, row, column) for column, c in enumerate(r)] for row, r in written]
    sheets = tuple(ListSheet(sheet.name, _rows(path, sheet, marks)) for sheet in chosen)
    sign_rows = [cells for _, cells in _rows(path, signs, marks)] if signs.name else []
    return ListBook(read, sheets, findings, sign_rows)


def _rows(path: Path, sheet: _Sheet, marks: Marks) -> Iterator[tuple[int, list[Cell]]]:
    faults = _whole(path, lambda: dict(_valueless(path, sheet.name, marks))) if marks.any else {}
    below: dict[tuple[int, int], Cell] = {}
    for row, cells in enumerate(_in_chunks(path, sheet.rows), 1):
        read = [
            _cell(cell, row, column) if type(cell) is not str else cell
            for column, cell in enumerate(cells)
        ]
        for column, found in faults.get(row, ()):
            read.extend([""] * (column + 1 - len(read)))
            read[column] = found
        if sheet.merged:
            _fill_merged(row, read, sheet.merged, below)
        yield row, read


def _fill_merged(
    row: int,
    cells: list[Cell],
    merged: Mapping[tuple[int, int], int],
    below: dict[tuple[int, int], Cell],
) -> None:
    """Give the text of a merged range to each of its rows; ``below`` holds those to come."""
    for column, cell in enumerate(cells):
        last = merged.get((row, column), row)
        for each in range(row + 1, last + 1):
            below[each, column] = Merged(cell) if isinstance(cell, str) else cell
        if not cell and (row, column) in below:
            cells[column] = below.pop((row, column))


def _in_chunks(path: Path, rows: Iterable[list[object]]) -> Iterator[list[object]]:
    """The rows, read in chunks, so that a broken cell is reported as a broken file."""
    stream = iter(rows)
    while chunk := _whole(path, lambda: list(islice(stream, _CHUNK))):
        yield from chunk


@contextmanager
def _hushed() -> Iterator[None]:
    """Keep the fast reader's own error messages off standard error."""
    try:
        kept = os.dup(2)
    except OSError:  # the command was started without standard error
        yield
        return
    try:
        with Path(os.devnull).open("wb") as nowhere:
            os.dup2(nowhere.fileno(), 2)
        yield
    finally:
        os.dup2(kept, 2)
        os.close(kept)


def _whole(path: Path, read: Callable[[], _T]) -> _T:
    """The result of ``read``; any error it raises means a broken file."""
    try:
        with _hushed():
            return read()
    except (KeyboardInterrupt, SystemExit, FileError):
        raise
    except BaseException as error:  # the fast reader's panics are not Exceptions
        what = "the workbook is damaged and cannot be read"
        right = "open it in a spreadsheet program and save it again as .xlsx"
        raise FileError(fault("file-broken", what, right, Place(path.name))) from error


@frozen
class _Sheet:
    """A sheet's rows, to be read once, and the largest number of headings in one row.

    ``merged`` gives the last row of each vertically merged range by its first cell, and
    ``hidden`` names the hidden columns that hold cells.
    """

    name: str = ""
    rows: Iterable[list[object]] = ()
    headings: int = 0
    merged: Mapping[tuple[int, int], int] = field(default_factory=dict)
    hidden: str = ""


def _sheets(
    path: Path, own: Mapping[str, object], hidden_columns: Mapping[str, Sequence[range]]
) -> tuple[tuple[_Sheet, ...], _Sheet, _Sheet, tuple[Finding, ...]]:
    """Every sheet that holds a list, the order's head, its signs, and the skipped sheets.

    If none does, the first sheet counts as the list, so that its faults are reported.
    """
    from python_calamine import CalamineWorkbook, SheetTypeEnum, SheetVisibleEnum

    found: list[_Sheet] = []
    notes: list[Finding] = []
    place = Place(path.name)
    with CalamineWorkbook.from_path(path) as book:
        head = _sheet(book, HEAD_SHEET, ()) if HEAD_SHEET in book.sheet_names else _Sheet()
        head = replace(head, rows=list(head.rows))
        signs = _sheet(book, SIGN_SHEET, ()) if SIGN_SHEET in book.sheet_names else _Sheet()
        signs = replace(signs, rows=list(signs.rows))
        told = mapping_rows([["" if c is None else str(c) for c in row] for row in head.rows])
        headings = {*own, *dict(told.get("columns") or {})}
        listed_ones = [
            each
            for each in book.sheets_metadata
            if each.name not in (HEAD_SHEET, SIGN_SHEET, *OWN_SHEETS)
            and each.typ == SheetTypeEnum.WorkSheet
        ]
        for each in listed_ones:
            sheet = _sheet(book, each.name, headings, hidden_columns.get(each.name, ()))
            hidden = each.visible != SheetVisibleEnum.Visible
            if sheet.headings >= _LIST and (hidden or _OLD.search(each.name)):
                what = (
                    f"the sheet {each.name!r} is not read: {'hidden' if hidden else 'it looks old'}"
                )
                right = "rename it, or show it if its markers are to be made"
                notes.append(fault("sheet-left-out", what, right, replace(place, field=each.name)))
            else:
                found.append(sheet)
                notes += _hidden_notes(sheet, replace(place, field=each.name))
            if sheet.headings >= _LIST and sheet.merged:
                what = f"{len(sheet.merged)} merged cells of {each.name!r} hold for all their rows"
                notes.append(fault("merged-cells", what, "", replace(place, field=each.name)))
    if head.headings >= _LEAST and not found:  # a list with that name
        return (head,), _Sheet(), signs, tuple(notes)
    if signs.headings >= _LIST and not found:  # a list that is called so
        return (signs,), head, _Sheet(), tuple(notes)
    lists = [sheet for sheet in found if sheet.headings >= _LIST]
    few = [sheet for sheet in found if sheet.headings >= _LEAST]
    chosen = lists or few[:1] or found[:1] or [_Sheet()]
    return tuple(chosen), head, signs, tuple(notes)


def _hidden_notes(sheet: _Sheet, place: Place) -> Iterator[Finding]:
    """Which hidden columns of a list are read: what nobody sees decides its markers as well."""
    if sheet.headings >= _LIST and sheet.hidden:
        what = f"hidden columns of {sheet.name!r} are read like the others: {sheet.hidden}"
        yield fault("hidden-columns", what, "show them, and delete what no longer holds", place)


def _sheet(
    book: CalamineWorkbook, name: str, own: Iterable[str], columns: Sequence[range] = ()
) -> _Sheet:
    """The sheet's cells from A1, made row by row, since a long list would fill the memory."""
    sheet = book.get_sheet_by_name(name)
    indent: list[object] = [""] * sheet.start[1] if sheet.start else []
    rows = ([*indent, *row] for row in sheet.iter_rows())
    first = list(islice(rows, HEAD))
    merged = {
        (start[0] + 1, start[1]): end[0] + 1
        for start, end in sheet.merged_cell_ranges or ()
        if end[0] > start[0]
    }
    counts = [count_headings(row, own) for row in first]
    most = max(counts, default=0)
    at = counts.index(most) if first else 0
    heads, below = (first[at], first[at + 1 :]) if first else ([], [])
    return _Sheet(name, chain(first, rows), most, merged, hidden_text(columns, heads, below))


def _valueless(
    path: Path, name: str, marks: Marks
) -> Iterator[tuple[int, list[tuple[int, CellFault]]]]:
    """Row and, for each of its cells without a value, column index and fault."""
    from openpyxl import load_workbook

    place = Place(path.name, field=name)
    found: dict[int, list[tuple[int, CellFault]]] = {}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # about styles and extensions that do not matter here
        values = load_workbook(path, read_only=True, data_only=True)
        formulas = load_workbook(path, read_only=True) if marks.formulas else None
        for cells in values[name].iter_rows():
            for cell in cells:
                if cell.data_type == "e":
                    fault_found = error_cell(f"cell {cell.coordinate}", str(cell.value))
                    found.setdefault(cell.row, []).append((cell.column - 1, fault_found))
                    _refuse_many(found, place)
        if formulas is not None:
            pairs = zip(values[name].iter_rows(), formulas[name].iter_rows(), strict=True)
            for valued, written in pairs:
                for value, cell in zip(valued, written, strict=True):
                    # A result that is an empty text has the type of a text.
                    unworked = value.value is None and value.data_type == "n"
                    if cell.data_type == "f" and unworked:
                        missing = formula_cell(f"cell {cell.coordinate}")
                        found.setdefault(cell.row, []).append((cell.column - 1, missing))
                        _refuse_many(found, place)
    return iter(found.items())


def _refuse_many(found: Mapping[int, list[tuple[int, CellFault]]], place: Place) -> None:
    if len(found) > _MOST_VALUELESS:
        what = f"more than {_MOST_VALUELESS:,} rows have cells with errors or unworked formulas"
        right = "open it in a spreadsheet program, mend them, and save it again"
        raise FileError(fault("cell-error", what, right, place))


def _cell(value: object, row: int, column: int) -> Cell:
    """The text of a cell, or its fault."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return number_text(float(value))
    if isinstance(value, datetime.date | datetime.time | datetime.timedelta):
        return date_cell(f"cell {column_letters(column)}{row}", value)
    return str(value)
