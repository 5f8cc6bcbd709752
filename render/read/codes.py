"""Every fault code of the reader, with its meaning and severity.

Codes are stable: scripts may rely on them. Findings of a scheme (a missing state, a level that
disagrees with its pressure) are not here; ``layouts.plan`` finds them.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.synonyms import nearest, show_value

__all__ = ["CODES", "FileError", "fault", "list_words", "nearest", "show_value"]

CODES: dict[str, tuple[Severity, str]] = {
    # the file as a whole
    "file-missing": (Severity.UNREADABLE, "there is no such file"),
    "file-unreadable": (Severity.UNREADABLE, "the system does not let the file be read"),
    "file-empty": (Severity.UNREADABLE, "the file holds nothing"),
    "file-too-large": (Severity.UNREADABLE, "the file is larger than any order"),
    "file-broken": (Severity.UNREADABLE, "the file is damaged, or not what its name says"),
    "file-locked": (Severity.UNREADABLE, "the workbook asks for a password or is of an old kind"),
    "unknown-format": (Severity.UNREADABLE, "the suffix names no kind of file read here"),
    "bad-encoding": (Severity.UNREADABLE, "the bytes are not text"),
    "old-encoding": (Severity.WARNING, "the text is not UTF-8 and was read as Windows-1252"),
    "newer-version": (Severity.UNREADABLE, "an order of a newer program than this one"),
    "bad-syntax": (Severity.UNREADABLE, "the text breaks the rules of TOML, JSON or CSV"),
    # the table
    "no-headings": (Severity.UNREADABLE, "no heading row in the first thirty rows"),
    "unknown-column": (Severity.WARNING, "a column that is not known and was left out"),
    "column-left-out": (Severity.NOTE, "a column that no marker needs"),
    "column-read-as": (Severity.NOTE, "headings in other words, and what they were read as"),
    "rows-left-out": (Severity.NOTE, "totals, titles and repeated headings that are not markers"),
    "kind-inferred": (Severity.NOTE, "what the rows of a sheet are, where no column says it"),
    "sheet-left-out": (Severity.WARNING, "a sheet that looks old or hidden and was not read"),
    "hidden-columns": (Severity.NOTE, "hidden columns, which are read like the others"),
    "merged-cells": (Severity.NOTE, "merged cells, whose text holds for each of their rows"),
    "area-spelled": (Severity.NOTE, "one area in several spellings"),
    "decimal-comma": (Severity.NOTE, "a column whose numbers have a decimal comma"),
    "bad-mapping": (Severity.UNREADABLE, "a mapping of headings that cannot be used"),
    "too-many-columns": (Severity.UNREADABLE, "more columns than any list has"),
    "more-findings": (Severity.UNREADABLE, "findings that are counted and not told one by one"),
    "duplicate-column": (Severity.UNREADABLE, "two columns give the same field"),
    "missing-column": (Severity.UNREADABLE, "a column that the list cannot do without"),
    "row-too-long": (Severity.UNREADABLE, "a row has more cells than the heading row"),
    "row-without-marker": (Severity.UNREADABLE, "a row with a place but no marker"),
    "empty-list": (Severity.UNREADABLE, "headings or tables, but no marker"),
    # a cell or a value
    "cell-error": (Severity.UNREADABLE, "the cell holds the error of a formula"),
    "cell-date": (Severity.UNREADABLE, "the cell holds a date, often a fraction misread"),
    "cell-formula": (Severity.UNREADABLE, "the cell holds a formula without a stored result"),
    "bad-character": (Severity.UNREADABLE, "a character that is not text, or that was lost"),
    "bad-length": (Severity.UNREADABLE, "not a length"),
    "bad-pressure": (Severity.UNREADABLE, "not a pressure"),
    "bad-temperature": (Severity.UNREADABLE, "not a temperature"),
    "bad-pipe": (Severity.UNREADABLE, "not a pipe size"),
    "bad-choice": (Severity.UNREADABLE, "not one of the words that the field takes"),
    "bad-quantity": (Severity.UNREADABLE, "not a whole number of markers"),
    "bad-count": (Severity.UNREADABLE, "not a count, and not places along a run"),
    "bad-tag": (Severity.UNREADABLE, "not a tag, and not a range of tags"),
    "bad-date": (Severity.UNREADABLE, "not a date written YYYY-MM-DD"),
    "bad-value": (Severity.UNREADABLE, "not the kind of value that the field takes"),
    "missing-value": (Severity.UNREADABLE, "a value that this kind of marker cannot do without"),
    "text-too-long": (Severity.UNREADABLE, "more text than the field takes"),
    "tag-maybe-range": (Severity.BLOCKING, "one tag, or the first and the last of a range"),
    "read-as": (Severity.NOTE, "what was read from a cell beyond its words"),
    "unused-cell": (Severity.NOTE, "a filled cell that this kind of marker does not use"),
    # runs of pipe
    "run-impossible": (Severity.UNREADABLE, "a run that cannot be as it is described"),
    "spacing-unknown": (Severity.UNREADABLE, "no spacing rule of that name"),
    "run-assumed": (Severity.NOTE, "what a takeoff had to assume, or could not mark"),
    # order files
    "unknown-key": (Severity.UNREADABLE, "a key that is not known"),
    "duplicate-key": (Severity.UNREADABLE, "the same key twice in one JSON object"),
    "order-sheet-unread": (
        Severity.WARNING,
        "a sheet Order or Signs that is not read",
    ),
    "bad-line-list": (Severity.UNREADABLE, "line_list names no CSV or XLSX file"),
}


_LONGEST_FIELD = 80


class FileError(Exception):
    """A fault that stops the reading of a file; holds its one finding."""

    def __init__(self, finding: Finding) -> None:
        super().__init__(finding.sentence())
        self.finding = finding


def fault(code: str, what: str, right: str, place: Place) -> Finding:
    """A finding of the reader, with the severity in the table above and printable text."""
    field = _printable(place.field)[:_LONGEST_FIELD]
    if field != place.field:
        place = replace(place, field=field)
    return Finding(code, CODES[code][0], _printable(what), _printable(right), place=place)


def _printable(text: str) -> str:
    """The text in one line, without control characters."""
    if text.isprintable():
        return text
    return " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())


def list_words(words: Iterable[str]) -> str:
    """``a, b or c``."""
    *most, last = words
    return f"{', '.join(most)} or {last}" if most else last
