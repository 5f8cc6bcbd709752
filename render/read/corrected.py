"""Corrects cells of a plant's list and leaves everything else unchanged.

An .xlsx or .xlsm workbook keeps its columns, formats and formulas. A changed cell is colored, and
its note gives the old value. A CSV file keeps its encoding and delimiter. A list of another kind
(.xls, .ods) comes back as .xlsx with the same values.
"""

from __future__ import annotations

import csv
import io
import re
import zipfile
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING
from xml.sax.saxutils import escape

from layouts.order.order import Acceptance
from layouts.terms.errors import OutputError
from layouts.terms.values import frozen
from render.read.cells import number_text
from render.read.delimited import delimiter_of, encoding_of
from render.read.marked import opened, same_bytes
from render.read.ordersheet import ACCEPT, HEAD_SHEET
from render.read.signsheet import SIGN_SHEET

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.cell.cell import Cell

_FILL = "C6E0B4"
_AUTHOR = "corrected"
_NUMBER = re.compile(r"-?(?:0|[1-9]\d{0,14})(?:\.\d+)?")
_ADDRESS = re.compile(r"([A-Z]{1,3})([1-9]\d{0,6})")
# openpyxl writes a formula without its result, so the result is restored from the original.
_UNWORKED = re.compile(
    rb'<c r="([A-Z]+\d+)"((?: s="\d+")?)(?: t="\w+")?>'
    rb"(<f\b(?:[^>]*/>|.*?</f>))<v\s*(?:/>|></v>)</c>",
    re.DOTALL,
)


@frozen
class Correction:
    """A new value for a cell; ``sheet`` is empty for a file without sheets."""

    sheet: str
    cell: str
    text: str


def corrected_name(name: str) -> str:
    """The name of the corrected file."""
    path = Path(name)
    return f"{path.stem}.xlsx" if path.suffix.lower() in (".xls", ".ods") else name


def corrected_list(
    path: Path, corrections: Sequence[Correction], accepted: Sequence[Acceptance] = ()
) -> bytes:
    """The list with its cells corrected, and accepted findings added to its sheet ``Order``.

    Raises:
        OutputError: the list cannot be opened, has no such cell, or cannot hold accepted findings.
    """
    if path.suffix.lower() == ".csv":
        return _corrected_csv(path, corrections)
    try:
        book = opened(path)
    except Exception as error:  # openpyxl passes on any error of its parsers
        raise OutputError(f"{path.name} cannot be opened to be corrected ({error})") from error
    for each in corrections:
        if each.sheet not in book.sheetnames or _ADDRESS.fullmatch(each.cell) is None:
            raise OutputError(f"{path.name} has no cell {each.cell} on a sheet {each.sheet!r}")
        _correct(book, each)
    if accepted:
        _accept(book, path.name, accepted, {each.sheet for each in corrections})
    results = _results(path) if path.suffix.lower() in (".xlsx", ".xlsm") else {}
    fixed = {(each.sheet, each.cell) for each in corrections}
    kept = {key: value for key, value in results.items() if key not in fixed}
    names = {f"xl/worksheets/sheet{at}.xml": name for at, name in enumerate(book.sheetnames, 1)}
    made = same_bytes(book)
    return _worked(made, names, kept) if kept else made


def _correct(book: Workbook, correction: Correction) -> None:
    """Put the text into its cell, as a number where one is allowed, and mark the cell."""
    from openpyxl.cell.cell import MergedCell
    from openpyxl.comments import Comment
    from openpyxl.styles import PatternFill

    sheet = book[correction.sheet]
    cell = sheet[correction.cell]
    if isinstance(cell, MergedCell):
        merged = next(each for each in sheet.merged_cells.ranges if correction.cell in each)
        cell = sheet.cell(merged.min_row, merged.min_col)
    was = _shown(cell)
    text = correction.text.strip()
    if cell.number_format != "@" and _NUMBER.fullmatch(text):
        cell.value = float(text) if "." in text else int(text)
    elif text:
        cell.value, cell.data_type = text, "s"  # so that =1+1 stays a text
        if cell.is_date:
            cell.number_format = "@"
    else:
        cell.value = None
    cell.fill = PatternFill("solid", start_color=_FILL, end_color=_FILL)
    note = f"was: {was}" if was else "was empty"
    if cell.comment is not None and cell.comment.author != _AUTHOR:
        note = f"{cell.comment.text}\n\n{note}"
    cell.comment = Comment(note, _AUTHOR)


def _shown(cell: Cell) -> str:
    value = cell.value
    return number_text(value) if isinstance(value, float) else "" if value is None else str(value)


