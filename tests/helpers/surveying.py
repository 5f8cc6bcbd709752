"""Survey workbooks filled in as people do, with openpyxl, which the writer does not use."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from openpyxl import load_workbook

_HEAD_ROW = 9  # of the headings, counted from 1
_LINES = {"list no.": 5, "surveyed by": 6, "date": 7}


def fill(
    path: Path,
    rows: Mapping[str, Mapping[str, str]],
    by: str = "C. Walker",
    date: str = "2026-03-02",
    strays: tuple[Mapping[str, str], ...] = (),
    number: str = "",
) -> Path:
    """Write cells by piece and heading, and the lines above the headings; the file itself."""
    book = load_workbook(path)
    sheet = book["Survey"]
    columns = {cell.value: cell.column for cell in sheet[_HEAD_ROW]}
    for label, value in {"surveyed by": by, "date": date}.items():
        sheet.cell(_LINES[label], 2).value = value
    if number:
        sheet.cell(_LINES["list no."], 2).value = number
    at = {sheet.cell(row, 1).value: row for row in range(_HEAD_ROW + 1, sheet.max_row + 1)}
    for piece, cells in rows.items():
        for name, text in cells.items():
            sheet.cell(at[piece], columns[name]).value = text
    free = next(
        row for row in range(_HEAD_ROW + 1, sheet.max_row + 1) if not sheet.cell(row, 1).value
    )
    for row, cells in enumerate(strays, free):
        for name, text in cells.items():
            sheet.cell(row, columns[name]).value = text
    book.save(path)
    return path


def ids_of(path: Path) -> list[str]:
    """The pieces of a sheet in its order."""
    sheet = load_workbook(path)["Survey"]
    cells = (sheet.cell(row, 1).value for row in range(_HEAD_ROW + 1, sheet.max_row + 1))
    return [str(cell) for cell in cells if cell]
