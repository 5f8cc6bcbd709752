"""Hop four: parts of all faces, grouped by stock and build, nested onto sheets.

The nester knows sizes and demands in micrometers; this module turns parts into pieces, hands
equal sizes to it as one, has its answer judged, and gives the faces back to the slots.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeAlias

from layouts.face.common import stepped
from layouts.face.model import Part
from layouts.nest import (
    Lack,
    Nest,
    NestRequest,
    Piece,
    RollStock,
    Turn,
    assign_faces,
    cost_of,
    judge_nest,
    nest,
    rows_count,
)
from layouts.sheets.areas import nest_kits
from layouts.sheets.name_patterns import filled
from layouts.sheets.pieces import UM, Wanted, Work, border_of
from layouts.sheets.stock import Printer, Stock, StockForm
from layouts.terms.errors import OutputError
from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.units import inches
from layouts.terms.words import Backs, PartRole

__all__ = [
    "Placed",
    "Price",
    "Sheet",
    "SheetPlan",
    "Wanted",
    "border_of",
    "plan_sheets",
    "planned",
]

TWO_FACES = ", two faces"  # ends what parts are made of that are made on both sides
BACK = "-back"  # ends the names of files for the backs of sheets
Nester: TypeAlias = Callable[[NestRequest], Nest]


@dataclass(frozen=True, slots=True)
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


@dataclass(frozen=True, slots=True)
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


@dataclass(frozen=True, slots=True)
class Price:
    """What keeping areas together costs, in sheets or frames and in mm of their length."""

    sheets: int
    length: float


@dataclass(frozen=True, slots=True)
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


def plan_sheets(
    key: str,
    stocks: Sequence[Stock],
    role: PartRole,
    build: str,
    wanted: Iterable[Wanted],
    together: bool = False,
    nester: Nester = nest,
) -> tuple[SheetPlan, tuple[Finding, ...]]:
    """Nest one group. Parts that find no room on the stocks come back as findings.

    ``together`` keeps the parts of each area together; else ``nester`` answers the request.

    Raises:
        OutputError: the nest failed its judge.
    """
    work = Work(stocks, wanted)
    plan = planned(key, role, build, work, together, nester)
    left = tuple(
        _left_over(work.sizes[work.keys[rest.piece]][0], rest.count, rest.reason, plan, size)
        for rest in plan.nest.unplaced
        for size in [(rest.width_um, rest.height_um)]
    )
    return plan, left


def planned(
    key: str,
    role: PartRole,
    build: str,
    work: Work,
    together: bool,
    nester: Nester,
) -> SheetPlan:
    """Nest one group's work on its stocks, judged.

    Raises:
        OutputError: the nest failed its judge.
    """
    request = work.request()
    price = None
    if together:
        found = nest_kits(request, work.kits())
        answer = found.nest
        faced, faces = faces_of_kits(work, answer, found.kits)
        price = Price(found.price_sheets, found.price_length_um / UM)
    else:
        answer = faced = nester(request)
        faces = faces_of(work)
    _refuse_faulty(key, request, answer)
    return SheetPlan(
        key,
        work.stocks,
        role,
        build,
        {each.name: each.part for each in work.wanted},
        {each.name: each.quantity for each in work.wanted},
        tuple(_sheets(faced, faces, work.stocks, role)),
        request,
        answer,
        rows_count(faced, faces.of_piece),
        price,
    )


def _refuse_faulty(key: str, request: NestRequest, answer: Nest) -> None:
    """Nothing is made of a nest that its judge, who knows nothing of the nester, finds faulty."""
    faults = judge_nest(request, answer)
    if faults:
        raise OutputError(f"the nest of {key} failed its judge: {'; '.join(faults)}")


def _sheets(answer: Nest, faces: Faces, stocks: Sequence[Stock], role: PartRole) -> Iterable[Sheet]:
    by_key = {stock.key: stock for stock in stocks}
    for number, printed in enumerate(assign_faces(answer, faces.of_piece), start=1):
        arrangement = answer.arrangements[printed.arrangement]
        stock = by_key[arrangement.stock]
        border = border_of(stock, role)
        placed = tuple(
            Placed(name, slot.x_um / UM + border, slot.y_um / UM + border, slot.turned, area, spot)
            for slot, face in zip(arrangement.slots, printed.faces, strict=True)
            if face
            for name, area, spot in [faces.homes[face]]
        )
        yield Sheet(
            number,
            printed.arrangement + 1,
            printed.copies,
            arrangement.width_um / UM,
            stepped(arrangement.length_um / UM, stock.repeat),
            placed,
            stock,
        )


def _left_over(
    first: Wanted, count: int, reason: Lack, plan: SheetPlan, size_um: tuple[int, int]
) -> Finding:
    """Parts that found no room: their size is too large, or the stock is used up."""
    titles = " or ".join(stock.title for stock in plan.stocks)
    size = f"{inches(first.part.size.width)} x {inches(first.part.size.height)}"
    place = Place(marker=first.name)
    if reason is Lack.USED_UP:
        what = f"{count} of {size} are left when all of {titles} is used"
        right = "give more of it in the shop's file, or take another stock"
        return Finding("stock-used-up", Severity.UNREADABLE, what, right, place=place)
    need = " x ".join(inches(side / UM) for side in size_um)
    what, right = f"{size} does not fit {titles}", f"use a stock of at least {need}"
    if any(stock.keep_outs for stock in plan.stocks):
        what += " beside the zones to be kept free"
        right += ", with the zones where they are, or move the zones"
    return Finding("stock-too-small", Severity.UNREADABLE, what, right, place=place)


class Faces:
    """The faces of each piece by an id, and the part and position that each id is for."""

    def __init__(self) -> None:
        self.of_piece: dict[int, list[tuple[str, int]]] = defaultdict(list)
        self.homes: dict[str, tuple[str, str, int]] = {}

    def add(self, piece: int, name: str, count: int, area: str = "", number: int = 0) -> None:
        """So many of a part, for one position where areas are kept together."""
        text = f"{name}|{number}|{area}" if area else name
        self.homes[text] = name, area, number
        self.of_piece[piece].append((text, count))


def faces_of(work: Work) -> Faces:
    """Every face by the piece of its size."""
    faces = Faces()
    for index, size in enumerate(work.keys):
        for each in work.sizes[size]:
            faces.add(index, each.name, each.quantity)
    return faces


def faces_of_kits(work: Work, answer: Nest, kits: Sequence[Sequence[str]]) -> tuple[Nest, Faces]:
    """The nest with every size of every area as a piece of its own, and the faces of each."""
    numbers: dict[tuple[int, str], int] = {}
    faces = Faces()
    for index, size in enumerate(work.keys):
        for each in work.sizes[size]:
            for due in each.dues:
                piece = numbers.setdefault((index, due.area), len(numbers))
                faces.add(piece, each.name, due.count, due.area, due.number)
    arrangements = tuple(
        replace(
            arrangement,
            slots=tuple(
                replace(slot, piece=numbers[slot.piece, kit])
                for slot, kit in zip(arrangement.slots, names, strict=True)
            ),
        )
        for arrangement, names in zip(answer.arrangements, kits, strict=True)
    )
    return replace(answer, arrangements=arrangements), faces
