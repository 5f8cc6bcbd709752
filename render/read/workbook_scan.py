"""Scans a workbook's XML before a reader allocates its cells: sizes, and cells to examine.

The fast reader allocates every cell between the first and the last, so one stray cell in the far
corner asks for more memory than any machine has. A file may also claim to hold more than it does.
Both are caught here, at the cost of unpacking the file once.
"""

from __future__ import annotations

import re
import zipfile
from collections.abc import Mapping
from dataclasses import field
from pathlib import Path

from layouts.terms.findings import Place
from layouts.terms.values import frozen
from render.read.codes import FileError, fault
from render.read.columns import column_letters
from render.read.hidden_columns import hidden_in
from render.read.opendocument_scan import Reach, reaches

_MB = 1 << 20
_LARGEST = 400 * _MB  # of the unpacked workbook
_DENSE, _RATIO = 32 * _MB, 150  # a file that unpacks to more than both is not a list
_ROWS, _COLUMNS = 1 << 20, 1 << 14  # of a sheet (ECMA-376-1, 18.3.1.73 and 18.3.1.4)
_ROOM = 4_000_000  # cells that may be allocated if few of them are filled
_SPARSE = 8  # limit of places in a range per filled cell
_CHUNK = _MB
_ROW = re.compile(rb"<(?:\w+:)?row\b[^<>]*?\sr\s*=\s*[\"'](\d{1,12})")
_COLUMN = re.compile(rb"\sr\s*=\s*[\"']([A-Za-z]{1,4})\d")
_COUNTS = re.compile(rb"<(?:\w+:)?sst\b[^<>]*")
_COUNT = re.compile(rb"[cC]ount\s*=\s*[\"'](\d{1,20})")
_ERROR_MARK = re.compile(rb"<(?:\w+:)?c\b[^<>]*\bt\s*=\s*[\"']e[\"']")
_FORMULA_MARK = re.compile(
    rb"(?:</(?:\w+:)?f>|<(?:\w+:)?f\b[^<>]*/>)\s*(?:</|<(?:\w+:)?v\s*/>|<(?:\w+:)?v></)"
)


@frozen
class Marks:
    """Whether any sheet shows an error, and whether any shows a formula without a result.

    ``hidden`` gives the hidden columns of a sheet by the name of its part in the archive.
    """

    errors: bool = False
    formulas: bool = False
    hidden: Mapping[str, tuple[range, ...]] = field(default_factory=dict)

    @property
    def any(self) -> bool:
        """Whether any cell needs a closer look."""
        return self.errors or self.formulas


def scan(path: Path) -> Marks:
    """Scan the parts of an XLSX or ODS.

    Raises:
        FileError: it unpacks to too much data, or its cells are too far apart.
        Exception: any error of a damaged archive.
    """
    errors = formulas = False
    hidden: dict[str, tuple[range, ...]] = {}
    with zipfile.ZipFile(path) as archive:
        _refuse_bomb(archive, path)
        for entry in archive.infolist():
            text = _unpacked(archive, entry)
            if entry.filename.startswith("xl/worksheets/") and text:
                _refuse_far(text, entry.filename, path)
                errors = errors or _shows(text, (b'"e"', b"'e'"), _ERROR_MARK)
                formulas = formulas or _shows(text, (b"<f", b":f"), _FORMULA_MARK)
                if columns := hidden_in(text):
                    hidden[entry.filename] = columns
            elif entry.filename == "xl/sharedStrings.xml":
                _refuse_lie(text, path)
            elif entry.filename == "content.xml":
                _refuse_far_tables(text, path)
    return Marks(errors, formulas, hidden)


def _refuse_bomb(archive: zipfile.ZipFile, path: Path) -> None:
    entries = archive.infolist()
    size = sum(entry.file_size for entry in entries)
    packed = sum(entry.compress_size for entry in entries)
    if size > _LARGEST or (size > _DENSE and size > _RATIO * packed):
        what = f"the workbook unpacks to {size // _MB} MB"
        right = "keep only the line list in it, and save it again"
        raise FileError(fault("file-too-large", what, right, Place(path.name)))


def _unpacked(archive: zipfile.ZipFile, entry: zipfile.ZipInfo) -> bytes:
    """A part, read in pieces; if it holds more than its header says, it is damaged."""
    pieces: list[bytes] = []
    with archive.open(entry) as stream:
        while piece := stream.read(_CHUNK):
            pieces.append(piece)
    return b"".join(pieces)


def _refuse_far(text: bytes, part: str, path: Path) -> None:
    """Refuse a used range that is too large for the cells in it."""
    sheet = f"in {part.removeprefix('xl/worksheets/').removesuffix('.xml')}"
    rows = [int(number) for number in _ROW.findall(text)]
    last = max((max(rows, default=0), text.count(b"<row "), text.count(b":row ")))
    if last <= _ROWS and last * _COLUMNS <= _ROOM:
        return
    width = max(map(_column_number, set(_COLUMN.findall(text))), default=0)
    cells = text.count(b"<c ") + text.count(b":c ") + text.count(b"<c>")
    _refuse_reach(Reach(sheet, last, width, cells), path)


def _refuse_far_tables(content: bytes, path: Path) -> None:
    """The same for the sheets of an OpenDocument, which are all laid out at once."""
    places = cells = 0
    for reach in reaches(content):
        _refuse_reach(reach._replace(sheet=repr(reach.sheet)), path)
        places += reach.rows * reach.columns
        cells += reach.cells
    if places > max(_ROOM, _SPARSE * cells):
        what = f"its sheets have room for {places:,} cells, and {cells:,} of them are there"
        right = "delete the rows and columns behind each list, and save it again"
        raise FileError(fault("file-too-large", what, right, Place(path.name)))


def _refuse_reach(reach: Reach, path: Path) -> None:
    sheet, rows, columns, cells = reach
    if rows > _ROWS:
        what, right = f"row {rows:,}", f"a sheet has {_ROWS:,} rows"
    elif columns > _COLUMNS:
        what, right = "a column past the last", f"a sheet has {_COLUMNS:,} columns"
    elif rows * columns > max(_ROOM, _SPARSE * cells):
        where = f"row {rows:,} and column {column_letters(columns - 1)}"
        what = f"cells as far away as {where}, and {cells:,} cells in all"
        right = "delete the rows and columns behind the list, and save it again"
    else:
        return
    told = f"the sheet {sheet} has {what}"
    raise FileError(fault("file-too-large", told, right, Place(path.name)))


def _column_number(letters: bytes) -> int:
    number = 0
    for letter in letters.upper():
        number = 26 * number + letter - 64
    return number


def _refuse_lie(text: bytes, path: Path) -> None:
    """Refuse a count of texts beyond the part's size; the fast reader would allocate them all."""
    found = _COUNTS.search(text)
    if any(int(count) > len(text) for count in _COUNT.findall(found[0] if found else b"")):
        what = "the workbook is damaged and cannot be read"
        right = "open it in a spreadsheet program and save it again as .xlsx"
        raise FileError(fault("file-broken", what, right, Place(path.name)))


def _shows(text: bytes, signs: tuple[bytes, ...], mark: re.Pattern[bytes]) -> bool:
    """Whether the mark is in the text; a sign that every mark contains is looked for first."""
    return any(sign in text for sign in signs) and mark.search(text) is not None
