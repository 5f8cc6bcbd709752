"""Order files: TOML, and JSON of the same model."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Iterable, Mapping
from pathlib import Path

from layouts.order.normal import canonical_items
from layouts.order.order import ORDER_VERSION, Item, Order, OrderHead
from layouts.schemes.loader import load_scheme, scheme_keys
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place
from render.read.codes import FileError, fault, show_value
from render.read.ordertables import FILE_KEYS, OrderReader, Table
from render.read.runs import SpacingRules

LIST_SUFFIXES = (".csv", ".xlsx", ".xlsm", ".ods", ".xls")


def parse_order(name: str, text: str, suffix: str) -> Table:
    """The tables of an order file. Raises ``FileError``."""
    try:
        if suffix == ".toml":
            return dict(tomllib.loads(text))
        found: object = json.loads(text, object_pairs_hook=_once_each)
    except RecursionError as error:
        raise _broken(name, None, "it is nested too deep") from error
    except ValueError as error:
        if isinstance(error, _DuplicateKeyError):
            what, right = f"the key {show_value(error.key)} is given twice", "keep one of them"
            raise FileError(fault("duplicate-key", what, right, Place(name))) from error
        raise _broken(name, _line_of(error), str(error)) from error
    if not isinstance(found, dict):
        raise _broken(name, None, "it is not a table of keys")
    return found


class _DuplicateKeyError(ValueError):
    def __init__(self, key: str) -> None:
        super().__init__(key)
        self.key = key


def _once_each(pairs: list[tuple[str, object]]) -> Table:
    found: Table = {}
    for key, value in pairs:
        if key in found:
            raise _DuplicateKeyError(key)
        found[key] = value
    return found


def _line_of(error: ValueError) -> int | None:
    if isinstance(error, json.JSONDecodeError):
        return error.lineno
    found = re.search(r"at line (\d+)", str(error))
    return int(found[1]) if found else None


def _broken(name: str, line: int | None, why: str) -> FileError:
    what = f"the order cannot be read: {why[:1].lower()}{why[1:]}"
    right = "put text in quotes, and each key on its own line, as in qty = 2"
    return FileError(fault("bad-syntax", what, right, Place(name, line)))


def read_order(
    path: Path, tables: Table
) -> tuple[
    OrderHead | None,
    tuple[Item, ...],
    tuple[Finding, ...],
    tuple[str, ...],
    Mapping[str, object],
    SpacingRules,
]:
    """An order file's head, items and findings, and the settings for its line lists.

    The settings are the names of the lists, their environment and the spacing rules. The head is
    None if it has a fault.

    Raises:
        FileError: the order was written for a newer program, with keys unknown here.
    """
    version = tables.get("version")
    if type(version) is int and version > ORDER_VERSION:
        what = f"the order is of version {version}, and this program reads up to {ORDER_VERSION}"
        right = "read it with the program that wrote it, or a newer one"
        raise FileError(fault("newer-version", what, right, Place(path.name, field="version")))
    reader = OrderReader(path.name, path.parent)
    markers, defaults = tables.get("markers", []), reader.environment(tables.get("environment", {}))
    head = reader.head({key: value for key, value in tables.items() if key not in FILE_KEYS})
    items = reader.markers(markers, defaults)
    named: tuple[str, ...] = ()
    findings = reader.findings
    if (wanted := tables.get("line_list")) is not None:
        named, faults = _line_lists(path.name, wanted)
        findings = (*findings, *faults)
    elif not markers:
        what, right = "the order has no marker", "add a [[markers]] table, or line_list"
        findings = (*findings, fault("empty-list", what, right, Place(path.name)))
    return head, items, findings, named, defaults, reader.rules


def _line_lists(name: str, wanted: object) -> tuple[tuple[str, ...], tuple[Finding, ...]]:
    """The names of the lists, one or several."""
    names = wanted if isinstance(wanted, list) and wanted else [wanted]
    place = Place(name, field="line_list")
    for each in names:
        if not isinstance(each, str) or not each.lower().endswith(LIST_SUFFIXES):
            what, right = f"{show_value(each)} is not a line list", "name a .csv or .xlsx file"
            return (), (fault("bad-line-list", what, right, place),)
    return tuple(map(str, names)), ()


def one_marker(fields: Table, scheme: str = "") -> Order:
    """An order of one marker from the keys of a [[markers]] table.

    Raises:
        InputError: the error holds every fault, each named by its key.
    """
    reader = OrderReader("")
    items = reader.markers([fields], {}, "")
    head = reader.head(_named_scheme(scheme) if scheme else {})
    if head is None or not items:
        raise InputError(reader.findings)
    if len(items) > 1:
        what, right = f"{len(items)} tags are given", "give one tag"
        raise InputError([fault("bad-tag", what, right, Place(field="tag"))])
    return order_of(head, items)


def _named_scheme(scheme: str) -> dict[str, object]:
    """The head of an order of one marker; naming a scheme accepts its own cautions."""
    if scheme not in scheme_keys():
        return {"scheme": scheme}
    reason = f"{scheme} was named for this marker"
    caveats = (each for each in load_scheme(scheme).caveats if each.blocking)
    accepted = [{"code": each.code, "reason": reason} for each in caveats]
    return {"scheme": scheme, "accept": accepted} if accepted else {"scheme": scheme}


def order_of(head: OrderHead, items: Iterable[Item]) -> Order:
    """The order under a head, its items in canonical order."""
    fields = {key: getattr(head, key) for key in OrderHead.model_fields}
    return Order(**fields, items=canonical_items(items))
