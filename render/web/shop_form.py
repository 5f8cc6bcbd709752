"""The shop's file as a form: fills the form from the file, and the file from the form.

The form has the keys that most shops set. Everything else in a file stays as it is.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from layouts.drawing.symbols import MarkShape
from layouts.sheets.stock import CutFormat, Spots, StockForm
from layouts.terms.values import frozen
from layouts.terms.words import PartRole
from render.files.atomic import write_file
from render.files.intake import bytes_of, text_of
from render.shop.listing import shop_toml
from render.shop.shopfile import load_shop

_BEFORE = "shop-before.toml"
_ORDER = ("printer", "machines", "stocks", "offcuts")


@frozen
class ShopKey:
    """A key of a table: a text, a length, a whole number, or one or several of ``choices``."""

    name: str
    kind: str = "text"
    choices: tuple[str, ...] = ()


PRINTER_KEYS = (
    ShopKey("title"),
    ShopKey("marks", "one", (*map(str, MarkShape), "none")),
    ShopKey("mark_size", "length"),
    ShopKey("mark_spacing", "length"),
    ShopKey("quiet_zone", "length"),
    ShopKey("cut_units", "one", ("mm", "in")),
    ShopKey("files", "several", tuple(map(str, CutFormat))),
    ShopKey("bridge", "length"),
    ShopKey("weeding_frame", "length"),
    ShopKey("spots", "one", tuple(map(str, Spots))),
    ShopKey("condition"),
)
STOCK_KEYS = (
    ShopKey("key"),
    ShopKey("title"),
    ShopKey("roles", "several", tuple(map(str, PartRole))),
    ShopKey("form", "one", tuple(map(str, StockForm))),
    ShopKey("width", "length"),
    ShopKey("length", "length"),
    ShopKey("margin", "length"),
    ShopKey("gap", "length"),
    ShopKey("sheets", "whole"),
    ShopKey("material"),
)
Tables = Mapping[str, Any]


def read_raw(path: Path | None) -> dict[str, Any]:
    """The file's tables as written; empty if there is no file.

    Raises:
        InputError: the file is not a shop's file.
    """
    if path is None:
        return {}
    load_shop(path)
    return tomllib.loads(text_of(path))


def shown_values(table: Tables, keys: tuple[ShopKey, ...]) -> dict[str, Any]:
    """A table's values in the form: a text for each key, a list if it takes several."""
    shown: dict[str, Any] = {}
    for key in keys:
        value = table.get(key.name, [] if key.kind == "several" else "")
        shown[key.name] = list(map(str, value)) if isinstance(value, list) else str(value)
    return shown


def filled_in(old: Tables, fields: Mapping[str, list[str]]) -> dict[str, Any]:
    """The tables from a filled-in form, plus everything that the form does not show."""
    stocks = [dict(each) for each in old.get("stocks", [])]
    numbers = sorted({int(name.split(".")[1]) for name in fields if name.startswith("stock.")})
    made = []
    for number in numbers:
        before = stocks[number] if number < len(stocks) else {}
        table = _merged(before, STOCK_KEYS, fields, f"stock.{number}.")
        dropped = f"stock.{number}.drop" in fields
        if not dropped and set(table) - {"form", "roles"}:
            made.append(table)
    tables: dict[str, Any] = {**old, "stocks": made}
    tables["printer"] = _merged(old.get("printer", {}), PRINTER_KEYS, fields, "printer.")
    ordered = {name: tables[name] for name in _ORDER if tables.get(name)}
    return {**ordered, **{name: each for name, each in tables.items() if name not in _ORDER}}


def _merged(
    old: Tables, keys: tuple[ShopKey, ...], fields: Mapping[str, list[str]], prefix: str
) -> dict[str, Any]:
    """A table with its keys replaced by the form's; an empty key takes its default."""
    shown = {key.name for key in keys}
    table = {key.name: _value(key, fields.get(prefix + key.name, [])) for key in keys}
    given = {name: value for name, value in table.items() if value not in ("", [])}
    return {**given, **{name: value for name, value in old.items() if name not in shown}}


def _value(key: ShopKey, given: list[str]) -> Any:
    texts = [text.strip() for text in given if text.strip()]
    if key.kind == "several":
        return texts
    text = texts[-1] if texts else ""
    return int(text) if key.kind == "whole" and text.isdecimal() else text


def save_shop(path: Path, tables: Tables) -> None:
    """Write the shop's file once it reads back without a fault; the one before it is kept.

    Raises:
        InputError: the tables are not a valid shop; nothing is changed.
        OutputError: the file cannot be written.
    """
    data = shop_toml(tables).encode()
    trial = path.with_name(f".{path.name}")
    write_file(trial, data)
    try:
        load_shop(trial)
    finally:
        trial.unlink()
    if path.is_file():
        write_file(path.with_name(_BEFORE), bytes_of(path))
    write_file(path, data)
