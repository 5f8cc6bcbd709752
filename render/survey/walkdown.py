"""Starting from nothing: an empty survey, and the line list that comes of a filled one.

The headings are those of a line list with the survey's beside them, so that a filled sheet is a
list once what was seen has gone into its notes.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from layouts.papers.keeping.survey_sheet import blank_sheet
from layouts.papers.packs import file_names
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, Severity
from render.files.atomic import manifest
from render.files.xlsx import Book
from render.options import printed_date
from render.read import read_tables
from render.read.cells import Cell, CellFault
from render.read.fonts import default_typefaces
from render.survey.survey_columns import SHEET
from render.write import pdf
from render.write.tables import csv_file

WALKED = "list.csv"
_ROWS, _PAPER_ROWS = 200, 44
_HEAD_ROW = 3
# Headings of a line list that can be filled on a walk, with the width of each in characters.
LISTED = (
    *(("kind", 10), ("line", 16), ("tag", 12), ("service", 9), ("contents", 16), ("state", 9)),
    *(("pressure_psig", 13), ("flow", 9), ("run", 11), ("side", 7), ("from", 12), ("to", 12)),
    *(("pipe", 9), ("covering_in", 11), ("girth_in", 9), ("environment", 12), ("surface_f", 10)),
    *(("function", 16), ("valve_size", 10), ("legend", 20), ("qty", 5), ("area", 14)),
    *(("location", 18), ("drawing", 10), ("note", 26)),
)
# Details of the existing marker; they go into the note.
SEEN = (("reads", 26), ("found", 14), ("photo", 14), ("by", 14), ("day", 12))
_NAMES = tuple(name for name, _ in (*LISTED, *SEEN))
_SAID = (
    "One row per marker position, valve or machine, whether a marker hangs there or not. Leave "
    "empty what you do not know: the check of the list asks for it. The words are those of a line "
    "list (`pipelegend template` explains them); reads is what the marker says that hangs there."
)


def walkdown_files(areas: Sequence[str]) -> Mapping[str, bytes]:
    """A workbook and a paper for each area, all empty; one of each where none is named."""
    day, typefaces = printed_date(None), default_typefaces()
    named = list(dict.fromkeys(areas)) or ["Walk-down"]
    names = file_names(named)
    files: dict[str, bytes] = {}
    for area in named:
        files[f"{names[area]}.xlsx"] = _book(area if areas else "", day)
        document = blank_sheet(area, day, typefaces, _PAPER_ROWS)
        files[f"{names[area]}.pdf"] = pdf.write(document)
    files["manifest.json"] = manifest(files)
    return files


def _book(area: str, day: str | None) -> bytes:
    book = Book(f"Walk-down: {area}" if area else "Walk-down", day)
    sheet = book.sheet(SHEET)
    title = f"Walk-down: {area}" if area else "Walk-down"
    sheet.write_string(0, 0, title, book.style({"bold": True, "font_size": 14}))
    sheet.write_string(1, 0, _SAID, book.style({"italic": True, "font_color": "#555555"}))
    heads = [
        book.style({"bold": True, "bg_color": color, "font_color": "#FFFFFF", "border": 1})
        for color in ("#1F3A4D", "#2E5E4E")
    ]
    text = book.style({"num_format": "@", "border": 1})
    for index, (name, width) in enumerate((*LISTED, *SEEN)):
        sheet.set_column(index, index, width)
        sheet.write_string(_HEAD_ROW, index, name, heads[index >= len(LISTED)])
        for row in range(_HEAD_ROW + 1, _HEAD_ROW + 1 + _ROWS):
            sheet.write_blank(row, index, None, text)
    kinds = {"validate": "list", "source": ["pipe", "equipment", "valve"], "error_type": "warning"}
    sheet.data_validation(_HEAD_ROW + 1, 0, _HEAD_ROW + _ROWS, 0, kinds)
    sheet.freeze_panes(_HEAD_ROW + 1, 3)
    sheet.set_landscape()
    sheet.set_paper(3)
    sheet.fit_to_pages(1, 0)
    sheet.repeat_rows(_HEAD_ROW)
    return book.finish()


def walked_list(paths: Sequence[Path]) -> bytes:
    """The line list (CSV) of filled walk-down sheets; what was seen is in its notes.

    Whether its rows make sense is for the list's own check.

    Raises:
        InputError: a file cannot be read, holds no row, or has a cell without a value.
    """
    faults: list[Finding] = []
    rows: list[tuple[str, ...]] = []
    for path in sorted(paths, key=lambda each: (each.name, str(each))):
        tables, _ = read_tables(path, _NAMES)
        for sheet, found in tables:
            place = Place(path.name, sheet=sheet if len(tables) > 1 else "")
            rows += _listed_rows(found, place, faults)
    if not rows and not faults:
        what, right = "no row is filled in", "fill in a sheet that `pipelegend survey` wrote"
        faults.append(Finding("survey-empty", Severity.UNREADABLE, what, right))
    if faults:
        raise InputError(faults)
    return csv_file(([name for name, _ in LISTED], *rows))


def _listed_rows(
    rows: Sequence[tuple[int, list[Cell]]], place: Place, faults: list[Finding]
) -> Iterator[tuple[str, ...]]:
    columns: dict[int, str] = {}
    for number, cells in rows:
        names = [cell.strip().casefold() if isinstance(cell, str) else "" for cell in cells]
        if not columns:
            if {"kind", "line", "tag"} <= set(names):
                columns = dict(enumerate(names))
            continue
        texts: dict[str, str] = {}
        for index, cell in enumerate(cells):
            text = _text(cell, number, columns.get(index, ""), place, faults)
            if text:
                texts[columns.get(index, "") or f"column {index + 1}"] = text
        if texts:
            yield tuple(_listed_row(texts))
    if not columns:
        what, right = "no row has the headings of a walk-down", "give its sheet with its headings"
        faults.append(Finding("survey-no-headings", Severity.UNREADABLE, what, right, place=place))


def _text(cell: Cell, number: int, name: str, place: Place, faults: list[Finding]) -> str:
    if not isinstance(cell, CellFault):
        return " ".join(cell.split())
    if name == "day" and cell.date:
        return cell.date
    at = Place(place.file, number, name, sheet=place.sheet)
    code = f"survey-{cell.code}"
    faults.append(Finding(code, Severity.UNREADABLE, cell.what, cell.right, place=at))
    return ""


def _listed_row(texts: Mapping[str, str]) -> Iterator[str]:
    """The row as a list has it; everything that is not a list column goes into the note."""
    listed = {name for name, _ in LISTED}
    seen = [f"{name}: {text}" for name, text in texts.items() if name not in listed]
    note = "; ".join(part for part in (texts.get("note", ""), *seen) if part)
    for name, _ in LISTED:
        yield note if name == "note" else texts.get(name, "")
