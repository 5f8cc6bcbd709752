"""Marks every finding in its cell of a plant's list; values and formats stay unchanged.

An .xlsx or .xlsm workbook is opened and marked; a list of another kind (.csv, .xls, .ods) is
written as a new workbook with the same values. The sheet ``Findings`` lists all findings,
including those without a cell, so that people can work through them from top to bottom.
"""

from __future__ import annotations

import io
import re
import warnings
import zipfile
from collections.abc import Iterable, Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from layouts.terms.errors import OutputError
from layouts.terms.findings import Finding, Severity
from render.read.reading import Reading

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.worksheet.worksheet import Worksheet

SHEET = "Findings"
_AUTHOR = "check"
_FILLS = {
    Severity.NOTE: "DDEBF7",
    Severity.WARNING: "FFF2CC",
    Severity.BLOCKING: "F8CBAD",
    Severity.UNREADABLE: "FF9999",
}
_WORDS = {
    Severity.NOTE: "note",
    Severity.WARNING: "warning",
    Severity.BLOCKING: "must be settled",
    Severity.UNREADABLE: "error",
}
_WRITE = re.compile(r"(?:^|; )(?:write|did you mean) ([^;?,]+?)(?=[?;,]|$)")
# The time in a workbook's properties is fixed, so that equal findings give equal bytes.
_DAY = datetime(2026, 1, 1)
_ZIP_DAY = (1980, 1, 1, 0, 0, 0)


def marked_workbook(path: Path, reading: Reading, findings: Iterable[Finding]) -> bytes:
    """The list with its findings, as the bytes of an XLSX (XLSM if the list is one).

    Raises:
        OutputError: the list is an order file, or its workbook cannot be opened.
    """
    if path.suffix.lower() in (".toml", ".json"):
        raise OutputError(f"{path.name} is an order file; --marked takes a line list")
    found = [each for each in findings if each.place.file in ("", path.name)]
    try:
        book = opened(path)
    except Exception as error:  # openpyxl raises whatever its parsers raise
        raise OutputError(f"{path.name} cannot be opened to be marked ({error})") from error
    if SHEET in book.sheetnames:
        del book[SHEET]
    main = next((o.book_sheet for o in reading.origins.values() if o.file == path.name), "")
    for name in book.sheetnames:
        of_sheet = [each for each in found if (each.place.sheet or main or name) == name]
        _mark(book[name], [each for each in of_sheet if each.place.cell])
    _list_findings(book.create_sheet(SHEET), found, main)
    book.properties.modified = book.properties.created = _DAY
    return same_bytes(book)


def correction(finding: Finding) -> str:
    """The correct text for the cell, empty if people must decide."""
    found = _WRITE.search(finding.right)
    if found is None or " or " in found[1] or found[1].startswith(("it ", "the ", "a ", "one ")):
        return ""
    return found[1].strip()


def opened(path: Path) -> Workbook:
    """The list's workbook, or a new one with the same values for a list of another kind."""
    from openpyxl import Workbook, load_workbook

    suffix = path.suffix.lower()
    if suffix in (".xlsx", ".xlsm"):
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # about extensions that openpyxl does not keep
            return load_workbook(path, keep_vba=suffix == ".xlsm")
    book = Workbook()
    del book["Sheet"]
    if suffix == ".csv":
        from render.read.delimited import csv_rows, encoding_of

        rows, _comma = csv_rows(path, encoding_of(path)[0])
        _fill(book.create_sheet("Line list"), ([str(c) for c in cells] for _row, cells in rows))
        return book
    from python_calamine import CalamineWorkbook

    with CalamineWorkbook.from_path(path) as source:
        for name in source.sheet_names:
            sheet = source.get_sheet_by_name(name)
            made = book.create_sheet(name)
            _fill(made, sheet.to_python(skip_empty_area=False))
            for (top, left), (bottom, right) in sheet.merged_cell_ranges or ():
                made.merge_cells(None, top + 1, left + 1, bottom + 1, right + 1)
    return book


