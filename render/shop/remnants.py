"""An inventory of remnants of stocks; a job takes from it and adds to it.

A CSV file with a row for each size: the stock that it was cut from, its material in words, width
and length with their unit, and the number of pieces. A rest of a roll that is longer than a frame
is an opened roll; any other remnant is a sheet.
"""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import TypeAlias

from layouts.sheets.sheetplan import Sheet, SheetPlan
from layouts.sheets.stock import LONGEST_FRAME, Shop, Stock, StockForm
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.units import UnitError, parse_length
from layouts.terms.values import frozen
from render.files.spreadsheet import plain_text, text_cell
from render.shop.offcuts import offcut_of
from render.shop.table_values import LONGEST_STOCK

HEADINGS = ("of", "material", "width", "length", "sheets")
_WORTH = 150.0  # a shorter remnant is waste, mm: common practice, no source
_STEP = 5.0  # remnants are rounded down to this, so that equal ones share a row, mm

InventoryRow: TypeAlias = tuple[str, str, float, float]
"""Key of the stock, words of the material, width and length in mm."""


@frozen
class Movement:
    """The remnants that a job takes from an inventory, and those that it adds."""

    taken: Counter[InventoryRow]
    left: Counter[InventoryRow]


@frozen
class Remnants:
    """The rows of an inventory: sheets and opened rolls."""

    offcuts: tuple[Stock, ...] = ()
    rolls: tuple[Stock, ...] = ()

    def added_to(self, shop: Shop) -> Shop:
        """The shop with the sheets added to the offcuts of its file."""
        return replace(shop, offcuts=(*shop.offcuts, *self.offcuts))

    def counts(self) -> Counter[InventoryRow]:
        """The number of pieces of each row."""
        counts: Counter[InventoryRow] = Counter()
        for stock in (*self.offcuts, *self.rolls):
            counts[_row(stock, stock.material)] += stock.sheets or 0
        return counts

    def movement(self, groups: Sequence[SheetPlan]) -> Movement:
        """The remnants that the sheets of a job take, and those that they leave."""
        moved = Movement(Counter(), Counter())
        mine = {stock.key: stock for stock in self.offcuts}
        opened = _Opened(self.rolls)
        for group in groups:
            for sheet in group.sheets:
                if sheet.stock.key in mine:
                    taken = mine[sheet.stock.key]
                    moved.taken[_row(taken, taken.material)] += sheet.copies
                rest = _rest(sheet, group)
                if rest is not None:
                    moved.left[_row(rest, group.material)] += sheet.copies
            opened.use(group)
        opened.settle(moved)
        return moved


_COUNT = re.compile(r"[0-9]{1,6}")


def inventory_text(counts: Mapping[InventoryRow, int]) -> str:
    """An inventory as CSV, its rows in order."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(HEADINGS)
    for (of, material, width, length), count in sorted(counts.items()):
        if count > 0:
            names = text_cell(of), text_cell(material)
            writer.writerow((*names, f"{width:g} mm", f"{length:.10g} mm", count))
    return text.getvalue()


def parsed_remnants(text: str, name: str, shop: Shop) -> Remnants:
    """The inventory in the text of a CSV file called ``name``.

    Raises:
        InputError: it is not CSV, or some rows are invalid; the error holds every fault.
    """
    try:
        reader = csv.DictReader(text.splitlines())
        rows = list(reader)
    except csv.Error as error:
        what = f"the remnants cannot be read ({error})"
        raise InputError([_fault(name, None, "", what, "export them as CSV")]) from error
    if not {*HEADINGS} <= {*(reader.fieldnames or HEADINGS)}:
        what = f"the remnants cannot be read (the first row is not {', '.join(HEADINGS)})"
        raise InputError([_fault(name, 1, "", what, "name an inventory, or a new file")])
    found: list[Stock] = []
    faults: list[Finding] = []
    for number, row in enumerate(rows, start=2):
        made = _remnant(row, number, name, shop)
        if isinstance(made, Stock):
            found.append(made)
        else:
            faults += made
    if faults:
        raise InputError(faults)
    return Remnants(
        tuple(each for each in found if each.form is StockForm.SHEET),
        tuple(each for each in found if each.form is StockForm.ROLL),
    )


class _Opened:
    """Rolls in use: those opened before the job, and those that it opens."""

    def __init__(self, rolls: Sequence[Stock]) -> None:
        self._before = [
            (_row(each, each.material), each.length)
            for each in rolls
            for _ in range(each.sheets or 0)
        ]
        self._used: dict[int, float] = {}
        self._fresh: list[tuple[InventoryRow, float]] = []

    def use(self, group: SheetPlan) -> None:
        """Print the group's frames, the longest first, each on the shortest roll that holds it."""
        frames = [sheet for sheet in group.sheets for _ in range(sheet.copies)]
        for sheet in sorted(frames, key=lambda sheet: -sheet.length):
            if sheet.stock.form is StockForm.ROLL and sheet.stock.roll_length:
                self._print(sheet, group.material)

    def _print(self, sheet: Sheet, material: str) -> None:
        fitting = [
            (self._length(index), index)
            for index, (row, _) in enumerate(self._before)
            if row[0] == sheet.stock.key
            and row[1].casefold() in material.casefold()
            and self._length(index) >= sheet.length
        ]
        if fitting:
            length, index = min(fitting)
            self._used[index] = length - sheet.length
            return
        row = sheet.stock.key, material, round(sheet.width, 3), sheet.stock.roll_length
        for index, (each, length) in enumerate(self._fresh):
            if each == row and length >= sheet.length:
                self._fresh[index] = row, length - sheet.length
                return
        self._fresh.append((row, sheet.stock.roll_length - sheet.length))

    def _length(self, index: int) -> float:
        return self._used.get(index, self._before[index][1])

    def settle(self, moved: Movement) -> None:
        """Take the opened rolls that were used, and return the rest of every roll in use."""
        for index in self._used:
            moved.taken[self._before[index][0]] += 1
        rests = [(self._before[index][0], length) for index, length in self._used.items()]
        for (of, material, width, _), length in (*rests, *self._fresh):
            rounded = _rounded(length)
            if rounded >= _WORTH:
                moved.left[of, material, width, rounded] += 1


