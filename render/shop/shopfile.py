"""A shop's file as a shop: its stocks, each with the machines that make it; all faults at once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from importlib.resources import files
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from layouts.drawing.document import Step
from layouts.schemes.making import Making, PlateMaking, TagMaking
from layouts.sheets.stock import (
    KnifeNote,
    MachineRole,
    Printer,
    Shop,
    Spots,
    Stock,
    StockForm,
)
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.words import PartRole
from render.files.intake import text_of
from render.shop.offcuts import offcut_of
from render.shop.shop_tables import (
    STEPS,
    MachineTable,
    OffcutTable,
    PrinterTable,
    ShopTables,
    StockTable,
)
from render.shop.step_names import name_faults
from render.shop.toml_faults import parsed_toml, place_text, refused

_BUILT_IN = "stocks.toml"
_MARGIN = 12.7
_SHORTEST_SPACING = 100.0  # between marks, mm: nearer ones leave no room for their quiet zones


def load_shop(path: Path | None = None) -> Shop:
    """The built-in stocks, and the shop's own file over them where one is given.

    Raises:
        InputError: the file cannot be read, or a table of it makes no sense.
    """
    built_in = _parse(files("render.shop").joinpath(_BUILT_IN).read_text("utf-8"), _BUILT_IN)
    if path is None:
        return _shop(built_in, ShopTables(), "", Path())
    try:
        text = text_of(path)
    except OSError as error:
        what = f"the shop file cannot be read ({error.strerror or error})"
        raise InputError([_fault(what, "name a TOML file", Place(path.name))]) from error
    return _shop(built_in, _parse(text, path.name), path.name, path.parent)


def read_tables(path: Path) -> ShopTables:
    """The tables of a shop's file as they are written.

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
        raise refused(error, tables, name, ShopTables) from error


def _shop(built_in: ShopTables, own: ShopTables, file: str, folder: Path) -> Shop:
    machines = _Machines(own, file, folder)
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
    """Stands for whatever stock parts of a role are made on."""
    return StockTable(
        key=role, title=role, roles=(role,), form=StockForm.SHEET, width="100 mm", length="100 mm"
    )


def _twice(own: ShopTables, file: str) -> Iterator[Finding]:
    for kind, tables in (("stocks", own.stocks), ("machines", own.machines)):
        keys = [table.key for table in tables]
        for number, key in enumerate(keys, start=1):
            if key in keys[: number - 1]:
                place = Place(file, field=f"{kind} {number} ({key}), key")
                yield _fault(f"the key {key!r} is there twice", "give each its own key", place)


_CUTTERS: Mapping[PartRole, tuple[MachineRole, ...]] = {
    PartRole.FILM: (MachineRole.FILM_CUTTER,),
    PartRole.PLATE: (MachineRole.ROUTER,),
    PartRole.TAG: (MachineRole.ROUTER, MachineRole.FILM_CUTTER),
}
_ENGRAVERS = (MachineRole.ENGRAVER, MachineRole.ROUTER)


