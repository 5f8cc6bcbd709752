"""Remnants: an inventory of what is left of stocks, from which a job takes and to which it gives.

A CSV file with a row for each size: the stock that it was cut from, words of its material, width
and length with their unit, and how many there are.
"""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from layouts.sheets.sheetplan import Sheet, SheetPlan
from layouts.sheets.stock import Shop, Stock, StockForm
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.units import UnitError, parse_length
from render.shop.offcuts import offcut_of

HEADINGS = ("of", "material", "width", "length", "sheets")
_WORTH = 150.0  # a shorter rest is waste, mm: common practice, no source


@dataclass(frozen=True, slots=True)
class Remnants:
    """The rows of an inventory, as the shop's offcuts."""

    offcuts: tuple[Stock, ...]

    def added_to(self, shop: Shop) -> Shop:
        """The shop with these offcuts beside those of its file."""
        return replace(shop, offcuts=(*shop.offcuts, *self.offcuts))

    def after(self, groups: Sequence[SheetPlan]) -> bytes:
        """The inventory when the job is made: less what it took, more what it left."""
        counts: Counter[tuple[str, str, float, float]] = Counter()
        for stock in self.offcuts:
            counts[_row(stock, stock.material)] += stock.sheets or 0
        mine = {stock.key: stock for stock in self.offcuts}
        for group in groups:
            for sheet in group.sheets:
                if sheet.stock.key in mine:
                    taken = mine[sheet.stock.key]
                    counts[_row(taken, taken.material)] -= sheet.copies
                rest = _rest(sheet, group)
                if rest is not None:
                    counts[_row(rest, group.build)] += sheet.copies
        text = io.StringIO()
        writer = csv.writer(text, lineterminator="\n")
        writer.writerow(HEADINGS)
        for (of, material, width, length), count in sorted(counts.items()):
            if count > 0:
                writer.writerow((of, material, f"{width:g} mm", f"{length:g} mm", count))
        return text.getvalue().encode()


def read_remnants(path: Path, shop: Shop) -> Remnants:
    """The inventory in a CSV file; a file that is not there yet is an empty one.

    Raises:
        InputError: it cannot be read, or rows of it make no sense; every fault is told.
    """
    if not path.exists():
        return Remnants(())
    try:
        rows = list(csv.DictReader(path.read_text("utf-8-sig").splitlines()))
    except (OSError, UnicodeDecodeError, csv.Error) as error:
        reason = getattr(error, "strerror", None) or "it is not CSV text in UTF-8"
        what = f"the remnants cannot be read ({reason})"
        raise InputError([_fault(path.name, None, "", what, "export it as CSV")]) from error
    found: list[Stock] = []
    faults: list[Finding] = []
    for number, row in enumerate(rows, start=2):
        made = _remnant(row, number, path.name, shop)
        if isinstance(made, Stock):
            found.append(made)
        else:
            faults += made
    if faults:
        raise InputError(faults)
    return Remnants(tuple(found))


def _remnant(
    row: dict[str, str | None], number: int, file: str, shop: Shop
) -> Stock | list[Finding]:
    """A row as an offcut, or what is wrong with it."""
    cells = {name: (row.get(name) or "").strip() for name in HEADINGS}
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
    if cells["sheets"] and not cells["sheets"].isdigit():
        what = f"{cells['sheets']!r} is not a number of pieces"
        faults.append(_fault(file, number, "sheets", what, "write a whole number"))
    if faults or whole is None:
        return faults
    try:
        made = offcut_of(whole, f"remnant-{number - 1}", sides["width"], sides["length"])
    except InputError as error:
        place = Place(file, row=number)
        return [replace(each, place=place) for each in error.findings]
    return replace(made, material=cells["material"], sheets=int(cells["sheets"]))


def _rest(sheet: Sheet, group: SheetPlan) -> Stock | None:
    """What is left of a sheet below its lowest part, where it is worth keeping."""
    if sheet.stock.form is not StockForm.SHEET:
        return None
    bottom = max(_bottom(sheet, group), default=0.0)
    length = sheet.length - bottom - sheet.stock.gap
    if length < max(_WORTH, 2 * sheet.stock.margin):
        return None
    rounded = int(length / 5) * 5.0  # whole steps of 5 mm, so that equal rests share a row
    whole = sheet.stock.offcut_of or sheet.stock.key
    return replace(sheet.stock, key=whole, width=sheet.width, length=rounded, offcut_of=whole)


def _bottom(sheet: Sheet, group: SheetPlan) -> Iterator[float]:
    for placed in sheet.placed:
        size = group.parts[placed.name].size
        yield placed.y + (size.width if placed.turned else size.height) + sheet.stock.border


def _row(stock: Stock, material: str) -> tuple[str, str, float, float]:
    return stock.offcut_of, material, round(stock.width, 3), round(stock.length, 3)


def _fault(file: str, row: int | None, field: str, what: str, right: str) -> Finding:
    place = Place(file, row=row, field=field)
    return Finding("remnants", Severity.UNREADABLE, what, right, place=place)
