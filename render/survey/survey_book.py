"""A survey as a workbook: a row for each piece, words to choose from, and rows for strays."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from layouts.markers.piece_ids import PlacedPiece
from layouts.papers.keeping.survey_sheet import SurveyHead
from layouts.survey.sightings import Seen
from render.files.xlsx import Book, Sheet, Style
from render.survey.survey_columns import COLUMNS, GIVEN, SHEET, given_cells, head_lines

HEAD_ROW = 8  # of the headings, counted from 0
STRAY_ROWS = 30
_SAID = (
    "Write in the white columns: what you found, with your name and the day above. Markers that "
    "hang and are in no list go into the rows without an id, with what they read."
)


def survey_book(head: SurveyHead, area: str, pieces: Sequence[PlacedPiece]) -> bytes:
    """The workbook of an area; rows without an id follow those of its pieces."""
    order = head.order
    book = Book(f"Survey: {area}", order.date or head.day)
    sheet = book.sheet(SHEET)
    given = book.style({"num_format": "@", "bg_color": "#EEF1F3", "text_wrap": True, "border": 1})
    asked = book.style({"num_format": "@", "text_wrap": True, "border": 1})
    heads = head_lines(order.plant, area, head.seal)
    _write_head(book, sheet, f"Survey: {area}", heads, given, asked)
    for index, column in enumerate(COLUMNS):
        sheet.set_column(index, index, column.width)
        _write_heading(book, sheet, index)
    for row, piece in enumerate(pieces, start=HEAD_ROW + 1):
        for index, text in enumerate(given_cells(piece)):
            sheet.write_string(row, index, text, given)
        for index in range(len(GIVEN), len(COLUMNS)):
            sheet.write_blank(row, index, None, asked)
    first = HEAD_ROW + 1 + len(pieces)
    for row in range(first, first + STRAY_ROWS):
        for index in range(len(COLUMNS)):
            sheet.write_blank(row, index, None, asked)
    _finish(sheet, first + STRAY_ROWS - 1)
    return book.finish()


def _write_head(
    book: Book, sheet: Sheet, title: str, heads: Mapping[str, str], given: Style, asked: Style
) -> None:
    sheet.write_string(0, 0, title, book.style({"bold": True, "font_size": 14}))
    sheet.write_string(1, 0, _SAID, book.style({"italic": True, "font_color": "#555555"}))
    name = book.style({"bold": True})
    for row, (label, value) in enumerate(heads.items(), start=2):
        sheet.write_string(row, 0, label, name)
        if value:
            sheet.write_string(row, 1, value, given)
        else:
            sheet.write_blank(row, 1, None, asked)


def _write_heading(book: Book, sheet: Sheet, index: int) -> None:
    column = COLUMNS[index]
    color = "#2E5E4E" if column.asked else "#1F3A4D"
    style = book.style(
        {"bold": True, "bg_color": color, "font_color": "#FFFFFF", "border": 1, "text_wrap": True}
    )
    sheet.write_string(HEAD_ROW, index, column.name, style)
    sheet.write_comment(HEAD_ROW, index, column.help, {"author": "", "x_scale": 2.0})


def _finish(sheet: Sheet, last: int) -> None:
    """Dropdown, print setup, and what stays in sight."""
    found = [column.name for column in COLUMNS].index("found")
    # A warning, not a wall: two words with a comma between are read as well.
    rule = {
        "validate": "list",
        "source": [str(seen) for seen in Seen],
        "error_type": "warning",
        "error_title": "Not in the list",
        "error_message": "Several words go with a comma between: faded, too small.",
    }
    sheet.data_validation(HEAD_ROW + 1, found, last, found, rule)
    sheet.freeze_panes(HEAD_ROW + 1, 1)
    sheet.autofilter(HEAD_ROW, 0, last, len(COLUMNS) - 1)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    sheet.repeat_rows(HEAD_ROW)
