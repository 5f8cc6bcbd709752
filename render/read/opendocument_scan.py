"""How far the cells of an OpenDocument spreadsheet reach, by the counts that its XML repeats.

A row or cell that comes many times is written once with a number (ISO/IEC 26300-1, 19.675.4 and
19.676.4), which may be anything; the fast reader lays them all out.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import NamedTuple

# The prefixes are those of the standard's examples; the fast reader knows no others.
_TABLE = b"<table:table "
_NAME = re.compile(rb"table:name\s*=\s*[\"']([^\"'<>]{0,200})")
_ROW = b"<table:table-row"
_CELL = re.compile(rb"<table:(?:covered-)?table-cell\b")
_ROWS = re.compile(rb"[^<>]*?number-rows-repeated\s*=\s*[\"'](\d{1,20})")
_COLUMNS = re.compile(rb"number-columns-repeated\s*=\s*[\"'](\d{1,20})")


class Reach(NamedTuple):
    """A sheet's last row and column that hold something, and the cells that are written."""

    sheet: str
    rows: int
    columns: int
    cells: int


def reaches(content: bytes) -> Iterator[Reach]:
    """The reach of each sheet in the part ``content.xml``."""
    for table in content.split(_TABLE)[1:]:
        name = _NAME.search(table[: table.find(b">")])
        last = row = columns = cells = 0
        for text in table.split(_ROW)[1:]:
            repeated = _ROWS.match(text)
            row += int(repeated[1]) if repeated else 1
            # Empty cells behind the last one with a value are no reach.
            filled = text[: max(text.rfind(b"</table:table-cell"), text.rfind(b" office:"), 0)]
            if filled:
                last = row
                counts = _COLUMNS.findall(filled)
                count = len(_CELL.findall(filled))
                cells += count
                columns = max(columns, count - len(counts) + sum(map(int, counts)))
        yield Reach(name[1].decode("utf-8", "replace") if name else "", last, columns, cells)
