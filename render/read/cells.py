"""Cells: text, or what a cell holds instead of text."""

from __future__ import annotations

import datetime
import re
from decimal import Decimal
from typing import TypeAlias

from layouts.terms.values import frozen
from render.read.codes import show_value


@frozen
class CellFault:
    """A cell without a usable value: an error, a date, or a formula without a result."""

    code: str
    what: str
    right: str
    date: str = ""  # ISO text of a date, for columns that accept a date


class Merged(str):
    """Text of a merged range, in a row below the first."""

    __slots__ = ()


Cell: TypeAlias = str | CellFault

_ERRORS = re.compile(r"#(?:DIV/0!|N/A|NAME\?|NULL!|NUM!|REF!|VALUE!|SPILL!|CALC!)", re.IGNORECASE)
_MONTH = r"(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*"
_DATES = re.compile(
    rf"\d{{4}}-\d\d?-\d\d?(?:[ T].*)?|\d\d?[/.]\d\d?[/.](?:\d\d|\d{{4}})"
    rf"|\d\d?[- ]{_MONTH}(?:[- ]\d+)?|{_MONTH}[- ]\d+",
    re.IGNORECASE,
)
_FORMULA_RIGHT = "open the workbook in a spreadsheet program and save it, or write the value"


def number_text(value: float) -> str:
    """A number as a spreadsheet shows it: up to 15 digits, never an exponent."""
    text = format(Decimal(f"{value:.15g}"), "f")
    return "0" if text == "-0" else text


def error_cell(where: str, text: str) -> CellFault:
    """A cell whose formula gave an error."""
    return CellFault("cell-error", f"{where} holds the error {text}", "mend it or write the value")


def formula_cell(where: str) -> CellFault:
    """A cell whose formula was never calculated."""
    return CellFault("cell-formula", f"{where} holds a formula without a result", _FORMULA_RIGHT)


def date_cell(where: str, value: datetime.date | datetime.time | datetime.timedelta) -> CellFault:
    """A cell that a spreadsheet took for a date; a fraction such as 3/4 is likely meant."""
    right = "format the cell as text and write the value again"
    if isinstance(value, datetime.date):
        value = value.date() if isinstance(value, datetime.datetime) else value
        right += f"; {value.month}/{value.day} may be meant"
    return CellFault("cell-date", f"{where} holds the date {value}", right, str(value))


def text_fault(text: str, *, sized: bool) -> CellFault | None:
    """A fault visible in the cell's text: an error, or a date where a size belongs."""
    if text.startswith("#") and _ERRORS.fullmatch(text):
        return error_cell("the cell", text)
    if sized and _DATES.fullmatch(text):
        right = "write the size as text, such as 3/4 in; a spreadsheet took it for a date"
        return CellFault("cell-date", f"{show_value(text)} is a date", right)
    return None
