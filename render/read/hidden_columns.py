"""Columns that a workbook hides, which its fast reader does not tell.

An XLSX says so in each sheet's ``cols`` (ECMA-376-1, 18.3.1.13). Other kinds of workbooks are not
asked.
"""

from __future__ import annotations

import re
import zipfile
from collections.abc import Mapping, Sequence
from pathlib import Path
from posixpath import join, normpath

from defusedxml.ElementTree import fromstring

from render.read.columns import column_letters

_COLUMN = re.compile(rb"<(?:\w+:)?col\b[^<>]*>")
_HIDDEN = re.compile(rb"\shidden\s*=\s*[\"'](?:1|true)[\"']")
_FIRST = re.compile(rb"\smin\s*=\s*[\"'](\d{1,5})[\"']")
_LAST = re.compile(rb"\smax\s*=\s*[\"'](\d{1,5})[\"']")
_BOOK = "xl/workbook.xml"
_LINKS = "xl/_rels/workbook.xml.rels"
_LINK_ID = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"


def hidden_in(text: bytes) -> tuple[range, ...]:
    """The column indices, from 0, that a sheet's XML hides."""
    found = []
    before_cells = text[: max(text.find(b"sheetData"), 0)]
    for column in _COLUMN.findall(before_cells):
        first, last = _FIRST.search(column), _LAST.search(column)
        if first and last and _HIDDEN.search(column):
            found.append(range(int(first[1]) - 1, int(last[1])))
    return tuple(found)


def by_sheet_name(
    path: Path, by_part: Mapping[str, tuple[range, ...]]
) -> Mapping[str, tuple[range, ...]]:
    """Hidden columns by the sheet's name, from those by the name of its part in the archive.

    Raises:
        Exception: whatever a damaged archive raises.
    """
    if not by_part:
        return {}
    with zipfile.ZipFile(path) as archive:
        if not {_BOOK, _LINKS} <= set(archive.namelist()):
            return {}
        links = fromstring(archive.read(_LINKS), forbid_dtd=True)
        book = fromstring(archive.read(_BOOK), forbid_dtd=True)
    parts = {
        each.get("Id"): normpath(join("/xl", each.get("Target", ""))).lstrip("/") for each in links
    }
    sheets = (each for each in book.iter() if each.get(_LINK_ID) and each.get("name"))
    names = {parts.get(each.get(_LINK_ID)): each.get("name", "") for each in sheets}
    return {names[part]: columns for part, columns in by_part.items() if part in names}


def hidden_text(
    columns: Sequence[range], headings: Sequence[object], rows: Sequence[Sequence[object]]
) -> str:
    """The hidden columns that hold cells in the rows below the headings: ``C (Phase), E``.

    Empty if none of them does.
    """
    width = max(map(len, rows), default=0)
    indices = sorted({at for each in columns for at in each if at < width})
    filled = [
        at for at in indices if any(at < len(row) and row[at] not in ("", None) for row in rows)
    ]
    named = ((at, headings[at] if at < len(headings) else "") for at in filled)
    return ", ".join(
        f"{column_letters(at)} ({' '.join(str(name).split())})" if name else column_letters(at)
        for at, name in named
    )
