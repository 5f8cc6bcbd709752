"""Small line lists for the tests, and findings in the short form that the tests compare."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from pathlib import Path

import xlsxwriter

from render.read import Reading

HEADINGS = (
    *("line", "kind", "contents", "service", "state", "pressure_psig", "level", "flow", "run"),
    *("side", "from", "to", "pipe", "covering_in", "od_in", "girth_in", "environment"),
    *("surface_f", "frost_in", "viewing_ft", "tag", "function", "valve_size", "normal_position"),
    *("emergency", "drawing", "qty", "area", "location", "legend", "note"),
)
GOOD = {
    "line": "HTRS-4-1",
    "service": "HTRS",
    "state": "both",
    "pressure_psig": "30",
    "flow": "left",
    "pipe": "NPS 4",
    "covering_in": "1-1/2",
    "qty": "2",
}


def table(
    rows: Sequence[dict[str, str]], headings: Sequence[str] = HEADINGS
) -> list[Sequence[str]]:
    """Heading row and cells of rows that name their cells."""
    return [headings, *([row.get(name, "") for name in headings] for row in rows)]


def write_csv(path: Path, cells: Sequence[Sequence[str]], delimiter: str = ",") -> Path:
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file, delimiter=delimiter).writerows(cells)
    return path


def write_xlsx(path: Path, cells: Sequence[Sequence[object]]) -> Path:
    with xlsxwriter.Workbook(str(path)) as book:
        sheet = book.add_worksheet()
        for row, values in enumerate(cells):
            sheet.write_row(row, 0, values)
    return path


def short(reading: Reading) -> set[tuple[int | None, str, str]]:
    """Row, field and code of every finding."""
    return {(f.place.row, f.place.field, f.code) for f in reading.findings}
