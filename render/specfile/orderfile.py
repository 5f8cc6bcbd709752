"""Order files: TOML, and JSON of the same model."""

from __future__ import annotations

import datetime
import json
import re
import tomllib
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import TypeAlias

from pydantic import BaseModel, TypeAdapter, ValidationError

from layouts.errors import InputError
from layouts.findings import Finding, Place
from layouts.spec import (
    Acceptance,
    Environment,
    EquipmentMarker,
    Item,
    Neighbor,
    Order,
    OrderHead,
    PipeMarker,
    Position,
    Specification,
    StockChoice,
    ValveTag,
)
from layouts.words import Kind
from render.specfile.codes import FileError, fault, listed, nearest, shown
from render.specfile.faults import faults_of
from render.specfile.normal import canonical_items

ListReader: TypeAlias = Callable[
    [Path, Mapping[str, object]], tuple[tuple[Item, ...], tuple[Finding, ...]]
]
Table: TypeAlias = dict[str, object]

MODELS: dict[str, type[Specification]] = {
    str(Kind.PIPE): PipeMarker,
    str(Kind.EQUIPMENT): EquipmentMarker,
    str(Kind.VALVE): ValveTag,
}
POSITION_KEYS = ("qty", "area", "location", "line", "drawing", "from", "to", "note", "row")
FILE_KEYS = ("markers", "environment", "line_list")
_POSITION = TypeAdapter(Position)


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
            what, right = f"the key {shown(error.key)} stands twice", "keep one of them"
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
    right = "text stands in quotes, and each key on a line of its own as in qty = 2"
    return FileError(fault("bad-syntax", what, right, Place(name, line)))


def read_order(
    path: Path, tables: Table, read_list: ListReader
) -> tuple[OrderHead | None, tuple[Item, ...], tuple[Finding, ...]]:
    """Head, items and findings of an order file; no head where it has a fault."""
    reader = _OrderReader(path.name)
    markers, defaults = tables.get("markers", []), reader.environment(tables.get("environment", {}))
    head = reader.head({key: value for key, value in tables.items() if key not in FILE_KEYS})
    items = reader.markers(markers, defaults)
    findings = reader.findings
    if (named := tables.get("line_list")) is not None:
        listed_items, listed_findings = _line_list(path, named, defaults, read_list)
        items, findings = (*items, *listed_items), (*findings, *listed_findings)
    elif not markers:
        what, right = "the order has no marker", "add a [[markers]] table, or line_list"
        findings = (*findings, fault("empty-list", what, right, Place(path.name)))
    return head, items, findings


def _line_list(
    path: Path, named: object, defaults: Mapping[str, object], read_list: ListReader
) -> tuple[tuple[Item, ...], tuple[Finding, ...]]:
    if not isinstance(named, str) or not named.lower().endswith((".csv", ".xlsx")):
        what, right = f"{shown(named)} is no line list", "name a .csv or .xlsx file"
        return (), (fault("bad-line-list", what, right, Place(path.name, field="line_list")),)
    try:
        return read_list(path.parent / named, defaults)
    except FileError as error:
        return (), (error.finding,)


def one_marker(fields: Table, scheme: str = "") -> Order:
    """An order of one marker from the keys of a [[markers]] table.

    Raises:
        InputError: every fault of the fields, each named by its key.
    """
    reader = _OrderReader("")
    items = reader.markers([fields], {}, "")
    head = reader.head({"scheme": scheme} if scheme else {})
    if head is None or not items:
        raise InputError(reader.findings)
    return order_of(head, items)


def order_of(head: OrderHead, items: Iterable[Item]) -> Order:
    """The order under a head, its items in canonical order."""
    fields = {key: getattr(head, key) for key in OrderHead.model_fields}
    return Order(**fields, items=canonical_items(items))