def _accept(
    book: Workbook, name: str, accepted: Sequence[Acceptance], lists: Iterable[str]
) -> None:
    """Add a row to the sheet ``Order`` for each accepted finding."""
    from render.read.workbook import OWN_SHEETS

    others = [each for each in book.sheetnames if each not in (HEAD_SHEET, SIGN_SHEET, *OWN_SHEETS)]
    if HEAD_SHEET in book.sheetnames and (HEAD_SHEET in lists or not others):
        right = "rename it, and drop the workbook again"
        raise OutputError(f"{name} has its list on a sheet called {HEAD_SHEET}; {right}")
    fresh = HEAD_SHEET not in book.sheetnames
    sheet = book.create_sheet(HEAD_SHEET) if fresh else book[HEAD_SHEET]
    row = 0 if fresh else sheet.max_row
    for each in accepted:
        row += 1
        for column, text in enumerate((ACCEPT, each.code, each.reason, each.marker), 1):
            if text:
                cell = sheet.cell(row, column)
                cell.value, cell.data_type = text, "s"


def _results(path: Path) -> Mapping[tuple[str, str], object]:
    """The saved result of each formula of a workbook."""
    import warnings

    from openpyxl import load_workbook

    with zipfile.ZipFile(path) as archive:
        parts = [each for each in archive.namelist() if each.startswith("xl/worksheets/")]
        if not any(b"<f" in archive.read(each) for each in parts if each.endswith(".xml")):
            return {}
    found: dict[tuple[str, str], object] = {}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # about extensions that do not matter here
        formulas, values = load_workbook(path), load_workbook(path, data_only=True)
    for sheet in formulas.worksheets:
        for cells in sheet.iter_rows():
            for cell in cells:
                if cell.data_type == "f":
                    result = values[sheet.title][cell.coordinate].value
                    if result is not None:
                        found[sheet.title, cell.coordinate] = result
    return found


def _worked(
    data: bytes, names: Mapping[str, str], results: Mapping[tuple[str, str], object]
) -> bytes:
    """The workbook with the results of its formulas, as the original had them."""
    made = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as source, zipfile.ZipFile(made, "w") as target:
        for entry in source.infolist():
            content = source.read(entry)
            if (sheet := names.get(entry.filename)) is not None:
                content = _UNWORKED.sub(
                    lambda found, sheet=sheet: _with_result(found, sheet, results),  # type: ignore[misc]
                    content,
                )
            target.writestr(entry, content)
    return made.getvalue()


def _with_result(
    found: re.Match[bytes], sheet: str, results: Mapping[tuple[str, str], object]
) -> bytes:
    """A formula's cell with its result: number, truth, error or text (ECMA-376, 18.3.1.4)."""
    address = found[1].decode()
    value = results.get((sheet, address))
    if isinstance(value, bool):
        kind, text = "b", str(int(value))
    elif isinstance(value, int | float):
        kind, text = "n", repr(value)
    elif isinstance(value, str):
        error = value.startswith("#") and value.endswith(("!", "?", "A"))
        kind, text = "e" if error else "str", escape(value)
    else:
        return found[0]
    return b'<c r="%s"%s t="%s">%s<v>%s</v></c>' % (
        found[1],
        found[2],
        kind.encode(),
        found[3],
        text.encode(),
    )


def _corrected_csv(path: Path, corrections: Sequence[Correction]) -> bytes:
    """The CSV with the same rows, delimiter, line ends and encoding; UTF-8 if a text needs it."""
    from openpyxl.utils import column_index_from_string

    encoding, _notes = encoding_of(path)
    raw = path.read_bytes()
    text = raw.decode(encoding)
    delimiter = delimiter_of(path, encoding)
    rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter))
    for each in corrections:
        address = _ADDRESS.fullmatch(each.cell)
        if address is None or int(address[2]) > len(rows):
            raise OutputError(f"{path.name} has no cell {each.cell}")
        row, column = rows[int(address[2]) - 1], column_index_from_string(address[1]) - 1
        row.extend([""] * (column + 1 - len(row)))
        row[column] = each.text.strip()
    made = io.StringIO(newline="")
    ends = "\r\n" if "\r\n" in text else "\n"
    csv.writer(made, delimiter=delimiter, lineterminator=ends).writerows(rows)
    marked = encoding == "utf-8-sig" and raw.startswith(b"\xef\xbb\xbf")
    try:
        return made.getvalue().encode(
            "utf-8" if encoding == "utf-8-sig" and not marked else encoding
        )
    except UnicodeEncodeError:
        return made.getvalue().encode("utf-8-sig")
