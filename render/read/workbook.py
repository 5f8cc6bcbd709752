"""XLSX: the first sheet that has the headings, with the cells that hold no value.

``python_calamine`` reads fast but hands an error and an unworked formula back as empty; where
the sheet's text shows one, ``openpyxl`` tells the cells.
"""

from __future__ import annotations

import datetime
import re
import warnings
import zipfile
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from itertools import chain, islice
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from layouts.terms.findings import Place
from render.read.cells import Cell, CellFault, date_cell, error_cell, formula_cell, number_text
from render.read.codes import FileError, fault
from render.read.columns import known_headings
from render.read.delimited import HEAD
from render.read.ordersheet import HEAD_SHEET

if TYPE_CHECKING:
    from python_calamine import CalamineWorkbook

_LARGEST = 400 << 20  # bytes of the unpacked workbook
_ERROR_MARK = re.compile(rb"<(?:\w+:)?c\b[^>]*\bt\s*=\s*[\"']e[\"']")
_FORMULA_MARK = re.compile(
    rb"(?:</(?:\w+:)?f>|<(?:\w+:)?f\b[^>]*/>)\s*(?:</|<(?:\w+:)?v\s*/>|<(?:\w+:)?v></)"
)
_T = TypeVar("_T")


@dataclass(frozen=True, slots=True)
class ListBook:
    """A workbook: ``head`` is its sheet ``Order``, empty where it has none."""

    head: list[list[Cell]]
    rows: Iterator[tuple[int, list[Cell]]]


def xlsx_list(path: Path) -> ListBook:
    """Rows with their numbers, of the first sheet with headings, and the order's head.

    Raises:
        FileError: the workbook cannot be read; so may the rows.
    """
    marks = _marks(path)
    sheet, head = _whole(path, lambda: _sheets(path))
    written = enumerate(head.rows, 1)
    read = [[_cell(c, row, column) for column, c in enumerate(r)] for row, r in written]
    return ListBook(read, _rows(path, sheet, marks))


def _rows(path: Path, sheet: _Sheet, marks: tuple[bool, bool]) -> Iterator[tuple[int, list[Cell]]]:
    faults = _whole(path, lambda: dict(_valueless(path, sheet.name, marks))) if any(marks) else {}
    for row, cells in enumerate(sheet.rows, 1):
        read = [
            _cell(cell, row, column) if type(cell) is not str else cell
            for column, cell in enumerate(cells)
        ]
        for column, found in faults.get(row, ()):
            read.extend([""] * (column + 1 - len(read)))
            read[column] = found
        yield row, read


def _whole(path: Path, read: Callable[[], _T]) -> _T:
    """What ``read`` returns; whatever it raises is a broken file."""
    try:
        return read()
    except (KeyboardInterrupt, SystemExit, FileError):
        raise
    except BaseException as error:  # the fast reader's panics are no Exception
        what = "the workbook is damaged and cannot be read"
        right = "open it in a spreadsheet program and save it again as .xlsx"
        raise FileError(fault("file-broken", what, right, Place(path.name))) from error


def _marks(path: Path) -> tuple[bool, bool]:
    """Whether any sheet shows an error, and whether any shows a formula without a result."""

    def read() -> tuple[bool, bool]:
        errors = formulas = False
        with zipfile.ZipFile(path) as archive:
            if sum(entry.file_size for entry in archive.infolist()) > _LARGEST:
                what = f"the workbook unpacks to more than {_LARGEST >> 20} MB"
                right = "keep the line list alone in it"
                raise FileError(fault("file-too-large", what, right, Place(path.name)))
            for entry in archive.infolist():
                if entry.filename.startswith("xl/worksheets/") and entry.file_size:
                    text = archive.read(entry)
                    errors = errors or _shows(text, (b'"e"', b"'e'"), _ERROR_MARK)
                    formulas = formulas or _shows(text, (b"<f", b":f"), _FORMULA_MARK)
        return errors, formulas

    return _whole(path, read)


def _shows(text: bytes, signs: tuple[bytes, ...], mark: re.Pattern[bytes]) -> bool:
    """Whether the mark is in the text; one of the signs is in every mark, and found quickly."""
    return any(sign in text for sign in signs) and mark.search(text) is not None


@dataclass(frozen=True, slots=True)
class _Sheet:
    """A sheet's rows, to be read once, and whether one of the first holds headings."""

    name: str = ""
    rows: Iterable[list[object]] = ()
    listed: bool = False


def _sheets(path: Path) -> tuple[_Sheet, _Sheet]:
    """The first sheet with headings, else the first, and the order's head."""
    from python_calamine import CalamineWorkbook

    unlisted: list[_Sheet] = []
    with CalamineWorkbook.from_path(path) as book:
        names = [name for name in book.sheet_names if name != HEAD_SHEET]
        head = _sheet(book, HEAD_SHEET) if len(names) < len(book.sheet_names) else _Sheet()
        for name in names:
            sheet = _sheet(book, name)
            if sheet.listed:
                return sheet, head
            unlisted.append(sheet)
    if head.listed:  # a list that is called so
        return head, _Sheet()
    return unlisted[0] if unlisted else _Sheet(), head


def _sheet(book: CalamineWorkbook, name: str) -> _Sheet:
    """The sheet's cells from A1 on, made row by row, as a long list's would fill the memory."""
    sheet = book.get_sheet_by_name(name)
    indent: list[object] = [""] * sheet.start[1] if sheet.start else []
    rows = ([*indent, *row] for row in sheet.iter_rows())
    first = list(islice(rows, HEAD))
    return _Sheet(name, chain(first, rows), any(map(_has_headings, first)))


def _has_headings(row: list[object]) -> bool:
    return len(known_headings(row)) >= 2


def _valueless(
    path: Path, name: str, marks: tuple[bool, bool]
) -> Iterator[tuple[int, list[tuple[int, CellFault]]]]:
    """Row and, for each of its cells without a value, column index and fault."""
    from openpyxl import load_workbook

    found: dict[int, list[tuple[int, CellFault]]] = {}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of styles and extensions that do not matter here
        values = load_workbook(path, read_only=True, data_only=True)
        formulas = load_workbook(path, read_only=True) if marks[1] else None
        for cells in values[name].iter_rows():
            for cell in cells:
                if cell.data_type == "e":
                    fault_found = error_cell(f"cell {cell.coordinate}", str(cell.value))
                    found.setdefault(cell.row, []).append((cell.column - 1, fault_found))
        if formulas is not None:
            pairs = zip(values[name].iter_rows(), formulas[name].iter_rows(), strict=True)
            for valued, written in pairs:
                for value, cell in zip(valued, written, strict=True):
                    # A result that is an empty text has the type of a text.
                    unworked = value.value is None and value.data_type == "n"
                    if cell.data_type == "f" and unworked:
                        missing = formula_cell(f"cell {cell.coordinate}")
                        found.setdefault(cell.row, []).append((cell.column - 1, missing))
    return iter(found.items())


def _cell(value: object, row: int, column: int) -> Cell:
    """Text of a cell, or its fault."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return number_text(float(value))
    if isinstance(value, datetime.date | datetime.time | datetime.timedelta):
        return date_cell(f"cell {_letters(column)}{row}", value)
    return str(value)


def _letters(column: int) -> str:
    """``A`` for 0, ``AA`` for 26."""
    text, rest = "", column + 1
    while rest:
        rest, letter = divmod(rest - 1, 26)
        text = chr(ord("A") + letter) + text
    return text
