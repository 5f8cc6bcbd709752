"""What a list's page shows of a check: its rows with their findings, fifty at a time."""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import field
from typing import Any

from layouts.terms.values import frozen
from render.web.edits import Edits

PAGE = 50
# A check as its child wrote it, plain JSON.
Found = Mapping[str, Any]


@frozen
class CellView:
    """A cell: where it is, what it holds, and what was found in it."""

    name: str
    letters: str
    heading: str
    column: str
    text: str
    changed: bool
    findings: tuple[Found, ...] = ()


@frozen
class RowView:
    """A row: the cells with findings, the others, and findings that are of no cell."""

    table: int
    number: int
    marker: str
    weight: int
    faulty: tuple[CellView, ...] = ()
    others: tuple[CellView, ...] = ()
    findings: tuple[Found, ...] = ()

    @property
    def words(self) -> str:
        """What its other cells hold, for a reader to know the row by."""
        return ", ".join(each.text for each in self.others if each.text)


@frozen
class ListView:
    """The rows of one page, how many pages there are, and findings of no row."""

    rows: tuple[RowView, ...]
    page: int
    pages: int
    faulty: int
    total: int
    general: tuple[Found, ...]
    notes: tuple[Found, ...] = field(default=())


def list_view(found: Found, edits: Edits, page: int, whole: bool) -> ListView:
    """A page of a check: the rows with a fault, the gravest first, or all rows in their order."""
    shown = [each for each in found["findings"] if each["weight"] > 0 and not each["accepted"]]
    by_row: dict[tuple[int, int], list[Found]] = defaultdict(list)
    general = []
    for each in shown:
        if each["table"] is None or each["row"] is None:
            general.append(each)
        else:
            by_row[each["table"], each["row"]].append(each)
    rows = {
        (at, number): cells
        for at, table in enumerate(found["tables"])
        for number, cells in table["rows"]
    }
    general += [each for key, ones in by_row.items() if key not in rows for each in ones]
    faulty = sorted(
        (key for key in by_row if key in rows), key=lambda key: (-_weight(by_row[key]), key)
    )
    keys = list(rows) if whole else faulty
    pages = max(1, -(-len(keys) // PAGE))
    page = min(max(page, 1), pages)
    wanted = keys[(page - 1) * PAGE : page * PAGE]
    changed = {(file, sheet, cell) for file, sheet, cell, _text in edits.cells}
    return ListView(
        tuple(_row(found, key, rows[key], by_row.get(key, ()), changed) for key in wanted),
        page,
        pages,
        len(faulty),
        len(rows),
        tuple(general),
        tuple(each for each in found["findings"] if each["weight"] == 0 or each["accepted"]),
    )


def stamp_of(data: bytes) -> str:
    """What changes with a check, so that a fix is never laid over another one."""
    return hashlib.sha256(data).hexdigest()[:16]


def _weight(findings: Sequence[Found]) -> int:
    return max((int(each["weight"]) for each in findings), default=0)


def _row(
    found: Found,
    key: tuple[int, int],
    cells: Sequence[str],
    findings: Sequence[Found],
    changed: set[tuple[str, str, str]],
) -> RowView:
    at, number = key
    table = found["tables"][at]
    of_cell: dict[str, list[Found]] = defaultdict(list)
    for each in findings:
        of_cell[each["letters"]].append(each)
    faulty: list[CellView] = []
    others: list[CellView] = []
    for heading in table["headings"]:
        letters, index = heading["letters"], heading["index"]
        place = (table["file"], table["sheet"], f"{letters}{number}")
        view = CellView(
            f"c-{at}-{number}-{index}",
            letters,
            heading["heading"],
            heading["column"],
            cells[index] if index < len(cells) else "",
            place in changed,
            tuple(of_cell.pop(letters, ())),
        )
        (faulty if view.findings else others).append(view)
    marker = next((str(each["marker"]) for each in findings if each["marker"]), "")
    rest = tuple(each for ones in of_cell.values() for each in ones)
    return RowView(at, number, marker, _weight(findings), tuple(faulty), tuple(others), rest)


def changed_cells(found: Found, fields: Mapping[str, str]) -> dict[tuple[str, str, str], str]:
    """New texts by file, sheet and address, from the fields of a page.

    With ``use-`` before a cell's place it gives the text to write instead; with ``alike-`` the text
    goes into every cell of the column that holds what the cell held. A field that names no cell
    of the list is left alone.
    """
    changed: dict[tuple[str, str, str], str] = {}
    for name, text in fields.items():
        place = _place(found, name)
        if place is None:
            continue
        at, number, index = place
        table = found["tables"][at]
        letters = next(h["letters"] for h in table["headings"] if h["index"] == index)
        texts = {n: cells[index] if index < len(cells) else "" for n, cells in table["rows"]}
        was = texts[number]
        text = " ".join(fields.get(f"use-{name[2:]}", text).split())
        if text == " ".join(was.split()):
            continue
        alike = f"alike-{name[2:]}" in fields
        rows = [n for n, each in texts.items() if each == was] if alike else [number]
        changed |= {(table["file"], table["sheet"], f"{letters}{n}"): text for n in rows}
    return changed


def _place(found: Found, name: str) -> tuple[int, int, int] | None:
    """Table, row and column index that a field's name says; None where it says none."""
    parts = name.split("-")
    if len(parts) != 4 or parts[0] != "c" or not all(each.isdecimal() for each in parts[1:]):
        return None
    at, number, index = map(int, parts[1:])
    if at >= len(found["tables"]):
        return None
    table = found["tables"][at]
    known = any(heading["index"] == index for heading in table["headings"])
    return (at, number, index) if known and any(n == number for n, _ in table["rows"]) else None


def accepted_ones(found: Found, fields: Mapping[str, str]) -> list[tuple[str, str, str]]:
    """Code, reason and marker of every finding that the fields accept."""
    able = {(each["code"], each["marker"]) for each in found["findings"] if each["acceptable"]}
    return [
        (code, " ".join(fields[name].split()), marker)
        for code, marker in sorted(able)
        if fields.get(name := f"accept:{code}:{marker}", "").strip()
    ]