def _fill(sheet: Worksheet, rows: Iterable[Sequence[object]]) -> None:
    for number, cells in enumerate(rows, 1):
        for column, value in enumerate(cells, 1):
            if value not in ("", None):
                cell = sheet.cell(number, column)
                cell.value = value
                if isinstance(value, str):
                    cell.number_format = "@"  # so that 3/4 stays 3/4
                    cell.data_type = "s"  # and =1+1 as text


def _mark(sheet: Worksheet, found: Sequence[Finding]) -> None:
    """Color each cell by its most severe finding, and list all of them in its note."""
    from openpyxl.cell.cell import MergedCell
    from openpyxl.comments import Comment
    from openpyxl.styles import PatternFill

    by_cell: dict[str, list[Finding]] = {}
    for each in found:
        by_cell.setdefault(each.place.cell, []).append(each)
    for address, ones in by_cell.items():
        cell = sheet[address]
        if isinstance(cell, MergedCell):
            merged = next(each for each in sheet.merged_cells.ranges if address in each)
            cell = sheet.cell(merged.min_row, merged.min_col)
        color = _FILLS[max(each.severity for each in ones)]
        cell.fill = PatternFill("solid", start_color=color, end_color=color)
        text = "\n\n".join(dict.fromkeys(map(_said, ones)))
        if cell.comment is not None and cell.comment.author != _AUTHOR:
            text = f"{cell.comment.text}\n\n{text}"
        note = Comment(text, _AUTHOR)
        note.width, note.height = 360, 60 + 18 * (len(text) // 50 + text.count("\n"))
        cell.comment = note


def _said(finding: Finding) -> str:
    """The finding, and the correct text if known."""
    right = f"; {finding.right}" if finding.right else ""
    text = f"{_WORDS[finding.severity]} ({finding.code}): {finding.what}{right}"
    return f"{text}\nWrite: {wanted}" if (wanted := correction(finding)) else text


def _list_findings(sheet: Worksheet, found: Sequence[Finding], main: str) -> None:
    from openpyxl.styles import Alignment, Font

    heads = ("Sheet", "Cell", "Weight", "Code", "What", "What would be right", "Write")
    for column, (head, width) in enumerate(zip(heads, (18, 8, 14, 22, 60, 60, 24), strict=True), 1):
        sheet.cell(1, column, head).font = Font(bold=True)
        sheet.column_dimensions[sheet.cell(1, column).column_letter].width = width
    for row, each in enumerate(found, 2):
        place = each.place
        cells = (
            place.sheet or main,
            place.cell or (f"row {place.row}" if place.row else ""),
            *(_WORDS[each.severity], each.code, each.what, each.right, correction(each)),
        )
        for column, text in enumerate(cells, 1):
            cell = sheet.cell(row, column)
            cell.value, cell.data_type = text, "s"
            cell.alignment = Alignment(wrap_text=True, vertical="top")
        if place.cell and (place.sheet or main):
            target = (place.sheet or main).replace("'", "''")
            sheet.cell(row, 2).hyperlink = f"#'{target}'!{place.cell}"
    sheet.freeze_panes = "A2"


def same_bytes(book: Workbook) -> bytes:
    """The workbook's bytes, without timestamps in its parts."""
    raw, made = io.BytesIO(), io.BytesIO()
    book.save(raw)
    with zipfile.ZipFile(raw) as source, zipfile.ZipFile(made, "w") as target:
        for entry in source.infolist():
            content = source.read(entry)
            if entry.filename == "docProps/core.xml":
                content = re.sub(
                    rb"(<dcterms:modified[^>]*>)[^<]*", rb"\g<1>2026-01-01T00:00:00Z", content
                )
            info = zipfile.ZipInfo(entry.filename, _ZIP_DAY)
            info.compress_type = zipfile.ZIP_DEFLATED
            target.writestr(info, content)
    return made.getvalue()
