"""The result of hop four: the parts of one build nested on sheets, with the proven bound."""

from __future__ import annotations

import re
from collections.abc import Mapping

from layouts.face.model import Part
from layouts.nest import (
    Nest,
    NestRequest,
    Piece,
    RollStock,
    Turn,
    cost_of,
)
from layouts.sheets.name_patterns import filled
from layouts.sheets.pieces import UM
from layouts.sheets.stock import Printer, Stock, StockForm
from layouts.terms.values import frozen
from layouts.terms.words import Backs, PartRole

TWO_FACES = ", two faces"  # ends what parts are made of that are made on both sides
BACK = "-back"  # ends the names of files for the backs of sheets


@frozen
class Placed:
    """One part on a sheet: the top-left corner of its trim box, in mm.

    ``area`` and ``number`` name its position where markers are kept together by area.
    """

    name: str
    x: float
    y: float
    turned: bool
    area: str = ""
    number: int = 0


@frozen
class Sheet:
    """One printed arrangement; ``nested`` numbers the nest's, which others may share."""

    number: int
    nested: int
    copies: int
    width: float
    length: float
    placed: tuple[Placed, ...]
    stock: Stock

    @property
    def cut(self) -> int:
        """The number of its cut file: words are cut where it is engraved, so no other shares it."""
        return self.number if self.stock.engraved else self.nested

    @property
    def areas(self) -> tuple[str, ...]:
        """The areas whose markers were kept together here."""
        return tuple(sorted({each.area for each in self.placed if each.area}))


@frozen
class Price:
    """What keeping areas together costs, in sheets or frames and in mm of their length."""

    sheets: int
    length: float


@frozen
class SheetPlan:
    """All sheets of one build on one stock, or on stocks alike but for size, margin and cost.

    ``build`` says in words what film, laminate and adhesive, or what plate, the group is made
    of. ``nest`` is the nester's answer to ``request``, with its proven bound. ``by_rows`` counts
    the distinct printed sheets that filling in faces row by row would have given. ``shelved`` are
    offcuts that were at hand and would have saved nothing. ``job`` is the order that it is for.
    """

    key: str
    stocks: tuple[Stock, ...]
    role: PartRole
    build: str
    parts: Mapping[str, Part]
    quantities: Mapping[str, int]
    sheets: tuple[Sheet, ...]
    request: NestRequest
    nest: Nest
    by_rows: int = 0
    price: Price | None = None
    shelved: tuple[Stock, ...] = ()
    job: str = ""

    @property
    def printer(self) -> Printer:
        """The shop's machines for the group."""
        return self.stock.printer

    @property
    def named(self) -> Mapping[str, object]:
        """What the shop's patterns may say of the group; a name for files is ``job`` made plain."""
        return {
            "job": re.sub(r"[^A-Za-z0-9]+", "-", self.job).strip("-") or "job",
            "group": self.key,
            "build": self.build,
            "sheets": len(self.sheets),
            "copies": self.copies,
        }

    def print_name(self) -> str:
        """The name of the print file, by the shop's pattern."""
        return self.printer.print_names.format(**self.named)

    def cut_name(self, cut: int) -> str:
        """The name of a cut file, by the shop's pattern."""
        copies = sum(sheet.copies for sheet in self.sheets if sheet.cut == cut)
        return self.printer.cut_names.format(**{**self.named, "sheet": cut, "copies": copies})

    def document_title(self, order: str) -> str:
        """The title of the print file in a queue, by the shop's pattern."""
        values = {**self.named, "order": order, "stock": self.title}
        return filled(self.printer.titles, values, " | ")

    @property
    def stock(self) -> Stock:
        """The stock, or the first of several: their form, border and gap are the same."""
        return self.stocks[0]

    @property
    def backs(self) -> Backs:
        """How its sheets are turned over for their backs, or that there are none."""
        return next((part.backs for part in self.parts.values()), Backs.SECOND_TAG)

    @property
    def material(self) -> str:
        """What its sheets are made of, however many of their sides are used."""
        return self.build.removesuffix(TWO_FACES)

    @property
    def two_faced(self) -> bool:
        """Whether its sheets are made on both sides."""
        return self.backs is not Backs.SECOND_TAG

    @property
    def title(self) -> str:
        """The stocks that are used, in words."""
        used = dict.fromkeys(sheet.stock.title for sheet in self.sheets)
        title = " and ".join(used) or self.stock.title
        return ", ".join(text for text in (title, self.stock.base_text) if text)

    @property
    def is_roll(self) -> bool:
        """Whether length counts, not sheets."""
        return self.stock.form is StockForm.ROLL

    @property
    def is_offcut(self) -> bool:
        """Whether it is what was left of stocks."""
        return bool(self.stock.offcut_of)

    @property
    def copies(self) -> int:
        """Sheets to print in all."""
        return sum(sheet.copies for sheet in self.sheets)

    @property
    def cost(self) -> int:
        """What the nest costs in the request's unit: sheets or micrometers of roll, by cost."""
        return cost_of(self.request, self.nest)

    @property
    def forced_length(self) -> float:
        """The roll length that the longest part asks for which cannot lie across the roll, mm.

        Zero for sheets and for several stocks.
        """
        stocks = self.request.stocks
        if len(stocks) != 1 or not isinstance(stock := stocks[0], RollStock):
            return 0.0
        margins = stock.margins
        room = stock.width_um - margins.left_um - margins.right_um
        ends = margins.top_um + margins.bottom_um + stock.leader_um + stock.trailer_um
        left = {rest.piece for rest in self.nest.unplaced}
        longest = max(
            (
                _least_along(piece, room)
                for index, piece in enumerate(self.request.pieces)
                if piece.demand and index not in left
            ),
            default=0,
        )
        return (longest + ends) / UM if longest else 0.0

    @property
    def used_share(self) -> float:
        """Area of the parts with their borders over that of the stock used; 0 where none is."""
        used_um2, stock_um2 = self.nest.utilization
        return used_um2 / stock_um2 if stock_um2 else 0.0


def _least_along(piece: Piece, room: int) -> int:
    """The least length that a piece takes along a roll with so much room across it."""
    ways = [(piece.width_um, piece.height_um)]
    if piece.turn is Turn.FREE:
        ways.append((piece.height_um, piece.width_um))
    return min((along for across, along in ways if across <= room), default=0)
