"""The machines of a shop's file, and the ones that make each stock."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

from layouts.drawing.document import Step
from layouts.sheets.stock import KnifeNote, MachineRole, Printer, Spots
from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.words import PartRole
from render.shop.shop_tables import MachineTable, PrinterTable, ShopTables, StockTable
from render.shop.step_names import name_faults
from render.shop.table_values import STEPS

_MARGIN = 12.7
_SHORTEST_SPACING = 100.0  # between marks, mm: a closer spacing leaves no room for quiet zones
_CUTTERS: Mapping[PartRole, tuple[MachineRole, ...]] = {
    PartRole.FILM: (MachineRole.FILM_CUTTER,),
    PartRole.PLATE: (MachineRole.ROUTER,),
    PartRole.TAG: (MachineRole.ROUTER, MachineRole.FILM_CUTTER),
}
_ENGRAVERS = (MachineRole.ENGRAVER, MachineRole.ROUTER)


class Machines:
    """The machines of a file, and the ones that make each stock."""

    def __init__(self, own: ShopTables, file: str, folder: Path) -> None:
        self._file, self._folder = file, folder
        self._printer = own.printer
        self._machines = own.machines
        self.base = self._record(own.printer, own.printer.title)

    def printer(self, table: StockTable) -> Printer:
        """Press and cutter of a stock combined; the cutter's keys override the press's."""
        chosen = [each for each in (self._press(table), self._cutter(table)) if each is not None]
        if not chosen:
            return self.base
        titles = dict.fromkeys(each.title for each in chosen if "title" in each.model_fields_set)
        return self._record(self._merged(chosen), " and ".join(titles) or self.base.title)

    def margin(self, table: StockTable) -> float:
        """The stock's margin, otherwise that of a machine that makes it."""
        named = [each.margin for each in (self._cutter(table), self._press(table)) if each]
        return next((each for each in (table.margin, *named) if each is not None), _MARGIN)

    def faults(self) -> Iterator[Finding]:
        """What is wrong with the printer and with each machine over it."""
        yield from self._printer_faults(self._printer, "printer")
        for number, machine in enumerate(self._machines, start=1):
            where = f"machines {number} ({machine.key})"
            yield from self._printer_faults(self._merged([machine]), where)

    def stock_faults(self, table: StockTable) -> Iterator[Finding]:
        """Machines of the wrong kind that a stock names, and stocks without usable area."""
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
                yield shop_fault(what, right, Place(self._file, field=f"{place}, {key}"))
        margin, ends = self.margin(table), table.leader + table.trailer
        if table.width <= 2 * margin or table.frame <= 2 * margin + ends:
            what, right = "the margins leave no room", "give a larger sheet or smaller margins"
            yield shop_fault(what, right, Place(self._file, field=f"{place}, margin"))

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
        """The printer's keys overridden by those of the machines; named steps are combined."""
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
            return shop_fault(what, right, Place(self._file, field=f"{where}, {key}"))

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


def shop_fault(what: str, right: str, place: Place) -> Finding:
    """A fault of the shop's file."""
    return Finding("shop-file", Severity.UNREADABLE, what, right, place=place)