def _remnant(
    row: dict[str, str | None], number: int, file: str, shop: Shop
) -> Stock | list[Finding]:
    """A row as an offcut, or what is wrong with it."""
    cells = {name: plain_text((row.get(name) or "").strip()) for name in HEADINGS}
    faults = [
        _fault(file, number, name, "the cell is empty", f"fill in the column {name!r}")
        for name in HEADINGS
        if not cells[name]
    ]
    whole = shop.stocks.get(cells["of"])
    if cells["of"] and whole is None:
        what, right = f"there is no stock {cells['of']!r}", f"name one of {', '.join(shop.stocks)}"
        faults.append(_fault(file, number, "of", what, right))
    sides: dict[str, float] = {}
    for name in ("width", "length"):
        try:
            sides[name] = parse_length(cells[name]) if cells[name] else 0.0
        except UnitError as error:
            what, _, right = str(error).partition("; ")
            faults.append(_fault(file, number, name, what, right))
            continue
        if sides[name] > LONGEST_STOCK:
            what = f"{cells[name]!r} is too large to be meant"
            faults.append(_fault(file, number, name, what, "write it as in 600 mm"))
    if cells["sheets"] and not _COUNT.fullmatch(cells["sheets"]):
        what = f"{cells['sheets']!r} is not a number of pieces"
        faults.append(_fault(file, number, "sheets", what, "write a whole number"))
    if faults or whole is None:
        return faults
    key = f"remnant-{number - 1}"
    if whole.form is StockForm.ROLL and sides["length"] > LONGEST_FRAME:
        length, count = sides["length"], int(cells["sheets"])
        own = replace(whole, key=key, offcut_of=whole.key, length=length, sheets=count)
        return replace(own, material=cells["material"])
    try:
        made = offcut_of(whole, key, sides["width"], sides["length"])
    except InputError as error:
        place = Place(file, row=number)
        return [replace(each, place=place) for each in error.findings]
    return replace(made, material=cells["material"], sheets=int(cells["sheets"]))


def _rest(sheet: Sheet, group: SheetPlan) -> Stock | None:
    """The remnant of a sheet below its lowest part, if worth keeping."""
    if sheet.stock.form is not StockForm.SHEET:
        return None
    bottom = max(_bottom(sheet, group), default=0.0)
    length = sheet.length - bottom - sheet.stock.gap
    if length < max(_WORTH, 2 * sheet.stock.margin):
        return None
    rounded = _rounded(length)
    whole = sheet.stock.offcut_of or sheet.stock.key
    return replace(sheet.stock, key=whole, width=sheet.width, length=rounded, offcut_of=whole)


def _bottom(sheet: Sheet, group: SheetPlan) -> Iterator[float]:
    for placed in sheet.placed:
        size = group.parts[placed.name].size
        yield placed.y + (size.width if placed.turned else size.height) + sheet.stock.border


def _rounded(length: float) -> float:
    return int(length / _STEP + 1e-9) * _STEP


def _row(stock: Stock, material: str) -> InventoryRow:
    return stock.offcut_of, material, round(stock.width, 3), round(stock.length, 3)


def _fault(file: str, row: int | None, field: str, what: str, right: str) -> Finding:
    place = Place(file, row=row, field=field)
    return Finding("remnants", Severity.UNREADABLE, what, right, place=place)
