"""Reads a shop's file: its stocks, each with the machines that make it; all faults at once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from importlib.resources import files
from pathlib import Path

from pydantic import ValidationError

from layouts.schemes.making import Making, PlateMaking, TagMaking
from layouts.sheets.stock import (
    Shop,
    Stock,
    StockForm,
)
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place
from layouts.terms.words import PartRole
from render.files.intake import text_of
from render.shop.offcuts import offcut_of
from render.shop.shop_machines import Machines, shop_fault
from render.shop.shop_tables import (
    OffcutTable,
    ShopTables,
    StockTable,
)
from render.shop.toml_faults import parsed_toml, place_text, toml_refusal

_BUILT_IN = "stocks.toml"


def load_shop(path: Path | None = None) -> Shop:
    """The built-in stocks, overridden by the shop's file if one is given.

    Raises:
        InputError: the file cannot be read, or one of its tables is invalid.
    """
    built_in = _parse(files("render.shop").joinpath(_BUILT_IN).read_text("utf-8"), _BUILT_IN)
    if path is None:
        return _shop(built_in, ShopTables(), "", Path())
    try:
        text = text_of(path)
    except OSError as error:
        what = f"the shop file cannot be read ({error.strerror or error})"
        raise InputError([shop_fault(what, "name a TOML file", Place(path.name))]) from error
    return _shop(built_in, _parse(text, path.name), path.name, path.parent)


def read_tables(path: Path) -> ShopTables:
    """The tables of a shop's file as written.

    Raises:
        InputError: as ``load_shop``.
    """
    load_shop(path)
    return _parse(text_of(path), path.name)


def built_in_tables() -> ShopTables:
    """The stocks that come with the program."""
    return _parse(files("render.shop").joinpath(_BUILT_IN).read_text("utf-8"), _BUILT_IN)


def _parse(text: str, name: str) -> ShopTables:
    tables = parsed_toml(text, name, "shop-file")
    try:
        return ShopTables.model_validate(tables)
    except ValidationError as error:
        raise toml_refusal(error, tables, name, ShopTables) from error


def _shop(built_in: ShopTables, own: ShopTables, file: str, folder: Path) -> Shop:
    machines = Machines(own, file, folder)
    faults = list(machines.faults())
    stocks: dict[str, Stock] = {}
    for table in (*built_in.stocks, *own.stocks):
        faults += machines.stock_faults(table)
        stocks[table.key] = _stock(table, machines)
    faults += _twice(own, file)
    offcuts, more = _offcuts(own.offcuts, stocks, file)
    faults += [*more, *_group_faults(stocks, file)]
    if faults:
        raise InputError(list(dict.fromkeys(faults)))
    by_role = {role: machines.printer(_any_stock(role)) for role in PartRole}
    return Shop(stocks, machines.base, offcuts, by_role, _making(own))


def _making(own: ShopTables) -> Making:
    tags, plates = own.tags.model_dump(), own.plates.model_dump()
    return Making(TagMaking(**tags), PlateMaking(**plates))


def _any_stock(role: PartRole) -> StockTable:
    """A placeholder for the stock that parts of a role are made on."""
    return StockTable(
        key=role, title=role, roles=(role,), form=StockForm.SHEET, width="100 mm", length="100 mm"
    )


def _twice(own: ShopTables, file: str) -> Iterator[Finding]:
    for kind, tables in (("stocks", own.stocks), ("machines", own.machines)):
        keys = [table.key for table in tables]
        for number, key in enumerate(keys, start=1):
            if key in keys[: number - 1]:
                place = Place(file, field=f"{kind} {number} ({key}), key")
                yield shop_fault(f"the key {key!r} is there twice", "give each its own key", place)


_OF_TABLE = frozenset({"longest_frame", "press", "machine"})


def _stock(table: StockTable, machines: Machines) -> Stock:
    fields = {
        name: getattr(table, name) for name in StockTable.model_fields if name not in _OF_TABLE
    }
    changed = {
        "length": table.frame,
        "roll_length": table.length if table.form is StockForm.ROLL else 0.0,
        "sheets": table.pieces_left,
        "margin": machines.margin(table),
        "keep_outs": tuple(each.zone for each in table.keep_outs),
    }
    return Stock(**{**fields, **changed}, printer=machines.printer(table))


def _offcuts(
    tables: Iterable[OffcutTable], stocks: Mapping[str, Stock], file: str
) -> tuple[tuple[Stock, ...], list[Finding]]:
    """The valid offcuts, and the faults of the others."""
    made: list[Stock] = []
    faults: list[Finding] = []
    for index, table in enumerate(tables):
        where = place_text(("offcuts", index), {"offcuts": [{}] * (index + 1)})
        whole = stocks.get(table.of)
        if whole is None:
            right = f"name one of {', '.join(stocks)}"
            what = f"there is no stock {table.of!r}"
            faults.append(shop_fault(what, right, Place(file, field=f"{where}, of")))
            continue
        try:
            offcut = offcut_of(whole, f"offcut-{index + 1}", table.width, table.length)
        except InputError as error:
            place = Place(file, field=where)
            faults += [replace(each, place=place) for each in error.findings]
            continue
        zones = tuple(each.zone for each in table.keep_outs)
        made.append(replace(offcut, sheets=table.sheets, material=table.material, keep_outs=zones))
    return tuple(made), faults


_ALIKE = (
    *("form", "roles", "border", "gap", "knife", "turning", "base", "color", "engraved"),
    *("surface", "material", "adhesive", "laminate", "thickness", "printer"),
    *("repeat", "leader", "trailer"),
)


def _group_faults(stocks: Mapping[str, Stock], file: str) -> list[Finding]:
    """Check that stocks of a group differ only in size, margin, zones, number and cost."""
    faults: list[Finding] = []
    for key, stock in stocks.items():
        if not stock.group:
            continue
        place = Place(file, field=f"stock {key}, group")
        if stock.group in stocks:
            what = f"the group {stock.group!r} has the name of a stock"
            faults.append(shop_fault(what, "give the group another name", place))
        first = next(each for each in stocks.values() if each.group == stock.group)
        for name in _ALIKE:
            if getattr(first, name) != getattr(stock, name):
                word = "machine" if name == "printer" else name
                what = f"{key} has another {word} than {first.key} of the group {stock.group!r}"
                faults.append(shop_fault(what, "give both the same, or two groups", place))
        if (first.cost is None) != (stock.cost is None):
            what = f"of {first.key} and {key} one has a cost and the other has none"
            faults.append(shop_fault(what, "give all stocks of a group a cost, or none", place))
    return faults