class _OrderReader:
    """The parts of an order file, each judged by itself, and all their faults."""

    def __init__(self, name: str) -> None:
        self._name = name
        self._found: list[Finding] = []

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All faults so far, each once."""
        return tuple(dict.fromkeys(self._found))

    def head(self, tables: Mapping[str, object]) -> OrderHead | None:
        """What holds for the whole order."""
        date = tables.get("date")
        if type(date) is datetime.date:  # TOML has dates of its own
            tables = {**tables, "date": date.isoformat()}
        try:
            return OrderHead.model_validate(tables)
        except ValidationError as error:
            self._faults("", error, (*OrderHead.model_fields, *FILE_KEYS))
        return None

    def environment(self, tables: object) -> Mapping[str, object]:
        """The environment that holds where a marker gives none."""
        try:
            Environment.model_validate(tables)
        except ValidationError as error:
            self._faults("environment", error, Environment.model_fields)
            return {}
        assert isinstance(tables, dict)
        return tables

    def markers(
        self, tables: object, defaults: Mapping[str, object], where: str = "marker {}"
    ) -> tuple[Item, ...]:
        """The items of the [[markers]] tables that can be read; ``where`` names a table."""
        if not isinstance(tables, list):
            self._add("markers", "bad-value", "it is not a list", "write [[markers]] tables")
            return ()
        items = []
        for number, table in enumerate(tables, 1):
            at = where.format(number)
            if not isinstance(table, dict):
                self._add(at, "bad-value", f"{shown(table)} is no table", "write [[markers]]")
                continue
            spec = self._spec(at, table, defaults)
            positions = self._positions(at, table)
            if spec is not None and positions is not None:
                items.append(Item(spec, positions))
        return tuple(items)

    def _spec(
        self, where: str, table: Table, defaults: Mapping[str, object]
    ) -> Specification | None:
        kind = table.get("kind", str(Kind.PIPE))
        model = MODELS.get(kind) if isinstance(kind, str) else None
        if model is None or not isinstance(kind, str):
            near = nearest(kind, MODELS) if isinstance(kind, str) else ""
            right = f"did you mean {near}?" if near else f"write {listed(MODELS)}"
            self._add(f"{where}, kind", "bad-choice", f"{shown(kind)} is no kind of marker", right)
            return None
        payload = {k: v for k, v in table.items() if k not in (*POSITION_KEYS, "positions")}
        payload["kind"] = Kind(kind)
        own = payload.get("environment", {})
        if isinstance(own, dict):
            payload["environment"] = {**defaults, **own}
        try:
            return model.model_validate(payload)
        except ValidationError as error:
            self._faults(where, error, (*model.model_fields, *POSITION_KEYS, "positions"))
        return None

    def _positions(self, where: str, table: Table) -> tuple[Position, ...] | None:
        flat = {key: table[key] for key in POSITION_KEYS if key in table}
        listed_ones = table.get("positions")
        if listed_ones is None:
            position = self._position(where, flat)
            return None if position is None else (position,)
        if flat:
            what = f"{listed(sorted(flat))} stands beside positions"
            self._add(f"{where}, {min(flat)}", "bad-value", what, "give it in each position")
        if not isinstance(listed_ones, list) or not listed_ones:
            right = "write a list of tables as in [{qty = 2, area = 'Dock'}]"
            what = f"{shown(listed_ones)} is no list of positions"
            self._add(f"{where}, positions", "bad-value", what, right)
            return None
        read = [
            self._position(f"{where}, position {number}", each)
            for number, each in enumerate(listed_ones, 1)
        ]
        found = tuple(position for position in read if position is not None)
        return found if len(found) == len(read) and not flat else None

    def _position(self, where: str, table: object) -> Position | None:
        try:
            return _POSITION.validate_python(table)
        except ValidationError as error:
            self._faults(where, error, POSITION_KEYS)
        return None

    def _faults(self, where: str, error: ValidationError, keys: Iterable[str]) -> None:
        """Record what was refused; ``keys`` are those of the outermost table."""

        def keys_at(path: tuple[str | int, ...]) -> Iterable[str]:
            outer = [part for part in path[:-1] if isinstance(part, str)]
            return _INNER[outer[-1]].model_fields if outer else keys

        for path, code, what, right in faults_of(error, keys_at):
            self._add(", ".join(part for part in (where, _path(path)) if part), code, what, right)

    def _add(self, field: str, code: str, what: str, right: str) -> None:
        self._found.append(fault(code, what, right, Place(self._name, field=field)))


_INNER: dict[str, type[BaseModel]] = {
    "environment": Environment,
    "neighbor": Neighbor,
    "stocks": StockChoice,
    "accept": Acceptance,
}


def _path(path: tuple[str | int, ...]) -> str:
    """``accept 2, reason`` for ("accept", 1, "reason"): people count from one."""
    text = ""
    for part in path:
        if isinstance(part, int):
            text += f" {part + 1}"
        else:
            text += f", {part}" if text else part
    return text
