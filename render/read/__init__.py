"""Reads order files and line lists into one typed order, or reports every fault at once.

A file is read in this order: bytes -> tables (``orderfile``) or rows of cells (``delimited``,
``workbook``) -> headings (``headings``, using the plant's ``mapping`` if it has one) ->
specifications and positions (``rowspec``, ``positions``, ``linelist``), runs by their spacing rule
(``runs``) -> ``Order``. A workbook may hold several lists, and an order may name several files.
``listwriter`` writes an order's items as a list again, ``marked`` a list with its findings.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from layouts.order.order import Item, OrderHead
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, weigh
from layouts.terms.signs import cleaned
from layouts.terms.values import frozen
from render.files.intake import UnfitFileError, opened
from render.files.missing import missing_file
from render.read.cells import Cell
from render.read.cleaning import clean_rows, clean_tables
from render.read.codes import CODES, FileError, fault, nearest
from render.read.delimited import HEAD, csv_rows, encoding_of
from render.read.linelist import ListSource, Row, heading_index, read_list
from render.read.listwriter import write_list
from render.read.mapping import SKIP, PlantMapping, mapping_of, mapping_rows, read_mapping
from render.read.orderfile import one_marker, order_of, parse_order, read_order
from render.read.ordersheet import HEAD_SHEET, head_tables
from render.read.ordertables import OrderReader
from render.read.reading import ListOrigin, Reading, join_areas
from render.read.rowspec import Habits
from render.read.runs import SpacingRules
from render.read.schema import order_schema
from render.read.schemes import find_scheme
from render.read.signsheet import SIGN_SHEET, read_signs

__all__ = [
    "CODES",
    "PlantMapping",
    "Reading",
    "SheetRows",
    "list_rows",
    "one_marker",
    "order_schema",
    "read",
    "read_mapping",
    "read_tables",
    "write_list",
]
_BOOKS = (".xlsx", ".xlsm", ".ods", ".xls")
_LISTS = (".csv", *_BOOKS)
_SUFFIXES = (".toml", ".json", *_LISTS)
_LARGEST = 400 << 20  # bytes
_ZIP, _OLE = b"PK", b"\xd0\xcf\x11\xe0"


def read(path: Path, mapping: Path | None = None, also: Sequence[Path] = ()) -> Reading:
    """Read an order file or a line list by its suffix. A faulty file gives findings, not errors.

    A line list takes its title from the file's name, unless its workbook has a sheet ``Order``.
    ``mapping`` says how the plant writes its lists; ``also`` holds further lists of the order.
    """
    try:
        plant = PlantMapping() if mapping is None else read_mapping(mapping)
        suffix = _suffix(path)
        if suffix in (".toml", ".json"):
            return _order_file(path, suffix, plant)
        return _list_file(path, plant, also)
    except FileError as error:
        return Reading(None, (error.finding,))
    except OSError as error:
        return Reading(None, (_system_fault(path, error),))


@frozen
class SheetRows:
    """A list as text: its sheet, its heading row, and its rows by number."""

    sheet: str
    heading: int
    rows: Sequence[tuple[int, Sequence[str]]]


def list_rows(path: Path, plant: PlantMapping) -> list[SheetRows]:
    """Every list of a file, as written.

    Raises:
        FileError: the file cannot be read or has no headings.
    """
    tables, head, _notes, _signs = _tables(path, plant)
    known = plant.over(mapping_of(mapping_rows(head), path.name))
    found = []
    for table in tables:
        if known.sheets.get(table.sheet) == SKIP:
            continue
        rows = list(table.rows)
        source = ListSource(path.name, table.sheet, columns=known.columns_of(table.sheet))
        at = heading_index(source, rows[:HEAD])
        texts = [(n, [c if isinstance(c, str) else c.what for c in cells]) for n, cells in rows]
        found.append(SheetRows(table.sheet, rows[at][0], texts))
    return found


def _suffix(path: Path) -> str:
    """The suffix of a file, checked against its first bytes. Raises ``FileError``."""
    place, suffix = Place(path.name), path.suffix.lower()
    if suffix not in _SUFFIXES:
        near = nearest(suffix, _SUFFIXES)
        right = "save it as .xlsx or .csv, or write an order as .toml or .json"
        what = f"{suffix or 'a name without suffix'} cannot be read"
        raise FileError(
            fault("unknown-format", what, f"did you mean {near}?" if near else right, place)
        )
    with opened(path, sys.maxsize) as file:
        start = file.read(4)
        size = file.seek(0, os.SEEK_END)
    if not start:
        raise FileError(fault("file-empty", "the file holds nothing", "save it again", place))
    if size > _LARGEST:
        what, right = f"the file is larger than {_LARGEST >> 20} MB", "split the list"
        raise FileError(fault("file-too-large", what, right, place))
    if start == _OLE and suffix in _BOOKS[:-1]:
        what = "the workbook asks for a password, or is of the kind before .xlsx"
        right = "save it without a password as .xlsx"
        raise FileError(fault("file-locked", what, right, place))
    if (start[:2] == _ZIP) != (suffix in _BOOKS[:-1]) or (start == _OLE) != (suffix == ".xls"):
        what = f"the file is named {suffix} but is {'not' if suffix in _BOOKS else 'a'} "
        what += "such a workbook" if suffix in _BOOKS else "workbook"
        right = "export it again under its right name"
        raise FileError(fault("file-broken", what, right, place))
    return suffix


@dataclass(slots=True)
class _Lists:
    """The lists of an order while they are read, each with the marks that locate its rows."""

    mapping: PlantMapping
    rules: SpacingRules
    services: Mapping[str, str]
    defaults: Mapping[str, object]
    items: list[Item] = field(default_factory=list)
    doubtful: list[Item] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    origins: dict[str, ListOrigin] = field(default_factory=dict)

    def take(self, file: str, tables: Sequence[_Rows], main: bool) -> None:
        """Read the lists of one file; a ``main`` file with one list needs no mark."""
        wanted = [each for each in tables if self.mapping.sheets.get(each.sheet) != "skip"]
        several = len(wanted) > 1
        empty: list[Finding] = []
        before = len(self.items)
        for each in wanted:
            source = "" if main and not several else _source(file, each.sheet, main, several)
            listed = ListSource(
                file,
                each.sheet,
                source,
                each.ragged,
                each.comma,
                self.mapping.columns_of(each.sheet),
                Habits(
                    values=self.mapping.values, words=self.mapping.words, services=self.services
                ),
                self.mapping.kind_of(each.sheet),
            )
            found = read_list(listed, each.rows, self.defaults, self.rules)
            self.items += found.items
            self.doubtful += found.doubtful
            if several and not found.rows:
                empty += [each for each in found.findings if each.code == "empty-list"]
                self.findings += [each for each in found.findings if each.code != "empty-list"]
            else:
                self.findings += found.findings
            shown = each.sheet if several else ""
            self.origins[source] = ListOrigin(
                file, shown, found.cells, found.faulty, found.mapped, each.sheet, found.kind
            )
        if len(self.items) == before:
            self.findings += empty[:1]

    def finish(self) -> tuple[Item, ...]:
        """All items; several spellings of an area count as one."""
        items, notes = join_areas(self.items)
        self.findings += Reading(None, (), origins=self.origins).located(notes)
        return items


@frozen
class _Rows:
    """The rows of one list."""

    sheet: str
    rows: Iterable[Row]
    ragged: bool = False
    comma: bool = False


def _source(file: str, sheet: str, main: bool, several: bool) -> str:
    """How the positions of a list are marked: by sheet, by file, or by both."""
    if main:
        return sheet
    return f"{file}, {sheet}" if several else file


def _tables(
    path: Path, plant: PlantMapping
) -> tuple[list[_Rows], list[list[Cell]], tuple[Finding, ...], Sequence[list[Cell]]]:
    """The lists of a file, its sheet ``Order``, the findings so far, its sheet ``Signs``."""
    if _suffix(path) == ".csv":
        encoding, notes = encoding_of(path)
        rows, comma = csv_rows(path, encoding, plant.headings)
        return [_Rows("", clean_rows(rows), ragged=True, comma=comma)], [], notes, ()
    from render.read.workbook import read_book

    book = read_book(path, plant.headings)
    return (
        [_Rows(sheet.name, clean_rows(sheet.rows)) for sheet in book.sheets],
        book.head,
        book.findings,
        book.signs,
    )


def read_tables(
    path: Path, headings: Sequence[str]
) -> tuple[list[tuple[str, list[Row]]], tuple[Finding, ...]]:
    """The sheets of a workbook or CSV file whose heading row has such headings, with their rows.

    Each sheet comes with its name (empty for CSV), and beside them the findings.

    Raises:
        InputError: the file cannot be read or is not a table.
    """
    try:
        if _suffix(path) not in _LISTS:
            right = f"name a table ({', '.join(_LISTS)})"
            raise FileError(
                fault("unknown-format", "the file is no table", right, Place(path.name))
            )
        tables, _, notes, _ = _tables(path, PlantMapping(dict.fromkeys(headings, "")))
        return [(each.sheet, list(each.rows)) for each in tables], notes
    except FileError as error:
        raise InputError([error.finding]) from error
    except OSError as error:
        raise InputError([_system_fault(path, error)]) from error


def _list_file(path: Path, plant: PlantMapping, also: Sequence[Path]) -> Reading:
    """A line list as a complete order."""
    tables, head_sheet, notes, sign_rows = _tables(path, plant)
    mapping = plant.over(mapping_of(mapping_rows(head_sheet), path.name))
    reader = OrderReader(path.name, path.parent)
    told, broken = clean_tables(head_tables(head_sheet), path.name)
    head = reader.head({"title": cleaned(path.stem.replace("_", " "))[:120], **told})
    signs, faulty = read_signs(sign_rows, path.name)
    if head is not None and signs:
        head = head.model_copy(update={"signs": signs})
    lists = _Lists(mapping, reader.rules, _services(head, path.parent), {})
    lists.findings += (*notes, *broken, *faulty)
    lists.take(path.name, tables, main=True)
    for other in also:
        more, other_head, other_notes, other_signs = _tables(other, plant)
        lists.findings += (*other_notes, *_unread_head(other.name, other_head, other_signs))
        lists.take(other.name, more, main=False)
    items = lists.finish()
    return _reading(head, items, (*reader.findings, *lists.findings), path.name, lists)


def _services(head: OrderHead | None, folder: Path) -> Mapping[str, str]:
    """The meaning of each service code of the order's scheme; empty if there is no such scheme."""
    try:
        scheme = find_scheme(head.scheme, folder) if head is not None else None
    except (InputError, OSError, UnicodeError):
        return {}  # the plan reports what is wrong with it
    services = scheme.services if scheme is not None else {}
    return {code: service.meaning for code, service in services.items()}


