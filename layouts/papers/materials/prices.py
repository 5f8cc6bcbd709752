"""Prices by material, and the costs that they give."""

from __future__ import annotations

from dataclasses import replace

from layouts.papers.materials.model import Line, Material, Unit
from layouts.schemes.rows import Faults, Row, Table
from layouts.terms.errors import InputError
from layouts.terms.values import frozen


@frozen
class Price:
    """The price of one unit of a material; an empty ``item`` means any of that material."""

    material: Material
    item: str
    unit: Unit
    amount: float


@frozen
class Prices:
    """A price list in one currency."""

    currency: str
    prices: tuple[Price, ...]

    def of(self, line: Line) -> Price | None:
        """The price of a line: of the exact item, otherwise of any of its material."""
        fitting = [price for price in self.prices if price.material is line.material]
        named = [price for price in fitting if _same(price.item, line.item)]
        return next(iter([*named, *(price for price in fitting if not price.item)]), None)


def _same(one: str, two: str) -> bool:
    return one.casefold() == two.casefold()


def price_line(line: Line, prices: Prices) -> Line:
    """The line with its cost to the cent, or the reason it has none."""
    price = prices.of(line)
    if price is None:
        return replace(line, lack="no price is given")
    amount = line.amount(price.unit)
    if amount is None:
        units = ", ".join(unit for unit, _ in line.amounts)
        lack = f"the price is per {price.unit}, and it is counted in {units}"
        return replace(line, unit=price.unit, price=price.amount, lack=lack)
    cost = round(amount * price.amount, 2)
    return replace(line, unit=price.unit, price=price.amount, cost=cost)


def build_prices(values: Table, origin: str) -> Prices:
    """The price list that a file's tables describe.

    A ``currency`` and rows ``[[prices]]`` of ``material``, ``unit``, ``price`` and, where it
    applies to only one item, its ``item``.

    Raises:
        InputError: with every fault.
    """
    faults = Faults(origin, "prices")
    top = Row(values, "", faults)
    currency = top.text("currency")
    prices: list[Price] = []
    for row in top.children("prices", "number"):
        price = _price(row)
        if price is None:
            continue
        if any(each.material is price.material and _same(each.item, price.item) for each in prices):
            what = f"{price.item or price.material} has two prices"
            row.fault("duplicate", "item" if price.item else "material", what, "keep one of them")
        prices.append(price)
    if not top.has("prices"):
        top.fault("missing", "prices", "no price is given", "write [[prices]]")
    top.close()
    if faults.found:
        raise InputError(faults.found)
    return Prices(currency, tuple(prices))


def _price(row: Row) -> Price | None:
    material, unit = row.word("material", Material), row.word("unit", Unit)
    for key, word, kinds in (("material", material, Material), ("unit", unit, Unit)):
        if word is None and not row.has(key):
            row.fault("missing", key, f"{key!r} is missing", f"write one of {', '.join(kinds)}")
    item, amount = row.text("item", ""), row.number("price")
    if amount < 0:
        row.fault("value", "price", f"{amount:g} is not a price", "write zero or more")
    row.close()
    if material is None or unit is None:
        return None
    return Price(material, item.strip(), unit, amount)
