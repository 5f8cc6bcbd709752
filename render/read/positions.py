"""Makes a position from the cells of a row that say where its markers go."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from operator import getitem

from pydantic import TypeAdapter, ValidationError

from layouts.order.order import LONGEST_PLACE_TEXT, MOST_AT_A_PLACE, Position
from layouts.order.position import PlaceDetails
from layouts.terms.words import Kind
from render.read.cells import Cell, CellFault, Merged, text_fault
from render.read.columns import POSITION_COLUMNS, Heading, Measure, with_unit
from render.read.faults import faults_of, quantity_refused
from render.read.rowspec import CellFinding

Find = Callable[[int, CellFinding], None]
PLACE_NAMES = tuple(column.name for column in POSITION_COLUMNS)
# Keys of the position, or of its run, for the cells of a run.
_OF_POSITION = {"height_ft": "height", "distance_ft": "distance", "at_ft": "at", "spot": "spot"}
_OF_RUN = {"length_ft": "length"}
# A machine or a valve has a mounting height too, but is not on a run.
_PIPES_ONLY = ("length_ft", "rooms", "turns", "branches", "valves", "penetrations", "spacing")
AS_POSITION = TypeAdapter(Position)  # takes 4 ms to build, so all readers share it
_MOST_KEPT = 50_000  # of a column; line numbers of a long list do not repeat
_COLUMN_OF = {key: name for name, key in (_OF_POSITION | _OF_RUN).items()}


def tidy(text: str) -> str:
    """The text in one line."""
    return " ".join(text.split())


def column_of(key: str) -> str:
    """The column that gives a field of a position or of its run."""
    return _COLUMN_OF.get(key, key)


class _Texts(dict[Cell, str]):
    """Caches cells of one column of positions, in one line; a faulty cell raises ``KeyError``.

    The only space in a cleaned cell is the usual one.
    """

    def __missing__(self, cell: Cell) -> str:
        if isinstance(cell, CellFault) or len(cell) > LONGEST_PLACE_TEXT or cell[:1] == "#":
            raise KeyError(cell)
        text = tidy(cell) if " " in cell or isinstance(cell, Merged) else cell
        if len(self) < _MOST_KEPT:
            self[cell] = text
        return text


class _Counts(dict[str, int]):
    """Caches cells of quantities; one that is no count raises ``ValueError``."""

    def __missing__(self, cell: str) -> int:
        count = self[cell] = _quantity(cell)
        return count


class _Details(dict[tuple[Cell, ...], PlaceDetails]):
    """Caches the further details of a place by their cells; a faulty cell raises ``KeyError``."""

    def __init__(self, source: str) -> None:
        super().__init__()
        self._source = source
        self._columns = (_Texts(), _Texts(), _Texts(), _Texts())

    def __missing__(self, cells: tuple[Cell, ...]) -> PlaceDetails:
        drawing, from_, to, note = map(getitem, self._columns, cells)
        details = PlaceDetails(drawing, from_, to, note, self._source)
        if len(self) < _MOST_KEPT:
            self[cells] = details
        return details


class PositionReader:
    """Makes the positions of a list's rows, all with one ``source``.

    ``find`` records a fault of a row.
    """

    def __init__(self, find: Find, source: str) -> None:
        self._find = find
        self._source = source
        self._counts = _Counts({"": 1})
        self._areas, self._locations, self._lines = _Texts(), _Texts(), _Texts()
        self._details = _Details(source)

    def position(self, number: int, place: tuple[Cell, ...]) -> Position | None:
        """The position from the cells of ``PLACE_NAMES``, or None with its faults recorded."""
        qty, area, location, line, *_ = place
        try:
            return Position(
                self._counts[qty] if type(qty) is str else _quantity(qty),
                self._areas[area],
                self._locations[location],
                self._lines[line],
                number,
                self._details[place[4:]],
            )
        except (KeyError, ValueError):  # a faulty cell, or a rare one
            return self._rare_position(number, place)

    def _rare_position(self, number: int, place: tuple[Cell, ...]) -> Position | None:
        """A position with cells that are not cached, or None with its faults recorded."""
        read = [self._text(number, n, c) for n, c in zip(PLACE_NAMES, place, strict=True)]
        texts = [text for text in read if text is not None]
        quantity = 1
        if read[0]:
            try:
                quantity = _quantity(place[0] if isinstance(place[0], Merged) else read[0])
            except ValueError:
                self._find(number, CellFinding("qty", *quantity_refused(read[0])))
                return None
        if len(texts) < len(read):
            return None
        _qty, area, location, line, drawing, from_, to, note = texts
        details = PlaceDetails(drawing, from_, to, note, self._source)
        return Position(quantity, area, location, line, number, details)

    def _text(self, number: int, name: str, cell: Cell) -> str | None:
        """The cell in one line, or None with its fault recorded."""
        if isinstance(cell, CellFault):
            if cell.date and name == "note":
                return cell.date
            self._find(number, CellFinding(name, cell.code, cell.what, cell.right))
            return None
        text = tidy(cell)
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

    def along(
        self,
        number: int,
        kind: Kind,
        position: Position,
        headings: Sequence[Heading],
        cells: Sequence[Cell],
    ) -> Position | None:
        """The position with its run from the cells, or None with their faults recorded."""
        fields: dict[str, object] = {}
        run: dict[str, object] = {}
        whole = True
        for heading, cell in zip(headings, cells, strict=True):
            name, sized = heading.column.name, heading.column.measure is not Measure.TEXT
            fault = cell if isinstance(cell, CellFault) else text_fault(tidy(cell), sized=sized)
            if fault is not None:
                self._find(number, CellFinding(name, fault.code, fault.what, fault.right))
                whole = False
                continue
            assert isinstance(cell, str)
            if not (text := with_unit(tidy(cell), heading.unit)):
                continue
            if kind is not Kind.PIPE and name in _PIPES_ONLY:
                what = f"{kind} markers do not use {name}"
                right = "check that the row's kind is right"
                self._find(number, CellFinding(name, "unused-cell", what, right))
            elif name in _OF_POSITION:
                fields[_OF_POSITION[name]] = text
            else:
                run[_OF_RUN.get(name, name)] = text
        read = self._read_fields(number, {**fields, "pipe_run": run} if run else fields)
        if read is None or not whole:
            return None
        details = replace(
            position.details,
            spot=read.spot,
            at=read.at,
            height=read.height,
            distance=read.distance,
            pipe_run=read.pipe_run,
        )
        return replace(position, details=details)

    def _read_fields(self, number: int, fields: dict[str, object]) -> Position | None:
        try:
            return AS_POSITION.validate_python(fields)
        except ValidationError as error:
            for path, code, what, right in faults_of(error):
                self._find(number, CellFinding(column_of(str(path[-1])), code, what, right))
        return None


_COUNTED = re.compile(
    r"x?\s*(\d+)(?:[.,]00?)?\s*(?:x|ea\.?|each|pcs?\.?|pieces?|nos?\.?|markers?|labels?|stk\.?)?",
    re.I,
)


def _quantity(text: Cell) -> int:
    """A count as people write it: ``8``, ``8.0``, ``8 ea``. Raises ``ValueError``."""
    found = _COUNTED.fullmatch(text.strip()) if isinstance(text, str) else None
    if found is None or isinstance(text, Merged) or not found[1].isascii():
        raise ValueError(text)
    quantity = int(found[1])
    if not 1 <= quantity <= MOST_AT_A_PLACE:
        raise ValueError(text)
    return quantity
