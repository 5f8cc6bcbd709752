"""Workbooks with fixed metadata, a typed wrapper of XlsxWriter. Same content, same bytes."""

from __future__ import annotations

import datetime
import io
from collections.abc import Mapping
from typing import Protocol

# A workbook always says when it was made; where no day is given it is this one.
_NO_DAY = "1980-01-01"


class Style(Protocol):
    """How a cell looks; made by a book and handed back to its sheets."""


class Sheet(Protocol):
    """A sheet of a book; rows and columns count from 0."""

    def write_string(self, row: int, column: int, text: str, style: Style | None = None) -> int:
        """Write a text that is neither a number nor a formula."""

    def write_blank(self, row: int, column: int, blank: None, style: Style) -> int:
        """An empty cell with a look."""

    def write_comment(self, row: int, column: int, text: str, options: object) -> int:
        """A note that shows where the pointer rests."""

    def set_column(
        self,
        first: int,
        last: int,
        width: float,
        style: Style | None = None,
        options: Mapping[str, object] | None = None,
    ) -> int:
        """Width in characters, the look of cells not yet written, and an outline's level."""

    def set_paper(self, number: int) -> None:
        """Paper by its number in the format: 1 letter, 3 tabloid (11 x 17 in), 8 A3, 9 A4."""

    def repeat_columns(self, first: int, last: int) -> None:
        """Print columns on every page."""

    def data_validation(
        self, row: int, column: int, last_row: int, last_column: int, rule: object
    ) -> int:
        """A dropdown or a hint for a range of cells."""

    def freeze_panes(self, row: int, column: int) -> None:
        """Freeze the panes above and left of a cell."""

    def autofilter(self, row: int, column: int, last_row: int, last_column: int) -> None:
        """Filter arrows on a heading row."""

    def set_landscape(self) -> None:
        """Print lying."""

    def fit_to_pages(self, wide: int, high: int) -> None:
        """Print on a given number of pages; 0 is as many as needed."""

    def repeat_rows(self, row: int) -> None:
        """Print a row on every page."""


class Book:
    """A workbook in the making; ``day`` is an ISO date."""

    def __init__(self, title: str, day: str | None = None) -> None:
        import xlsxwriter

        self._target = io.BytesIO()
        options = {"in_memory": True, "strings_to_formulas": False, "strings_to_numbers": False}
        self._book = xlsxwriter.Workbook(self._target, options)
        made = datetime.datetime.fromisoformat((day or _NO_DAY)[:10])
        self._book.set_properties({"title": title, "created": made})

    def sheet(self, name: str) -> Sheet:
        """A new sheet behind the others."""
        sheet: Sheet = self._book.add_worksheet(name)
        return sheet

    def style(self, properties: Mapping[str, object]) -> Style:
        """A look by XlsxWriter's names of its properties."""
        style: Style = self._book.add_format(dict(properties))
        return style

    def finish(self) -> bytes:
        """The file; nothing can be added after."""
        self._book.close()
        for sheet in self._book.worksheets():
            sheet.table.clear()  # book and sheets hold each other: 24 MB for 23,000 valves
        return self._target.getvalue()
