"""Lists a shop's stocks and machines as the program reads them, with every key."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from render.shop.shop_tables import ShopTables, StockTable
from render.shop.shopfile import built_in_tables, read_tables

_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")


def shelf(path: Path | None) -> ShopTables:
    """The tables of a shop's file, with the built-in stocks that it does not replace.

    Raises:
        InputError: the file cannot be read, or one of its tables is invalid.
    """
    built_in = built_in_tables()
    if path is None:
        return built_in
    own = read_tables(path)
    stocks = {table.key: table for table in (*built_in.stocks, *own.stocks)}
    return own.model_copy(update={"stocks": tuple(stocks.values())})


def shelf_json(tables: ShopTables) -> str:
    """All keys and values under the names in the file; the text reads back as a shop's file."""
    return json.dumps(tables.model_dump(mode="json", exclude_none=True), indent=2)


def shop_toml(tables: Mapping[str, Any]) -> str:
    """A shop's file with these tables and keys, in the given order."""
    lines: list[str] = []
    for name, table in tables.items():
        listed = isinstance(table, list)
        for each in table if listed else (table,):
            lines += ["", f"[[{name}]]" if listed else f"[{name}]"]
            lines += [f"{_key(key)} = {_toml(value)}" for key, value in each.items()]
    return "\n".join(lines[1:]) + "\n"


def shelf_lines(tables: ShopTables) -> Iterator[str]:
    """Every table with all its keys; each stock and offcut gets one line, led by its name."""
    for stock in tables.stocks:
        yield f"{stock.key}: {stock.title}, {'/'.join(stock.roles)} {stock.form}"
        yield from _keys(_values(stock, StockTable.model_fields.keys() - {"key", "title"}))
    for number, offcut in enumerate(tables.offcuts, start=1):
        yield f"offcut {number}: of {offcut.of}"
        yield from _keys(offcut.model_dump(mode="json", exclude={"of"}))
    for machine in tables.machines:
        yield f"machine {machine.key}: {machine.title}, {machine.role}"
        given = machine.model_fields_set - {"key", "role", "title"}
        yield from _keys(_values(machine, given))
    for title, table in (("tags", tables.tags), ("plates", tables.plates)):
        yield f"{title}:"
        yield from _keys(table.model_dump(mode="json", exclude_none=True))
    yield f"printer: {tables.printer.title}"
    yield from _keys(tables.printer.model_dump(mode="json", exclude={"title"}))


def _values(table: Any, names: set[str]) -> Mapping[str, Any]:
    values: dict[str, Any] = table.model_dump(mode="json", exclude_none=True)
    return {name: value for name, value in values.items() if name in names}


def _keys(values: Mapping[str, Any]) -> Iterator[str]:
    for name, value in values.items():
        yield f"  {name} = {_toml(value)}"


def _toml(value: Any) -> str:
    """A value as TOML writes it."""
    if isinstance(value, dict):
        inner = ", ".join(f"{_key(key)} = {_toml(each)}" for key, each in value.items())
        return f"{{ {inner} }}" if inner else "{}"
    if isinstance(value, list):
        return f"[{', '.join(_toml(each) for each in value)}]"
    return json.dumps(value, ensure_ascii=False)


def _key(name: str) -> str:
    """A key as TOML 1.0 writes it: bare where its characters allow."""
    return name if _BARE_KEY.fullmatch(name) else json.dumps(name, ensure_ascii=False)
