"""The order reader: TOML, JSON, CSV and XLSX become one typed order, or every fault at once.

The way of a file: bytes -> tables (``orderfile``) or rows of cells (``delimited``,
``workbook``) -> specifications and positions (``rowspec``, ``positions``, ``linelist``), those
of a run by its spacing rule (``runs``) -> items in canonical order (``normal``) -> ``Order``.
``linefile`` writes an order's items as a list again.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from layouts.order.order import Item, Order, OrderHead
from layouts.terms.findings import Finding, Place, weighed
from render.read.cells import Cell
from render.read.codes import CODES, FileError, fault, nearest
from render.read.delimited import csv_rows, encoding_of
from render.read.linelist import read_list
from render.read.listwriter import write_list
from render.read.orderfile import one_marker, order_of, parse_order, read_order
from render.read.ordersheet import HEAD_SHEET, head_tables
from render.read.ordertables import OrderReader
from render.read.runs import SpacingRules
from render.read.schema import order_schema

__all__ = [
    "CODES",
    "Reading",
    "one_marker",
    "order_schema",
    "read",
    "write_list",
]

_SUFFIXES = (".toml", ".json", ".csv", ".xlsx")
_LARGEST = 400 << 20  # bytes
_ZIP, _OLE = b"PK", b"\xd0\xcf\x11\xe0"


@dataclass(frozen=True, slots=True)
class Reading:
    """What a file gave.

    ``order`` holds whatever could be read, so that it can be checked further; it must not be
    printed while a finding is ``UNREADABLE``. It is None where nothing could be read. ``listed``
    names the file that the rows of its positions are of: the list itself, or the order's.
    """

    order: Order | None
    findings: tuple[Finding, ...]
    listed: str = field(default="", compare=False)


def read(path: Path) -> Reading:
    """Read an order file or a line list by its suffix. Raises nothing for a faulty file.

    A line list takes its title from the file's name, unless its workbook has a sheet ``Order``.
    """
    try:
        suffix = _suffix(path)
        if suffix in (".toml", ".json"):
            return _order_file(path, suffix)
        return _list_file(path, suffix)
    except FileError as error:
        return Reading(None, (error.finding,))
    except OSError as error:
        return Reading(None, (_system_fault(path, error),))


def _suffix(path: Path) -> str:
    """The suffix of a file that its first bytes do not belie. Raises ``FileError``."""
    place, suffix = Place(path.name), path.suffix.lower()
    if suffix not in _SUFFIXES:
        near = nearest(suffix, _SUFFIXES)
        right = "save it as .xlsx or .csv, or write an order as .toml or .json"
        what = f"{suffix or 'a name without suffix'} is no kind of file read here"
        raise FileError(
            fault("unknown-format", what, f"did you mean {near}?" if near else right, place)
        )
    with path.open("rb") as file:
        start = file.read(4)
        size = file.seek(0, os.SEEK_END)
    if not start:
        raise FileError(fault("file-empty", "the file holds nothing", "save it again", place))
    if size > _LARGEST:
        what, right = f"the file is larger than {_LARGEST >> 20} MB", "split the list"
        raise FileError(fault("file-too-large", what, right, place))
    if start == _OLE:
        what = "the workbook asks for a password, or is of the kind before .xlsx"
        right = "save it without a password as .xlsx"
        raise FileError(fault("file-locked", what, right, place))
    if (start[:2] == _ZIP) != (suffix == ".xlsx"):
        what = f"the file is named {suffix} but is {'no' if suffix == '.xlsx' else 'a'} workbook"
        right = "export it again under its right name"
        raise FileError(fault("file-broken", what, right, place))
    return suffix


def _list_file(path: Path, suffix: str) -> Reading:
    """A line list as an order of its own."""
    tables: dict[str, object] = {}
    reader = OrderReader(path.name, path.parent)
    if suffix == ".csv":
        encoding, notes = encoding_of(path)
        rows = csv_rows(path, encoding)
    else:
        from render.read.workbook import xlsx_list

        book, notes = xlsx_list(path), ()
        tables, rows = head_tables(book.head), book.rows
    head = reader.head({"title": path.stem.replace("_", " ")[:120], **tables})
    items, listed = read_list(path.name, rows, {}, reader.rules, ragged=suffix == ".csv")
    return _reading(head, items, (*notes, *reader.findings, *listed), path.name)


def _reading(
    head: OrderHead | None, items: tuple[Item, ...], findings: tuple[Finding, ...], listed: str
) -> Reading:
    """What was read, each finding with the reason for which the order accepts it."""
    if head is None or not items:
        return Reading(None, findings)
    weighed_ones = tuple(weighed(each, each.place.file, head.accept) for each in findings)
    return Reading(order_of(head, items), weighed_ones, listed)


def _line_list(
    path: Path, defaults: Mapping[str, object], rules: SpacingRules
) -> tuple[tuple[Item, ...], tuple[Finding, ...]]:
    if _suffix(path) == ".csv":
        encoding, notes = encoding_of(path)
        rows = csv_rows(path, encoding)
        items, findings = read_list(path.name, rows, defaults, rules, ragged=True)
        return items, (*notes, *findings)
    from render.read.workbook import xlsx_list

    book = xlsx_list(path)
    items, findings = read_list(path.name, book.rows, defaults, rules, ragged=False)
    return items, (*_unread_head(path.name, book.head), *findings)


def _unread_head(name: str, head: Iterable[Sequence[Cell]]) -> Iterator[Finding]:
    """A workbook that an order file names: the file's word holds, not its sheet ``Order``."""
    unread = head_tables(head)
    if unread:
        what = (
            f"its sheet {HEAD_SHEET} is not read ({', '.join(unread)}), as an order file names it"
        )
        right = "say it in the order file, or give the workbook itself"
        yield fault("order-sheet-unread", what, right, Place(name, field=HEAD_SHEET))


def _listed(
    path: Path, defaults: Mapping[str, object], rules: SpacingRules
) -> tuple[tuple[Item, ...], tuple[Finding, ...]]:
    """A list that an order file names; its faults are findings of their own."""
    try:
        return _line_list(path, defaults, rules)
    except OSError as error:
        return (), (_system_fault(path, error),)


def _order_file(path: Path, suffix: str) -> Reading:
    encoding, notes = encoding_of(path)
    tables = parse_order(path.name, path.read_text(encoding=encoding), suffix)
    head, items, findings = read_order(path, tables, _listed)
    named = tables.get("line_list")
    listed = Path(named).name if isinstance(named, str) else path.name
    return _reading(head, items, (*notes, *findings), listed)


def _system_fault(path: Path, error: OSError) -> Finding:
    if isinstance(error, FileNotFoundError):
        return fault("file-missing", "there is no such file", "see to its name", Place(path.name))
    what = f"the file cannot be opened ({error.strerror})"
    return fault("file-unreadable", what, "see to its rights", Place(path.name))