def _reading(
    head: OrderHead | None,
    items: tuple[Item, ...],
    findings: tuple[Finding, ...],
    listed: str,
    lists: _Lists,
) -> Reading:
    """The result, each finding with the order's reason for accepting it."""
    # A faulty row that asks for what a sound one asks for adds nothing to judge, and would hide
    # the sound row's faults behind its own.
    sound = {item.spec for item in items}
    every = (*items, *(item for item in lists.doubtful if item.spec not in sound))
    judged = order_of(head, every) if head is not None and every else None
    if head is None or not items:
        return Reading(None, findings, listed, lists.origins, judged)
    weighed_ones = tuple(weigh(each, each.place.file, head.accept) for each in findings)
    order = judged if len(every) == len(items) else order_of(head, items)
    return Reading(order, weighed_ones, listed, lists.origins, judged)


def _unread_head(
    name: str, head: Iterable[Sequence[Cell]], signs: Sequence[Sequence[Cell]]
) -> Iterator[Finding]:
    """A workbook that an order names: its sheets ``Order`` and ``Signs`` are ignored."""
    unread = head_tables(head)
    if unread:
        what = (
            f"its sheet {HEAD_SHEET} is not read ({', '.join(unread)}), as an order file names it"
        )
        right = "say it in the order file, or give the workbook itself"
        yield fault("order-sheet-unread", what, right, Place(name, field=HEAD_SHEET))
    if any(map(any, signs)):
        what = f"its sheet {SIGN_SHEET} is not read, as an order names it"
        right = "write [[signs]] in the order file, or give the workbook itself"
        yield fault("order-sheet-unread", what, right, Place(name, field=SIGN_SHEET))