class _Machines:
    """The machines of a file, and which of them make a stock."""

    def __init__(self, own: ShopTables, file: str, folder: Path) -> None:
        self._file, self._folder = file, folder
        self._printer = own.printer
        self._machines = own.machines
        self.base = self._record(own.printer, own.printer.title)

    def printer(self, table: StockTable) -> Printer:
        """Press and cutter of a stock as one: the cutter's keys hold over the press's."""
        chosen = [each for each in (self._press(table), self._cutter(table)) if each is not None]
        if not chosen:
            return self.base
        titles = dict.fromkeys(each.title for each in chosen if "title" in each.model_fields_set)
        return self._record(self._merged(chosen), " and ".join(titles) or self.base.title)

    def margin(self, table: StockTable) -> float:
        """The stock's own margin, else that of a machine that makes it."""
        named = [each.margin for each in (self._cutter(table), self._press(table)) if each]
        return next((each for each in (table.margin, *named) if each is not None), _MARGIN)

    def faults(self) -> Iterator[Finding]:
        """What is wrong with the printer and with each machine over it."""
        yield from self._printer_faults(self._printer, "printer")
        for number, machine in enumerate(self._machines, start=1):
            where = f"machines {number} ({machine.key})"
            yield from self._printer_faults(self._merged([machine]), where)

    def stock_faults(self, table: StockTable) -> Iterator[Finding]:
        """Machines that a stock names and that are none of its kind, and a lack of room."""
        place = f"stock {table.key}"
        for key, name in (("press", table.press), ("machine", table.machine)):
            fitting = [
                each.key
                for each in self._machines
                if (each.role is MachineRole.PRESS) == (key == "press")
            ]
            if name and name not in fitting:
                right = (
                    f"write one of {', '.join(fitting)}" if fitting else "add it as [[machines]]"
                )
                what = f"there is no such machine as {name!r}"
                yield _fault(what, right, Place(self._file, field=f"{place}, {key}"))
        margin, ends = self.margin(table), table.leader + table.trailer
        if table.width <= 2 * margin or table.frame <= 2 * margin + ends:
            what, right = "the margins leave no room", "give a larger sheet or smaller margins"
            yield _fault(what, right, Place(self._file, field=f"{place}, margin"))

    def _press(self, table: StockTable) -> MachineTable | None:
        if table.engraved:
            return None
        return self._first((MachineRole.PRESS,), table.press)

    def _cutter(self, table: StockTable) -> MachineTable | None:
        return self._first(
            _ENGRAVERS if table.engraved else _CUTTERS[table.roles[0]], table.machine
        )

    def _first(self, roles: tuple[MachineRole, ...], key: str) -> MachineTable | None:
        if key:
            return next((each for each in self._machines if each.key == key), None)
        fitting = (each for role in roles for each in self._machines if each.role is role)
        return next(fitting, None)

    def _merged(self, machines: Iterable[MachineTable]) -> PrinterTable:
        """The printer's keys with those of machines over them; named steps add up."""
        values: dict[str, Any] = {}
        for table in (self._printer, *machines):
            for name in table.model_fields_set & PrinterTable.model_fields.keys():
                value, before = getattr(table, name), values.get(name)
                if isinstance(value, dict) and isinstance(before, dict):
                    value = {**before, **value}
                values[name] = value
        return PrinterTable().model_copy(update=values)

    def _printer_faults(self, table: PrinterTable, where: str) -> Iterator[Finding]:
        def fault(key: str, what: str, right: str) -> Finding:
            return _fault(what, right, Place(self._file, field=f"{where}, {key}"))

        if table.bridge and table.bridge >= table.bridge_spacing:
            what = "bridges must be shorter than the distance between them"
            yield fault("bridge", what, "give shorter bridges or a larger bridge_spacing")
        if table.spots is Spots.PROCESS and not table.profile:
            what = "spots = 'process' needs the printer's profile"
            yield fault("spots", what, "name its ICC file with profile")
        if table.condition and not table.profile:
            what = "a printing condition belongs to a profile"
            yield fault("condition", what, "name its ICC file with profile")
        if table.mark_spacing < _SHORTEST_SPACING:
            what = f"marks {table.mark_spacing:g} mm apart are too near to each other"
            yield fault("mark_spacing", what, f"write {_SHORTEST_SPACING:g} mm or more")
        yield from (fault(*each) for each in name_faults(table.step_inks, table.step_layers))

    def _record(self, table: PrinterTable, title: str) -> Printer:
        profile = str(self._folder / table.profile) if table.profile else ""
        fields = {name: getattr(table, name) for name in PrinterTable.model_fields}
        changed = {
            "title": title,
            "marks": None if table.marks == "none" else table.marks,
            "profile": profile,
            "step_inks": _by_step(table.step_inks),
            "step_layers": _by_step(table.step_layers),
            "knives": {
                step: KnifeNote(**knife.model_dump())
                for step, knife in _by_step(table.knives).items()
            },
        }
        return Printer(**{**fields, **changed}, file=self._file)


def _by_step(names: Mapping[str, Any]) -> dict[Step, Any]:
    return {STEPS[title]: value for title, value in names.items()}


_OF_TABLE = frozenset({"longest_frame", "press", "machine"})


def _stock(table: StockTable, machines: _Machines) -> Stock:
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
    """The offcuts that make sense, and what is wrong with the others."""
    made: list[Stock] = []
    faults: list[Finding] = []
    for index, table in enumerate(tables):
        where = place_text(("offcuts", index), {"offcuts": [{}] * (index + 1)})
        whole = stocks.get(table.of)
        if whole is None:
            right = f"name one of {', '.join(stocks)}"
            what = f"there is no stock {table.of!r}"
            faults.append(_fault(what, right, Place(file, field=f"{where}, of")))
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
    """Stocks of one group differ in size, margin, zones, number and cost only."""
    faults: list[Finding] = []
    for key, stock in stocks.items():
        if not stock.group:
            continue
        place = Place(file, field=f"stock {key}, group")
        if stock.group in stocks:
            what = f"the group {stock.group!r} has the name of a stock"
            faults.append(_fault(what, "give the group another name", place))
        first = next(each for each in stocks.values() if each.group == stock.group)
        for name in _ALIKE:
            if getattr(first, name) != getattr(stock, name):
                word = "machine" if name == "printer" else name
                what = f"{key} has another {word} than {first.key} of the group {stock.group!r}"
                faults.append(_fault(what, "give both the same, or two groups", place))
        if (first.cost is None) != (stock.cost is None):
            what = f"of {first.key} and {key} one has a cost and the other has none"
            faults.append(_fault(what, "give all stocks of a group a cost, or none", place))
    return faults


def _fault(what: str, right: str, place: Place) -> Finding:
    """A fault of the shop's file."""
    return Finding("shop-file", Severity.UNREADABLE, what, right, place=place)
