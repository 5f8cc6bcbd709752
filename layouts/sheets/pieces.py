"""Parts and stocks in the nester's terms: whole micrometers, equal sizes as one piece."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence

from layouts.face.model import Part
from layouts.markers.positions import Hanging
from layouts.nest import (
    Cutting,
    KeepOut,
    Margins,
    NestRequest,
    Piece,
    RollStock,
    SheetStock,
    Turn,
)
from layouts.sheets.stock import Knife, Stock, StockForm, Turning
from layouts.terms.values import frozen
from layouts.terms.words import PartRole

UM = 1000


@frozen
class Wanted:
    """A part to be made, with its count. ``name`` is the marker's id, unique with the role.

    ``dues`` are the numbered places that it is for, where markers are kept together by area.
    """

    name: str
    part: Part
    quantity: int
    dues: tuple[Hanging, ...] = ()


Size = tuple[int, int, bool]
"""Width and height with the border, in micrometers, and whether the piece is a disc."""

_TURNS = {Turning.QUARTER: Turn.FREE, Turning.HALF: Turn.HALF, Turning.NONE: Turn.LOCKED}
_CUTTING = {Knife.CONTOUR: Cutting.FREE, Knife.STRAIGHT: Cutting.GUILLOTINE}
_CENTS = 100


def piece_name(marker: str, number: int) -> str:
    """The name of one piece of a marker's long film."""
    return f"{marker}-{number}"


def named_piece(marker: str, number: int, of: int) -> str:
    """The name of one piece of a marker whose pieces each have an id; names sort by number."""
    return f"{marker}.{number:0{len(str(of))}d}"


def marker_of(name: str) -> str:
    """The id of the marker that a part or a piece by this name is of."""
    return name.partition("-")[0].partition(".")[0]


def border_of(stock: Stock, role: PartRole) -> float:
    """What a part takes around its trim: the border for film, nothing for plate and tag."""
    return stock.border if role is PartRole.FILM else 0.0


def size_of(part: Part, stock: Stock) -> Size:
    """What the nester has to find room for."""
    border = border_of(stock, part.role)
    return (
        round((part.size.width + 2 * border) * UM),
        round((part.size.height + 2 * border) * UM),
        part.role is not PartRole.FILM and part.round,
    )


def nest_request(
    sizes: Sequence[tuple[Size, Sequence[int]]], stocks: Sequence[Stock]
) -> NestRequest:
    """Sizes with their faces' quantities; the stocks differ only in size, margin and cost."""
    first = stocks[0]
    pieces = tuple(
        Piece(
            f"{width}x{height}", width, height, sum(lots), _TURNS[first.turning], disc, tuple(lots)
        )
        for (width, height, disc), lots in sizes
    )
    costs = _costs(stocks)
    return NestRequest(
        pieces,
        tuple(_nest_stock(stock, cost) for stock, cost in zip(stocks, costs, strict=True)),
        round(first.gap * UM),
        _CUTTING[first.knife],
    )


def _costs(stocks: Sequence[Stock]) -> list[int]:
    """Whole-number costs: 1 for a single stock; otherwise as the shop gives them, or by area.

    A sheet's cost is for the sheet, a roll's for its length; areas count in square centimeters.
    """
    if len(stocks) == 1:
        return [1]
    if all(stock.cost is not None for stock in stocks):
        return [max(1, round((stock.cost or 0.0) * _CENTS)) for stock in stocks]
    if stocks[0].form is StockForm.ROLL:
        return [max(1, round(stock.width)) for stock in stocks]
    return [max(1, round(stock.width * stock.length / 100)) for stock in stocks]


def _nest_stock(stock: Stock, cost: int) -> SheetStock | RollStock:
    margin = round(stock.margin * UM)
    margins = Margins(margin, margin, margin, margin)
    width, length = round(stock.width * UM), round(stock.length * UM)
    zones = tuple(
        KeepOut(
            round(zone.x * UM), round(zone.y * UM), round(zone.width * UM), round(zone.height * UM)
        )
        for zone in stock.keep_outs
    )
    if stock.form is StockForm.ROLL:
        leader, trailer = round(stock.leader * UM), round(stock.trailer * UM)
        return RollStock(
            stock.key, width, margins, length, leader, trailer, zones, cost, stock.sheets
        )
    return SheetStock(stock.key, width, length, margins, zones, cost, stock.sheets)


class Work:
    """The demand by name and by size; sizes are in the order of the request's pieces."""

    def __init__(self, stocks: Sequence[Stock], wanted: Iterable[Wanted]) -> None:
        self.stocks = tuple(stocks)
        self.wanted = sorted(wanted, key=lambda each: each.name)
        self.sizes: dict[Size, list[Wanted]] = defaultdict(list)
        for each in self.wanted:
            self.sizes[size_of(each.part, stocks[0])].append(each)
        self.keys = sorted(self.sizes, reverse=True)

    def request(self) -> NestRequest:
        """The same for the nester."""
        sizes = [(key, [each.quantity for each in self.sizes[key]]) for key in self.keys]
        return nest_request(sizes, self.stocks)

    def kits(self) -> dict[str, dict[int, int]]:
        """For each area the pieces by index, with their number."""
        kits: dict[str, dict[int, int]] = {}
        dues = (
            (n, due)
            for n, key in enumerate(self.keys)
            for each in self.sizes[key]
            for due in each.dues
        )
        for index, due in sorted(dues, key=lambda each: (each[1].area, each[0])):
            kit = kits.setdefault(due.area, {})
            kit[index] = kit.get(index, 0) + due.count
        return kits