def _order_file(path: Path, suffix: str, plant: PlantMapping) -> Reading:
    encoding, notes = encoding_of(path)
    read_tables = parse_order(path.name, path.read_text(encoding=encoding), suffix)
    tables, broken = clean_tables(read_tables, path.name)
    head, items, findings, named, defaults, rules = read_order(path, tables)
    lists = _Lists(plant, rules, _services(head, path.parent), defaults)
    lists.items += items
    for index, each in enumerate(named):
        listed = path.parent / each
        try:
            found, other_head, seen, other_signs = _tables(listed, plant)
            own = mapping_of(mapping_rows(other_head), listed.name)
            lists.mapping = plant.over(own)
            lists.findings += (*seen, *_unread_head(listed.name, other_head, other_signs))
            lists.take(listed.name, found, main=index == 0)
        except FileError as error:
            lists.findings.append(error.finding)
        except OSError as error:
            lists.findings.append(_system_fault(listed, error))
    rows_of = Path(named[0]).name if named else path.name
    joined = lists.finish()
    every = (*notes, *broken, *findings, *lists.findings)
    return _reading(head, joined, every, rows_of, lists)


def _system_fault(path: Path, error: OSError) -> Finding:
    if isinstance(error, FileNotFoundError):
        return missing_file(path)
    what = f"the file cannot be opened ({error.strerror})"
    if isinstance(error, UnfitFileError):
        return fault("file-unreadable", what, "name a file", Place(path.name))
    return fault("file-unreadable", what, "check its permissions", Place(path.name))
