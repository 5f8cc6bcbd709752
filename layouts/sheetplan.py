"""Hop four: parts of all faces, grouped by stock and build, nested onto sheets.

The nester knows sizes and demands in micrometers; this module turns parts into pieces, hands
equal sizes to it as one, has its answer judged, and gives the faces back to the slots.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from layouts.errors import OutputError
from layouts.face.common import stepped
from layouts.face.model import Part, PartRole
from layouts.facing import Faces, faces_of, faces_of_kits
from layouts.findings import Finding, Place, Severity
from layouts.nest import Nest, NestRequest, assign_faces, judge, nest, rows_count
from layouts.nest.kits import nest_kits
from layouts.request import UM, Wanted, Work, border_of
from layouts.stock import Stock, StockForm
from layouts.units import inches

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
    """One printed arrangement. ``cut`` numbers the cut file that it shares with others."""

    number: int
    cut: int
    copies: int
    width: float
    length: float
    placed: tuple[Placed, ...]
    stock: Stock

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
    offcuts that were at hand and would have saved nothing.
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

    @property
    def stock(self) -> Stock:
        """The stock, or the first of several: their form, border and gap are the same."""
        return self.stocks[0]

    @property
    def title(self) -> str:
        """The stocks that are used, in words."""
        used = dict.fromkeys(sheet.stock.title for sheet in self.sheets)
        return " and ".join(used) or self.stock.title

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


def plan_sheets(
    key: str,
    stocks: Sequence[Stock],
    role: PartRole,
    build: str,
    wanted: Iterable[Wanted],
    effort: int | None,
    together: bool = False,
    nester: Nester = nest,
) -> tuple[SheetPlan, tuple[Finding, ...]]:
    """Nest one group. Parts that find no room on the stocks come back as findings.

    ``together`` keeps the parts of each area together; else ``nester`` answers the request.

    Raises:
        OutputError: the nest failed its judge.
    """
    work = Work(stocks, wanted)
    plan = planned(key, role, build, work, effort, together, nester)
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
    effort: int | None,
    together: bool,
    nester: Nester,
) -> SheetPlan:
    """Nest one group's work on its stocks, judged.

    Raises:
        OutputError: the nest failed its judge.
    """
    request = work.request(effort)
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
    faults = judge(request, answer)
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
    first: Wanted, count: int, reason: str, plan: SheetPlan, size_um: tuple[int, int]
) -> Finding:
    """Parts that found no room: their size is too large, or the stock is used up."""
    titles = " or ".join(stock.title for stock in plan.stocks)
    size = f"{inches(first.part.size.width)} x {inches(first.part.size.height)}"
    place = Place(marker=first.name)
    if "used up" in reason:
        what = f"{count} of {size} are left when all of {titles} is used"
        right = "give more of it in the shop's file, or take another stock"
        return Finding("stock-used-up", Severity.UNREADABLE, what, right, place=place)
    need = " x ".join(inches(side / UM) for side in size_um)
    what, right = f"{size} does not fit {titles}", f"use a stock of at least {need}"
    if any(stock.keep_outs for stock in plan.stocks):
        what += " beside the zones to be kept free"
        right += ", with the zones where they are, or move the zones"
    return Finding("stock-too-small", Severity.UNREADABLE, what, right, place=place)
