"""Reads a line list: its heading row, and its rows gathered into items.

A row has two sets of cells: those that decide the face, read once for each distinct combination,
and those of the position, which vary by row.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import field, replace
from itertools import islice
from operator import itemgetter

from layouts.order.order import Item, PipeMarker, Position, Specification
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place
from layouts.terms.tags import is_numbered_twice
from layouts.terms.values import frozen
from layouts.terms.words import Kind
from render.read.cells import Cell, CellFault, Merged
from render.read.codes import FileError, fault, list_words, show_value
from render.read.columns import (
    BY_NAME,
    NAMES,
    PLACE_COLUMNS,
    RUN_COLUMNS,
    Heading,
    column_letters,
)
from render.read.delimited import HEAD
from render.read.faults import split_message
from render.read.headings import (
    BY_SYNONYM,
    MOST_COLUMNS,
    SAMPLE,
    HeadingRow,
    Mapped,
    count_headings,
    is_repeat,
    map_headings,
    writes_comma,
)
from render.read.positions import PLACE_NAMES, PositionReader, column_of
from render.read.rowfindings import RowFindings
from render.read.rowspec import CellFinding, Habits, RowSpec, in_rank
from render.read.runs import SpacingRules, is_counted, lacks_length, set_viewing_distance, spots_of
from render.read.tagged_rows import RowReader

Row = tuple[int, list[Cell]]
_NAMING = ("service", "contents", "legend", "tag")
_TOTAL = re.compile(
    r"(?:grand |sub)?-?\s?total|(?:sub)?sum(?:me|ma)?\b|gesamt|end of list", re.IGNORECASE
)
_DIGIT = re.compile(r"\d")
_FEW = 3  # filled cells in a row of totals, and columns of a list that can contain titles
_SHOWN = 6
_SIZING = ("pipe", "od_in", "girth_in")


@frozen
class ListSource:
    """The source of a list and how its plant writes lists.

    ``source`` marks its positions if an order has several lists. ``ragged`` means that rows vary
    in length (CSV), so a row longer than the headings is a mistake. ``comma`` means that all
    numbers use a decimal comma.
    """

    file: str
    sheet: str = ""
    source: str = ""
    ragged: bool = False
    comma: bool = False
    columns: Mapping[str, str] = field(default_factory=dict)
    habits: Habits = field(default_factory=Habits)
    kind: Kind | None = None


@frozen
class ListRead:
    """The items of a list, its findings, and the matches of its headings.

    ``doubtful`` holds rows with a fault, read from their other cells.

    ``cells`` gives, by column name, the letter of its column and the file's own heading.
    """

    items: tuple[Item, ...]
    doubtful: tuple[Item, ...]
    findings: tuple[Finding, ...]
    mapped: tuple[Mapped, ...]
    cells: Mapping[str, tuple[str, str]]
    faulty: frozenset[tuple[int, str]]
    rows: int
    kind: Kind | None = None


def read_list(
    list_source: ListSource,
    rows: Iterable[Row],
    defaults: Mapping[str, object],
    rules: SpacingRules,
) -> ListRead:
    """Items and findings of a line list.

    ``defaults`` is the environment for rows that give none, and ``rules`` counts the markers of a
    run. There are no items if a column that every marker needs is missing. Raises ``FileError``.
    """
    stream = iter(rows)
    head = list(islice(stream, HEAD + SAMPLE))
    at = heading_index(list_source, head[:HEAD])
    table = _Table(list_source, head[at], head[at + 1 :], defaults, rules)
    table.read_rows((*head[at + 1 :],))
    table.read_rows(stream)
    return table.finish()


def heading_index(source: ListSource, head: Sequence[Row]) -> int:
    """Which of the first rows holds the headings. Raises ``FileError``."""
    counts = [count_headings(cells, source.columns) for _row, cells in head]
    best = max(counts, default=0)
    if best < 2:
        blank = not any(any(cells) for _row, cells in head)
        what = "the file holds nothing" if blank else f"no headings in the first {HEAD} rows"
        right = f"start the list with a row of headings such as {', '.join(NAMES[1:5])}, pipe, qty"
        code = "file-empty" if blank else "no-headings"
        raise FileError(fault(code, what, right, Place(source.file)))
    at = counts.index(best)
    filled = sum(1 for cell in head[at][1] if cell)
    if filled > MOST_COLUMNS:
        what, right = f"the list has {filled:,} columns", "keep the columns that markers need"
        raise FileError(fault("too-many-columns", what, right, Place(source.file, head[at][0])))
    return at


@frozen
class _RowsAlike:
    """Rows with equal cells but for their places: what they ask for, and lists for the places.

    ``surely`` says that each of them was meant as a marker.
    """

    asked: RowSpec
    heaps: tuple[list[Position], ...]
    surely: bool


class _Table:
    """Collects the list while its rows are read."""

    def __init__(
        self,
        source: ListSource,
        head: Row,
        below: Sequence[Row],
        defaults: Mapping[str, object],
        rules: SpacingRules,
    ) -> None:
        self._source, self._defaults, self._rules = source, defaults, rules
        self._row, self._head = head
        self._width = len(self._head)
        # The reader refers to these and not to the table: a cycle would keep the cells of all rows.
        self._findings = RowFindings(source.file, source.source and source.sheet)
        self._find = self._findings.find
        self._reader = PositionReader(self._find, source.source)
        self._faulty: set[tuple[int, str]] = set()
        self._kinds: set[Kind] = set()
        self._seen: dict[tuple[Cell, ...], _RowsAlike] = {}
        self._positions: dict[Specification, list[Position]] = {}
        self._doubtful: dict[Specification, list[Position]] = {}
        self._rows = 0
        self._unread = 0
        self._left_out: dict[str, list[int]] = {}
        sample = [cells for _row, cells in below]
        found = map_headings(self._head, sample, source.sheet, source.columns)
        self._mapped = found.mapped
        headings = self._headings(found, sample)
        self._cells = self._findings.cells = {
            h.column.name: (column_letters(h.index), _text(self._head[h.index])) for h in headings
        }
        self._habits = source.habits
        self._kind = kind = source.kind or found.kind
        if kind is not None and "kind" not in self._cells:
            self._habits = replace(self._habits, kind=kind)
            if kind is not Kind.PIPE and source.kind is None:
                what = f"no column says the kind of marker; every row is read as {kind}"
                self._find(self._row, CellFinding("kind", "kind-inferred", what, ""))
        self._pick(headings)

    def _pick(self, headings: Sequence[Heading]) -> None:
        """Set up the pickers of a row's cells for the face, the position and the run."""
        named = {h.column.name for h in headings}
        spare = [
            Heading(self._width, BY_NAME[n], "") for n in self._habits.values if n not in named
        ]
        places = {h.column.name: h.index for h in headings if h.column in PLACE_COLUMNS}
        self._spec = in_rank(h for h in (*headings, *spare) if h.column not in PLACE_COLUMNS)
        self._specs = RowReader(self._spec, self._defaults, self._habits)
        self._along = tuple(h for h in headings if h.column in RUN_COLUMNS)
        self._columns = {*named, *(h.column.name for h in spare)}
        # Missing columns read an extra cell after the last one, which is always empty; the key
        # and the run may have such cells at their end.
        self._key = _getter([heading.index for heading in self._spec], self._width)
        self._place = _getter([places.get(n, self._width) for n in PLACE_NAMES], self._width)
        self._run = _getter([heading.index for heading in self._along], self._width)
        usual = tuple(self._habits.values.get(name, "") for name in PLACE_NAMES)
        self._usual = usual if any(usual) else ()
        self._nameless = [
            i for i, c in enumerate(self._head) if isinstance(c, str) and not c.strip()
        ]

    def _headings(self, found: HeadingRow, sample: Sequence[Sequence[Cell]]) -> list[Heading]:
        """Keep one heading per column, and report each duplicate once."""
        kept: dict[str, Heading] = {}
        for heading in found.headings:
            name = heading.column.name
            if name in kept:
                first, cell = self._head[kept[name].index], self._head[heading.index]
                what = f"the columns {show_value(first)} and {show_value(cell)} both give it"
                self._find(
                    self._row, CellFinding(name, "duplicate-column", what, "keep one of them")
                )
                continue
            comma = self._source.comma or writes_comma(heading, sample)
            if comma and heading.column.measure.is_number:
                heading = replace(heading, comma=True)
                if not self._source.comma:
                    what = "every number with a comma here can only be a decimal one"
                    self._find(self._row, CellFinding(name, "decimal-comma", what, ""))
            kept[name] = heading
        self._tell_mapped(found.mapped)
        return list(kept.values())

    def _tell_mapped(self, mapped: Sequence[Mapped]) -> None:
        """Note the synonyms that were matched and the headings left out."""
        other = [
            f"{show_value(m.heading)} as {m.column}"
            for m in mapped
            if m.column and m.how == BY_SYNONYM
        ]
        if other:
            what = f"headings read in other words: {', '.join(other)}"
            self._find(self._row, CellFinding("", "column-read-as", what, ""))
        for each in mapped:
            if each.column or each.how.startswith("left out by"):
                continue
            if each.how:
                what = f"the column {show_value(each.heading)} is {each.how}"
                self._find(self._row, CellFinding(each.heading, "column-left-out", what, ""))
            else:
                what = f"the column {show_value(each.heading)} is not known and was left out"
                self._find(self._row, CellFinding(each.heading, "unknown-column", what, each.right))
        for cell in self._head:
            if isinstance(cell, CellFault):
                right = "see the headings of the list"
                what = f"the column {show_value(cell.what)} is not known and was left out"
                self._find(self._row, CellFinding(cell.what, "unknown-column", what, right))

    def read_rows(self, rows: Iterable[Row]) -> None:
        """Read rows, skipping blank ones."""
        width, seen = self._width, self._seen
        for number, cells in rows:
            if self._findings.is_full:
                self._unread = self._unread or number
                return
            if not any(cells):
                continue
            if len(cells) != width:
                if len(cells) < width:
                    cells += [""] * (width - len(cells))
                else:
                    self._too_long(number, cells)
                    del cells[width:]
            cells.append("")
            key = self._key(cells)
            known = seen.get(key)
            surely = known.surely if known is not None else self._surely_marker(key)
            if not surely and (why := self._no_marker(cells)) is not None:
                self._left_out.setdefault(why, []).append(number)
                continue
            if self._nameless:
                self._under_no_heading(cells)
            known = known or self._new_rows(number, key, cells, surely)
            if known is not None:
                self._read_row(number, known, cells)

    def _no_marker(self, cells: Sequence[Cell]) -> str | None:
        """Why a row was never meant as a marker; None for any other."""
        filled = [cell for cell in cells if cell and not isinstance(cell, Merged)]
        first = filled[0].strip() if filled and isinstance(filled[0], str) else ""
        if _TOTAL.match(first) and len(filled) <= _FEW:
            return "totals"
        if len(filled) == 1 and self._width > _FEW and first and not _DIGIT.search(first):
            return "titles"
        if len(filled) > 1 and first and is_repeat(cells, self._head):
            return "repeated headings"
        return None

    def _read_row(self, number: int, known: _RowsAlike, cells: list[Cell]) -> None:
        self._rows += 1
        if known.asked.findings:
            self._tell(number, known.asked)
        place = self._place_of(cells)
        position = self._reader.position(number, place)
        if self._along and not _blank(along := self._run(cells)[: len(self._along)]):
            if position is None:  # report the faults of the run as well
                self._reader.along(number, known.asked.kind, Position(), self._along, along)
            else:
                self._on_run(known.asked, position, not _blank(place[:1]), along)
        elif position is not None:
            for heap in known.heaps:
                heap.append(position)

    def _place_of(self, cells: list[Cell]) -> tuple[Cell, ...]:
        """The cells of the position, or what the plant's lists mean by an empty one."""
        place = self._place(cells)
        if not self._usual:
            return place
        return tuple(cell or usual for cell, usual in zip(place, self._usual, strict=True))

    def _tell(self, number: int, row_spec: RowSpec) -> None:
        for finding in row_spec.findings:
            self._find(number, finding)
            if row_spec.faulty:
                self._faulty.add((number, finding.field))

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
            seen = set_viewing_distance(spec, placed)
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
            self._find(number, CellFinding("length_ft", *split_message("run-assumed", note)))
        return spots

    def _without_marker(self, number: int) -> None:
        self._rows += 1
        what = "nothing in the row says what the marker is"
        right = "fill at least service, legend or tag; the name of a section belongs in area"
        self._find(number, CellFinding("", "row-without-marker", what, right))

    def _new_rows(
        self, number: int, key: tuple[Cell, ...], cells: list[Cell], surely: bool
    ) -> _RowsAlike | None:
        """What a row with a new combination of cells asks for; None for one that asks nothing."""
        if _blank(key):
            if not _blank((*self._place_of(cells), *self._run(cells))):
                self._without_marker(number)
            return None
        row_spec = self._specs.read(key[: len(self._spec)])
        self._kinds.add(row_spec.kind)
        group = self._doubtful if row_spec.faulty else self._positions
        heaps = tuple(group.setdefault(spec, []) for spec in row_spec.specs)
        known = self._seen[key] = _RowsAlike(row_spec, heaps, surely)
        return known

    def _surely_marker(self, key: Sequence[Cell]) -> bool:
        """Whether each row with these cells was meant as a marker, whatever its place says.

        Cells of a workbook may be merged, which the key does not tell, so each row is looked at.
        """
        filled = sum(1 for cell in key if cell)
        if not self._source.ragged or filled <= _FEW:
            return False
        likest = [*self._head, ""]  # a row with these cells that is most like the headings
        for heading, cell in zip(self._spec, key, strict=False):
            likest[heading.index] = cell
        return not is_repeat(likest, self._head)

    def _too_long(self, number: int, cells: Sequence[Cell]) -> None:
        extra = [cell for cell in cells[self._width :] if cell]
        if extra and self._source.ragged:
            first = extra[0] if isinstance(extra[0], str) else extra[0].what
            what = f"the row has {len(cells)} cells but there are {self._width} headings"
            right = (
                f"put a cell that holds the delimiter in quotes; {show_value(first)} is left over"
            )
            self._find(number, CellFinding("", "row-too-long", what, right))

    def _under_no_heading(self, cells: Sequence[Cell]) -> None:
        for index in [index for index in self._nameless if cells[index]]:
            self._nameless.remove(index)
            what = f"column {index + 1} has no heading and was left out"
            right = "give it one of the headings of the list, or empty it"
            self._find(self._row, CellFinding(f"column {index + 1}", "unknown-column", what, right))

    def finish(self) -> ListRead:
        """The result. There is nothing to plan if every marker lacks the same column."""
        missing = tuple(self._missing())
        for finding in missing:
            self._find(self._row, finding)
        for why, numbers in self._left_out.items():
            what = f"{rows_text(numbers)} left out as {why}"
            self._find(numbers[0], CellFinding("", "rows-left-out", what, ""))
        if not self._rows:
            right = "add a row for each marker"
            self._find(
                self._row, CellFinding("", "empty-list", "there is no row below them", right)
            )
        items, doubtful = (
            () if missing else tuple(Item(s, tuple(p)) for s, p in group.items() if p)
            for group in (self._positions, self._doubtful)
        )
        tags = (spec.tag for spec in self._positions if not isinstance(spec, PipeMarker))
        found = self._findings.by_row(twice=any(map(is_numbered_twice, tags)))
        found += self._findings.more(self._unread)
        return ListRead(
            items,
            doubtful,
            tuple(found),
            self._mapped,
            self._cells,
            frozenset(self._faulty),
            self._rows,
            self._kind,
        )

    def _missing(self) -> Iterator[CellFinding]:
        if self._columns.isdisjoint(_NAMING):
            what = "no column says what the markers name"
            yield CellFinding("service", "missing-column", what, f"add {list_words(_NAMING)}")
        if Kind.PIPE in self._kinds and self._columns.isdisjoint(_SIZING):
            what = "no column says how thick the pipes are"
            yield CellFinding("pipe", "missing-column", what, f"add {list_words(_SIZING)}")


def rows_text(rows: Sequence[int]) -> str:
    """``row 3``, or ``rows 3, 9 and 12``; only the first few of many."""
    few = [str(row) for row in rows[:_SHOWN]]
    if len(rows) > _SHOWN:
        return f"rows {', '.join(few)} and {len(rows) - _SHOWN} more"
    return f"row {few[0]}" if len(few) == 1 else f"rows {', '.join(few[:-1])} and {few[-1]}"


def _text(cell: Cell) -> str:
    return " ".join(cell.split()) if isinstance(cell, str) else ""


def _blank(cells: Iterable[Cell]) -> bool:
    return not any(cell.strip() if isinstance(cell, str) else cell for cell in cells)


def _getter(indices: list[int], spare: int) -> Callable[[list[Cell]], tuple[Cell, ...]]:
    """Picks cells as a tuple; the index ``spare`` pads it to at least two."""
    return itemgetter(*indices, *[spare] * (2 - len(indices)))
