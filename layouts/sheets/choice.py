"""Match an order's parts to stocks, and find parts too large for them.

Nothing is nested here, so that `check` refuses what `order` would refuse without a nester.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from layouts.face.model import Part, part_text
from layouts.markers.gather import Marker
from layouts.order.order import Order
from layouts.order.position import first_place
from layouts.sheets.material import stocks_of_build
from layouts.sheets.stock import Shop, Stock, StockForm, Turning
from layouts.sheets.two_faced import turnable
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.units import MM_PER_INCH, inches
from layouts.terms.words import LongParts, PartRole

_SLACK = 1e-6  # mm


def stocks_for(
    markers: Iterable[Marker], order: Order, shop: Shop
) -> dict[PartRole, tuple[Stock, ...]]:
    """The stocks of every role that the markers need; every fault at once.

    Raises:
        InputError: the shop keeps no such stock, or not for that role.
    """
    names = {
        PartRole.FILM: order.stocks.film,
        PartRole.PLATE: order.stocks.plate,
        PartRole.TAG: order.stocks.tag,
    }
    roles = sorted({part.role for marker in markers for part in marker.face.parts})
    faults = [fault for role in roles for fault in _stock_faults(role, names[role], shop)]
    if faults:
        raise InputError(faults)
    return {role: shop.named(names[role]) for role in roles}


def _stock_faults(role: PartRole, name: str, shop: Shop) -> list[Finding]:
    found = shop.named(name)
    if found and all(role in stock.roles for stock in found):
        return []
    fitting = ", ".join(
        dict.fromkeys(
            name for each in shop.of_role(role) for name in (each.key, each.group) if name
        )
    )
    what = f"{name!r} is not a stock for {role}" if found else f"there is no stock {name!r}"
    right = f"use {fitting}, or add it to the shop's file"
    place = Place(field=f"stocks.{role}")
    return [Finding("stock-unknown", Severity.UNREADABLE, what, right, place=place)]


def misfits(
    markers: Sequence[Marker], order: Order, shop: Shop, file: str = ""
) -> tuple[Finding, ...]:
    """Parts too large for any sheet or frame of their stocks, by the first row that asks.

    Raises:
        InputError: the shop keeps no such stock, or not for that role, or not of that build, or
            it cannot be turned over.
    """
    named = stocks_for(markers, order, shop)
    split = order.long_parts is LongParts.SPLIT
    found: list[Finding] = []
    for marker in markers:
        for part in marker.face.parts:
            stocks = stocks_of_part(part, marker, named[part.role], shop)
            if not _has_room(part, stocks) and not (split and _splits(part, stocks)):
                found.append(_misfit(marker, part, stocks, file))
    return tuple(found)


def stocks_of_part(
    part: Part, marker: Marker, named: Sequence[Stock], shop: Shop
) -> tuple[Stock, ...]:
    """The stocks for a part: those the order names, otherwise those of its build.

    Raises:
        InputError: the shop has none of that build, or it cannot be turned over.
    """
    build = part_text(part, marker.plan.build)
    stocks = stocks_of_build(named, shop, part.role, build, marker.plan.name)
    return tuple(turnable(stock, part.backs) for stock in stocks)


def by_row(
    findings: Iterable[Finding], markers: Iterable[Marker], file: str = ""
) -> tuple[Finding, ...]:
    """Findings about a marker's id, by the first row that asks for it and by what it says."""
    by_id = {marker.id: marker for marker in markers}
    return tuple(
        _at_row(each, by_id[each.place.marker], file) if each.place.marker in by_id else each
        for each in findings
    )


def _at_row(finding: Finding, marker: Marker, file: str) -> Finding:
    place = replace(_place(marker, finding.place.field), file=file)
    return replace(finding, what=f"{marker.face.words}: {finding.what}", place=place)


def _place(marker: Marker, field: str) -> Place:
    positions = [placing.position for placing in marker.placings]
    return first_place(positions, field, marker.plan.name)


def _has_room(part: Part, stocks: Sequence[Stock]) -> bool:
    width, height = _with_border(part, stocks[0])
    turned = stocks[0].turning is Turning.QUARTER
    return any(
        (width <= across + _SLACK and height <= along + _SLACK)
        or (turned and height <= across + _SLACK and width <= along + _SLACK)
        for across, along in _rooms(stocks)
    )


def _with_border(part: Part, stock: Stock) -> tuple[float, float]:
    border = 2 * stock.border if part.role is PartRole.FILM else 0.0
    return part.size.width + border, part.size.height + border


def _rooms(stocks: Sequence[Stock]) -> Iterator[tuple[float, float]]:
    """Width and length of every free room, in mm."""
    if any(stock.keep_outs for stock in stocks):
        from layouts.sheets.long_film import longest_pieces

        yield from longest_pieces(stocks)
        return
    for stock in stocks:
        ends = stock.leader + stock.trailer if stock.form is StockForm.ROLL else 0.0
        yield stock.width - 2 * stock.margin, stock.length - 2 * stock.margin - ends


def _splits(part: Part, stocks: Sequence[Stock]) -> bool:
    from layouts.sheets.long_film import split_part

    pieces = split_part(part, stocks)
    return len(pieces) > 1 and all(_has_room(piece, stocks) for piece in pieces)


def _ruled_up(length: float) -> float:
    """Up to the next sixteenth of an inch, as a rule reads."""
    sixteenth = MM_PER_INCH / 16
    return math.ceil(length / sixteenth - 1e-6) * sixteenth


def _misfit(marker: Marker, part: Part, stocks: Sequence[Stock], file: str) -> Finding:
    titles = " or ".join(stock.title for stock in stocks)
    need = " x ".join(inches(_ruled_up(side)) for side in _with_border(part, stocks[0]))
    size = f"{inches(part.size.width)} x {inches(part.size.height)}"
    what = f"{marker.face.words} is {size} and does not fit {titles}"
    right = f"use a stock with {need} free"
    if any(stock.keep_outs for stock in stocks):
        right += " beside its keep-out zones, or move the zones"
    if part.role is PartRole.FILM:
        right += ", or split long parts (--long-parts split)"
    place = replace(_place(marker, f"stocks.{part.role}"), file=file)
    return Finding("stock-too-small", Severity.UNREADABLE, what, right, place=place)
