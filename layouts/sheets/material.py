"""Which stocks take a build: a stock of vinyl takes no polyester."""

from __future__ import annotations

from collections.abc import Sequence

from layouts.sheets.stock import Shop, Stock
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.words import PartRole


def takes(stock: Stock, build: str) -> bool:
    """Whether a stock is of a build: each of its materials is among the build's words."""
    words = build.casefold()
    named = (stock.material, stock.adhesive, stock.laminate)
    return all(text.casefold() in words for text in named)


def stocks_of_build(
    named: Sequence[Stock], shop: Shop, role: PartRole, build: str, marker: str
) -> tuple[Stock, ...]:
    """The named stocks that are of the build, else the first others that say that they are.

    Raises:
        InputError: the shop has none of that build; ``marker`` is one that needs it.
    """
    fitting = tuple(stock for stock in named if takes(stock, build))
    if fitting:
        return fitting
    others = [each for each in shop.of_role(role) if each.material and takes(each, build)]
    if others:
        first = others[0]
        return tuple(each for each in others if each.group and each.group == first.group) or (
            first,
        )
    titles = " or ".join(f"{stock.title} ({_of(stock)})" for stock in named)
    what = f"it is made of {build}, and that is not {titles}"
    right = "add a stock of that material to the shop's file, or name another stock"
    place = Place(field=f"stocks.{role}", marker=marker)
    raise InputError([Finding("stock-material", Severity.UNREADABLE, what, right, place=place)])


def _of(stock: Stock) -> str:
    return ", ".join(text for text in (stock.material, stock.adhesive, stock.laminate) if text)
