"""Tags and lines of a drawing as a table (CSV), as drawing programs export them."""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping
from pathlib import Path

from layouts.crosscheck.drawn import DrawnSheet, DrawnThing
from layouts.terms.words import Kind
from render.drawings.unreadable import DrawingError

_MOST_ROWS = 1_000_000
# What the columns may be called, folded to letters.
_COLUMNS: Mapping[str, frozenset[str]] = {
    "line": frozenset({"line", "lineno", "linenumber", "linetag", "pipeline"}),
    "tag": frozenset({"tag", "tagno", "tagnumber", "name", "valve", "valveno", "equipment"}),
    "kind": frozenset({"kind", "type", "class", "category"}),
    "size": frozenset({"size", "nps", "dn", "nominaldiameter", "pipe", "pipesize"}),
    "service": frozenset({"service", "fluid", "fluidcode", "servicecode"}),
    "piping_class": frozenset({"pipingclass", "spec", "pipeclass", "pipespec"}),
    "drawing": frozenset({"drawing", "drawingno", "dwg", "dwgno", "pid", "sheet"}),
    "revision": frozenset({"rev", "revision"}),
    "emergency": frozenset({"emergency", "esd", "emergencyvalve"}),
}
_YES = frozenset({"yes", "y", "true", "1", "x", "emergency", "esd"})
_VALVES = ("valve", "hv", "xv", "sv")


def table_sheets(path: Path) -> Iterator[DrawnSheet]:
    """One sheet for each drawing that the table names, in its order.

    Raises:
        DrawingError: it has no column for tags or lines, or cannot be read as a table.
    """
    sheets: dict[tuple[str, str], list[DrawnThing]] = {}
    try:
        with path.open(encoding="utf-8-sig", newline="") as file:
            sample = file.read(8192)
            file.seek(0)
            rows = csv.reader(file, delimiter=_delimiter(sample))
            columns = _columns(next(rows, []))
            for count, row in enumerate(rows):
                if count >= _MOST_ROWS:
                    raise DrawingError(f"has more than {_MOST_ROWS} rows")
                cells = {key: row[n].strip() for key, n in columns.items() if n < len(row)}
                at = cells.get("drawing", ""), cells.get("revision", "")
                sheets.setdefault(at, []).extend(_things(cells))
    except UnicodeDecodeError as error:
        raise DrawingError("is not UTF-8 text; export it as CSV UTF-8") from error
    except csv.Error as error:
        raise DrawingError(f"cannot be read as CSV ({error})") from error
    for (name, revision), things in sheets.items():
        yield DrawnSheet(path.name, name, revision, things=tuple(things))


def _delimiter(sample: str) -> str:
    first = sample.partition("\n")[0]
    return max(",;\t", key=first.count)


def _columns(heading: list[str]) -> dict[str, int]:
    folded = ["".join(filter(str.isalpha, cell.casefold())) for cell in heading]
    found = {
        key: n
        for key, names in _COLUMNS.items()
        for n in [next((n for n, cell in enumerate(folded) if cell in names), -1)]
        if n >= 0
    }
    if "tag" not in found and "line" not in found:
        raise DrawingError("has no column tag or line in its first row")
    return found


def _things(cells: Mapping[str, str]) -> Iterator[DrawnThing]:
    if line := cells.get("line", ""):
        size, service, piping_class = (
            cells.get(key, "") for key in ("size", "service", "piping_class")
        )
        yield DrawnThing(Kind.PIPE, line, size, service, piping_class)
    if tag := cells.get("tag", ""):
        word = cells.get("kind", "").casefold()
        told = cells.get("emergency")
        emergency = None if told is None else told.casefold() in _YES
        is_valve = not word or any(each in word for each in _VALVES)
        yield DrawnThing(Kind.VALVE if is_valve else Kind.EQUIPMENT, tag, emergency=emergency)
