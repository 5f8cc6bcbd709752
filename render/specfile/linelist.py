"""A line list: its heading row, and its rows gathered into items.

The cells of a row fall in two: those that decide the face, which are read once for each
distinct combination, and those of the position, which differ from row to row.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import islice
from operator import itemgetter

from layouts.findings import Finding, Place
from layouts.spec import (
    LONGEST_PLACE_TEXT,
    MOST_AT_A_PLACE,
    Item,
    Position,
    Specification,
)
from layouts.words import Kind
from render.specfile.cells import Cell, CellFault, text_fault
from render.specfile.codes import FileError, fault, listed, nearest, shown
from render.specfile.columns import NAMES, PLACE_COLUMNS, Heading, known_headings
from render.specfile.delimited import HEAD
from render.specfile.faults import quantity_refused
from render.specfile.rowspec import CellFinding, RowSpec, specify

Row = tuple[int, list[Cell]]
_PLACE_NAMES = tuple(column.name for column in PLACE_COLUMNS)
_NAMING = ("service", "contents", "legend", "tag")
_SIZING = ("pipe", "od_in", "girth_in")


def read_list(
    name: str, rows: Iterable[Row], defaults: Mapping[str, object], *, ragged: bool
) -> tuple[tuple[Item, ...], tuple[Finding, ...]]:
    """Items and findings of a line list.

    ``ragged`` tells that each row has its own length (CSV), so that a row longer than the
    headings is a slip. ``defaults`` is the environment where a row gives none. There are no
    items where a column is missing that every marker needs. Raises ``FileError``.
    """
    stream = iter(rows)
    head = list(islice(stream, HEAD))
    at = _heading_index(name, head)
    number, cells = head[at]
    table = _Table(name, number, cells, defaults, ragged)
    table.read_rows((*head[at + 1 :],))
    table.read_rows(stream)
    return table.finish()


def _heading_index(name: str, head: Sequence[Row]) -> int:
    counts = [len(known_headings(cells)) for _row, cells in head]
    best = max(counts, default=0)
    if best < 2:
        blank = not any(any(cells) for _row, cells in head)
        what = "the file holds nothing" if blank else f"no headings in the first {HEAD} rows"
        right = f"start the list with a row of headings such as {', '.join(NAMES[1:5])}, pipe, qty"
        code = "file-empty" if blank else "no-headings"
        raise FileError(fault(code, what, right, Place(name)))
    return counts.index(best)


class _Texts(dict[Cell, str]):
    """Cells of positions in one line, each made once; a faulty cell is a ``KeyError``."""

    def __missing__(self, cell: Cell) -> str:
        if isinstance(cell, CellFault) or len(cell) > LONGEST_PLACE_TEXT or cell[:1] == "#":
            raise KeyError(cell)
        text = self[cell] = _tidy(cell)
        return text


class _Table:
    """The list while its rows are read."""

    def __init__(
        self,
        name: str,
        row: int,
        cells: Sequence[Cell],
        defaults: Mapping[str, object],
        ragged: bool,
    ) -> None:
        self._name, self._row, self._defaults, self._ragged = name, row, defaults, ragged
        self._width = len(cells)
        self._findings: dict[tuple[str, str, str], Finding] = {}
        self._kinds: set[Kind] = set()
        self._seen: dict[tuple[Cell, ...], tuple[RowSpec, list[Position]]] = {}
        self._positions: dict[Specification, list[Position]] = {}
        self._texts = _Texts()
        self._rows = 0
        headings = self._headings(cells)
        places = {h.column.name: h.index for h in headings if h.column in PLACE_COLUMNS}
        self._spec = tuple(h for h in headings if h.column not in PLACE_COLUMNS)
        self._columns = {heading.column.name for heading in headings}
        # A cell that is always empty stands after the last one, for columns that are missing.
        self._key = _getter([heading.index for heading in self._spec], self._width)
        self._place = _getter([places.get(n, self._width) for n in _PLACE_NAMES], self._width)
        self._nameless = [i for i, c in enumerate(cells) if isinstance(c, str) and not c.strip()]

    def _headings(self, cells: Sequence[Cell]) -> list[Heading]:
        found: dict[str, Heading] = {}
        known = {heading.index: heading for heading in known_headings(cells)}
        for index, cell in enumerate(cells):
            text = cell.strip() if isinstance(cell, str) else cell.what
            heading = known.get(index)
            if heading is None:
                if text:
                    near = nearest(text, NAMES)
                    right = f"did you mean {near}?" if near else "see the headings of the list"
                    what = f"the column {shown(text)} is not known and was left out"
                    self._find(self._row, CellFinding(text, "unknown-column", what, right))
            elif heading.column.name in found:
                first = cells[found[heading.column.name].index]
                what = f"the columns {shown(first)} and {shown(cell)} both give it"
                finding = CellFinding(
                    heading.column.name, "duplicate-column", what, "keep one of them"
                )
                self._find(self._row, finding)
            else:
                found[heading.column.name] = heading
        return list(found.values())

    def read_rows(self, rows: Iterable[Row]) -> None:
        """Take in rows, blank ones left out."""
        width = self._width
        for number, cells in rows:
            if not any(cells):
                continue
            if len(cells) != width:
                if len(cells) < width:
                    cells += [""] * (width - len(cells))
                else:
                    self._too_long(number, cells)
                    del cells[width:]
            cells.append("")
            if self._nameless:
                self._under_no_heading(cells)
            self._read_row(number, self._key(cells), self._place(cells)[:-2])

    def _read_row(self, number: int, key: tuple[Cell, ...], place: tuple[Cell, ...]) -> None:
        known = self._seen.get(key)
        if known is None:
            if _blank(key):
                self._without_marker(number, place)
                return
            known = self._seen[key] = self._new_spec(key)
        row_spec, positions = known
        self._rows += 1
        for finding in row_spec.findings:
            self._find(number, finding)
        position = self._position(number, place)
        if position is not None:
            positions.append(position)

    def _without_marker(self, number: int, place: tuple[Cell, ...]) -> None:
        if _blank(place):
            return
        self._rows += 1
        what = "nothing in the row says what the marker is"
        right = "fill at least service, legend or tag; the name of a section belongs in area"
        self._find(number, CellFinding("", "row-without-marker", what, right))

    def _new_spec(self, key: tuple[Cell, ...]) -> tuple[RowSpec, list[Position]]:
        """What a new combination of cells asks for, and the list that its positions go in."""
        row_spec = specify(self._spec, key[: len(self._spec)], self._defaults)
        self._kinds.add(row_spec.kind)
        if row_spec.spec is None:
            return row_spec, []
        return row_spec, self._positions.setdefault(row_spec.spec, [])

    def _position(self, number: int, place: tuple[Cell, ...]) -> Position | None:
        known = self._texts
        qty, area, location, line, drawing, from_, to, note = place
        try:
            return Position(
                1 if qty == "" else _quantity(qty),
                known[area],
                known[location],
                known[line],
                known[drawing],
                known[from_],
                known[to],
                known[note],
                number,
            )
        except (KeyError, ValueError):  # a new cell, or a faulty one
            return self._new_position(number, place)

    def _new_position(self, number: int, place: tuple[Cell, ...]) -> Position | None:
        """A position with cells not seen before, or None with its faults recorded."""
        read = [self._text(number, n, c) for n, c in zip(_PLACE_NAMES, place, strict=True)]
        texts = [text for text in read if text is not None]
        quantity = 1
        if read[0]:
            try:
                quantity = _quantity(read[0])
            except ValueError:
                self._find(number, CellFinding("qty", *quantity_refused(read[0])))
                return None
        if len(texts) < len(read):
            return None
        _qty, area, location, line, drawing, from_, to, note = texts
        return Position(quantity, area, location, line, drawing, from_, to, note, number)

    def _text(self, number: int, name: str, cell: Cell) -> str | None:
        """The cell in one line, remembered; None with its fault recorded."""
        if isinstance(cell, CellFault):
            if cell.date and name == "note":
                return cell.date
            self._find(number, CellFinding(name, cell.code, cell.what, cell.right))
            return None
        text = _tidy(cell)
        found = text_fault(text, sized=False)
        if found is not None:
            self._find(number, CellFinding(name, found.code, found.what, found.right))
            return None
        if len(text) > LONGEST_PLACE_TEXT:
            what = f"the text has {len(text)} characters"
            right = f"use at most {LONGEST_PLACE_TEXT}"
            self._find(number, CellFinding(name, "text-too-long", what, right))
            return None
        return text

    def _too_long(self, number: int, cells: Sequence[Cell]) -> None:
        extra = [cell for cell in cells[self._width :] if cell]
        if extra and self._ragged:
            first = extra[0] if isinstance(extra[0], str) else extra[0].what
            what = f"the row has {len(cells)} cells but there are {self._width} headings"
            right = f"put a cell that holds the delimiter in quotes; {shown(first)} is left over"
            self._find(number, CellFinding("", "row-too-long", what, right))

    def _under_no_heading(self, cells: Sequence[Cell]) -> None:
        for index in [index for index in self._nameless if cells[index]]:
            self._nameless.remove(index)
            what = f"column {index + 1} has no heading and was left out"
            right = "give it one of the headings of the list, or empty it"
            self._find(self._row, CellFinding(f"column {index + 1}", "unknown-column", what, right))

    def _find(self, number: int, finding: CellFinding) -> None:
        """Record a fault, or count it where the same was found in an earlier row."""
        key = (finding.code, finding.field, finding.what)
        known = self._findings.get(key)
        if known is not None:
            place = replace(known.place, more=known.place.more + 1)
            self._findings[key] = replace(known, place=place)
            return
        place = Place(self._name, number, finding.field)
        self._findings[key] = fault(finding.code, finding.what, finding.right, place)

    def finish(self) -> tuple[tuple[Item, ...], tuple[Finding, ...]]:
        """What was read. There is nothing to plan where every marker lacks the same column."""
        missing = tuple(self._missing())
        for finding in missing:
            self._find(self._row, finding)
        if not self._rows:
            right = "add a row for each marker"
            self._find(
                self._row, CellFinding("", "empty-list", "there is no row below them", right)
            )
        items = () if missing else tuple(Item(s, tuple(p)) for s, p in self._positions.items() if p)
        found = sorted(self._findings.values(), key=lambda each: each.place.row or 0)
        return items, tuple(found)

    def _missing(self) -> Iterator[CellFinding]:
        if self._columns.isdisjoint(_NAMING):
            what = "no column says what the markers name"
            yield CellFinding("service", "missing-column", what, f"add {listed(_NAMING)}")
        if Kind.PIPE in self._kinds and self._columns.isdisjoint(_SIZING):
            what = "no column says how thick the pipes are"
            yield CellFinding("pipe", "missing-column", what, f"add {listed(_SIZING)}")


def _tidy(text: str) -> str:
    return sys.intern(" ".join(text.split()))


def _quantity(text: Cell) -> int:
    if not isinstance(text, str) or not text.isdecimal():
        raise ValueError(text)
    quantity = int(text)
    if not 1 <= quantity <= MOST_AT_A_PLACE:
        raise ValueError(text)
    return quantity


def _blank(cells: Iterable[Cell]) -> bool:
    return not any(cell.strip() if isinstance(cell, str) else cell for cell in cells)


def _getter(indices: list[int], spare: int) -> Callable[[list[Cell]], tuple[Cell, ...]]:
    """Picks cells as a tuple; ``spare`` is an index that makes it one of two or more."""
    return itemgetter(*indices, spare, spare)
