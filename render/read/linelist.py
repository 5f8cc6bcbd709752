"""A line list: its heading row, and its rows gathered into items.

The cells of a row fall in two: those that decide the face, which are read once for each
distinct combination, and those of the position, which differ from row to row.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import islice
from operator import itemgetter

from layouts.order.order import Item, PipeMarker, Position, Specification
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place
from layouts.terms.words import Kind
from render.read.cells import Cell
from render.read.codes import FileError, fault, listed, nearest, shown
from render.read.columns import NAMES, PLACE_COLUMNS, RUN_COLUMNS, Heading, known_headings
from render.read.delimited import HEAD
from render.read.faults import split
from render.read.positions import PLACE_NAMES, PositionReader, column_of
from render.read.rowspec import CellFinding, RowSpec, specify
from render.read.runs import SpacingRules, is_counted, lacks_length, sighted, spots_of

Row = tuple[int, list[Cell]]
_NAMING = ("service", "contents", "legend", "tag")
_SIZING = ("pipe", "od_in", "girth_in")


def read_list(
    name: str,
    rows: Iterable[Row],
    defaults: Mapping[str, object],
    rules: SpacingRules,
    *,
    ragged: bool,
) -> tuple[tuple[Item, ...], tuple[Finding, ...]]:
    """Items and findings of a line list.

    ``ragged`` tells that each row has its own length (CSV), so that a row longer than the
    headings is a slip. ``defaults`` is the environment where a row gives none, and ``rules``
    count the markers of a run. There are no items where a column is missing that every marker
    needs. Raises ``FileError``.
    """
    stream = iter(rows)
    head = list(islice(stream, HEAD))
    at = _heading_index(name, head)
    number, cells = head[at]
    table = _Table(name, number, cells, defaults, rules, ragged)
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


class _Table:
    """The list while its rows are read."""

    def __init__(
        self,
        name: str,
        row: int,
        cells: Sequence[Cell],
        defaults: Mapping[str, object],
        rules: SpacingRules,
        ragged: bool,
    ) -> None:
        self._name, self._row, self._defaults, self._ragged = name, row, defaults, ragged
        self._rules, self._reader = rules, PositionReader(self._find)
        self._width = len(cells)
        self._findings: dict[tuple[str, str, str], Finding] = {}
        self._kinds: set[Kind] = set()
        self._seen: dict[tuple[Cell, ...], tuple[RowSpec, list[list[Position]]]] = {}
        self._positions: dict[Specification, list[Position]] = {}
        self._rows = 0
        headings = self._headings(cells)
        places = {h.column.name: h.index for h in headings if h.column in PLACE_COLUMNS}
        self._spec = tuple(h for h in headings if h.column not in PLACE_COLUMNS)
        self._along = tuple(h for h in headings if h.column in RUN_COLUMNS)
        self._columns = {heading.column.name for heading in headings}
        # A cell that is always empty stands after the last one, for columns that are missing.
        self._key = _getter([heading.index for heading in self._spec], self._width)
        self._place = _getter([places.get(n, self._width) for n in PLACE_NAMES], self._width)
        self._run = _getter([heading.index for heading in self._along], self._width)
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
            along = self._run(cells)[:-2] if self._along else ()
            self._read_row(number, self._key(cells), self._place(cells)[:-2], along)

    def _read_row(
        self, number: int, key: tuple[Cell, ...], place: tuple[Cell, ...], along: tuple[Cell, ...]
    ) -> None:
        known = self._seen.get(key)
        if known is None:
            if _blank(key):
                self._without_marker(number, (*place, *along))
                return
            known = self._seen[key] = self._new_spec(key)
        row_spec, heaps = known
        self._rows += 1
        for finding in row_spec.findings:
            self._find(number, finding)
        position = self._reader.position(number, place)
        if any(along) and not _blank(along):
            if position is None:  # its own faults are told; the run's are too
                self._reader.along(number, row_spec.kind, Position(), self._along, along)
            else:
                self._on_run(row_spec, position, not _blank(place[:1]), along)
        elif position is not None:
            for heap in heaps:
                heap.append(position)

    def _on_run(
        self, row_spec: RowSpec, position: Position, has_quantity: bool, along: tuple[Cell, ...]
    ) -> None:
        """Put a row's markers along the run that it describes."""
        assert position.row is not None
        number = position.row
        placed = self._reader.along(number, row_spec.kind, position, self._along, along)
        if placed is None:
            return
        if lacks_length(placed, has_quantity):
            right = "give length_ft, or a qty that says how many markers there are"
            what = "the run has no length"
            self._find(number, CellFinding("length_ft", "missing-value", what, right))
            return
        for spec in row_spec.specs:
            seen = sighted(spec, placed)
            heap = self._positions.setdefault(seen, [])
            if isinstance(seen, PipeMarker) and is_counted(placed, has_quantity):
                heap += self._spots(number, seen, placed)
            else:
                heap.append(placed)

    def _spots(self, number: int, spec: PipeMarker, position: Position) -> tuple[Position, ...]:
        try:
            spots, notes = spots_of(spec, position, self._rules)
        except InputError as error:
            for each in error.findings:
                column = column_of(each.place.field)
                self._find(number, CellFinding(column, each.code, each.what, each.right))
            return ()
        for note in notes:
            self._find(number, CellFinding("length_ft", *split("run-assumed", note)))
        return spots

    def _without_marker(self, number: int, place: tuple[Cell, ...]) -> None:
        if _blank(place):
            return
        self._rows += 1
        what = "nothing in the row says what the marker is"
        right = "fill at least service, legend or tag; the name of a section belongs in area"
        self._find(number, CellFinding("", "row-without-marker", what, right))

    def _new_spec(self, key: tuple[Cell, ...]) -> tuple[RowSpec, list[list[Position]]]:
        """What a new combination of cells asks for, and the lists that its positions go in."""
        row_spec = specify(self._spec, key[: len(self._spec)], self._defaults)
        self._kinds.add(row_spec.kind)
        return row_spec, [self._positions.setdefault(spec, []) for spec in row_spec.specs]

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


def _blank(cells: Iterable[Cell]) -> bool:
    return not any(cell.strip() if isinstance(cell, str) else cell for cell in cells)


def _getter(indices: list[int], spare: int) -> Callable[[list[Cell]], tuple[Cell, ...]]:
    """Picks cells as a tuple; ``spare`` is an index that makes it one of two or more."""
    return itemgetter(*indices, spare, spare)
