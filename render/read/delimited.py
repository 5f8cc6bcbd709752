"""CSV: encoding, delimiter and rows."""

from __future__ import annotations

import codecs
import csv
from collections.abc import Iterable, Iterator
from itertools import islice
from pathlib import Path
from typing import cast

from layouts.terms.findings import Finding, Place
from render.read.cells import Cell
from render.read.codes import FileError, fault
from render.read.headings import count_headings

HEAD = 30  # rows searched for the headings
_CHUNK = 1 << 20
_DELIMITERS = (",", ";", "\t")


def encoding_of(path: Path) -> tuple[str, tuple[Finding, ...]]:
    """The encoding of a text file, with a finding if it is not UTF-8. Raises ``FileError``."""
    with path.open("rb") as file:
        start = file.read(4)
    if start.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        if _decodes(path, "utf-16"):
            return "utf-16", ()
        raise _no_text(path)
    if _decodes(path, "utf-8"):
        return "utf-8-sig", ()
    place = Place(path.name)
    if _decodes(path, "cp1252"):
        what = "the text is not UTF-8 and was read as Windows-1252"
        right = "look at names with accents, and save the list as CSV UTF-8"
        return "cp1252", (fault("old-encoding", what, right, place),)
    raise _no_text(path)


def _no_text(path: Path) -> FileError:
    right = "save it as UTF-8 text"
    return FileError(fault("bad-encoding", "the file is not text", right, Place(path.name)))


def _decodes(path: Path, encoding: str) -> bool:
    decoder = codecs.getincrementaldecoder(encoding)()
    with path.open("rb") as file:
        try:
            while chunk := file.read(_CHUNK):
                if encoding != "utf-16" and b"\0" in chunk:
                    return False
                decoder.decode(chunk)
            decoder.decode(b"", final=True)
        except UnicodeDecodeError:
            return False
    return True


def csv_rows(
    path: Path, encoding: str, own: Iterable[str] = ()
) -> tuple[Iterator[tuple[int, list[Cell]]], bool]:
    """Rows with their numbers, blank ones too, and whether semicolons separate the cells.

    If they do, a comma in a number is a decimal comma. ``own`` holds the plant's headings.
    Reading the rows raises ``FileError`` at a broken one.
    """
    delimiter = delimiter_of(path, encoding, tuple(own))
    return _rows(path, encoding, delimiter), delimiter == ";"


def _rows(path: Path, encoding: str, delimiter: str) -> Iterator[tuple[int, list[Cell]]]:
    row = 0
    with path.open(encoding=encoding, newline="") as file:
        reader = csv.reader(file, delimiter=delimiter, strict=True)
        try:
            for row, cells in enumerate(reader, 1):
                yield row, cast(list[Cell], cells)  # fresh ones each row: a copy would be waste
        except (csv.Error, UnicodeError) as error:
            what = f"the row cannot be split into cells ({error})"
            right = (
                "see to its quotes: a cell in quotes ends with one, and a quote in it is doubled"
            )
            raise FileError(fault("bad-syntax", what, right, Place(path.name, row + 1))) from error


def delimiter_of(path: Path, encoding: str, own: tuple[str, ...] = ()) -> str:
    """The delimiter that finds most headings in the first rows; ``own`` holds the plant's."""
    found = {delimiter: _headings(path, encoding, delimiter, own) for delimiter in _DELIMITERS}
    return max(_DELIMITERS, key=lambda delimiter: found[delimiter])


def _headings(path: Path, encoding: str, delimiter: str, own: tuple[str, ...]) -> int:
    try:
        rows = list(islice(_rows(path, encoding, delimiter), HEAD))
    except FileError:
        return 0
    return max((count_headings(cells, own) for _row, cells in rows), default=0)
