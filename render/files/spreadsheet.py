"""Cells of a CSV file that a spreadsheet opens: text stays text, whatever it begins with.

A spreadsheet takes a cell that begins with one of a few signs for a formula, and a formula may
start a program. The apostrophe before it is what spreadsheets themselves write for text
(OWASP, "CSV Injection").
"""

from __future__ import annotations

import re
from collections.abc import Iterable

_FORMULA = re.compile(r"\s*[=+\-@\t\r\uff1d\uff0b\uff0d\uff20]")
_NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)*")


def text_cell(value: object) -> object:
    """The value, a text that begins as a formula does behind an apostrophe; numbers as they are."""
    if isinstance(value, str) and _FORMULA.match(value) and not _NUMBER.fullmatch(value):
        return f"'{value}"
    return value


def text_row(cells: Iterable[object]) -> list[object]:
    """The cells of a row, each as ``text_cell`` gives it."""
    # Most begin with a letter or a digit, as no formula does.
    return [
        text_cell(cell) if cell and isinstance(cell, str) and not cell[0].isalnum() else cell
        for cell in cells
    ]


def plain_text(cell: str) -> str:
    """What ``text_cell`` made a cell of."""
    return cell[1:] if cell.startswith("'") and text_cell(cell[1:]) == cell else cell
