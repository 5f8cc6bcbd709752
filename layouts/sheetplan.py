"""Hop four: parts of all faces, grouped by stock and build, nested onto sheets.

The nester knows sizes and demands in micrometres; this module turns parts into pieces, hands
equal sizes to it as one, and gives the faces back to the slots.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from layouts.face.common import stepped
from layouts.face.model import Part, PartRole
from layouts.findings import Finding, Place, Severity
from layouts.nest import (
    Arrangement,
    Cutting,
    Margins,
    Nest,
    NestRequest,
    Piece,
    RollStock,
    SheetStock,
    Turn,
    nest,
)
from layouts.nest.model import DEFAULT_EFFORT
from layouts.nest.slots import assign_faces
from layouts.stock import Knife, Stock, StockForm, Turning
from layouts.units import inches

_UM = 1000


@dataclass(frozen=True, slots=True)
class Wanted:
    """A part to be made, so many times. ``name`` is the marker's id, unique with the role."""

    name: str
    part: Part
    quantity: int


@dataclass(frozen=True, slots=True)
class Placed:
    """One part on a sheet: the top-left corner of its trim box, in mm."""

    name: str
    x: float
    y: float
    turned: bool


@dataclass(frozen=True, slots=True)
class Sheet:
    """One printed arrangement. ``cut`` numbers the cut file that it shares with others."""

    number: int
    cut: int
    copies: int
    width: float
    length: float
    placed: tuple[Placed, ...]


@dataclass(frozen=True, slots=True)
class SheetPlan:
    """All sheets of one stock and build.

    ``build`` says in words what film, laminate and adhesive, or what plate, the group is made
    of. ``nest`` is the nester's own answer with its proven bound.
    """

    key: str
    stock: Stock
    role: PartRole
    build: str
    parts: Mapping[str, Part]
    quantities: Mapping[str, int]
    sheets: tuple[Sheet, ...]
    nest: Nest

    @property
    def is_roll(self) -> bool:
        """Whether length counts, not sheets."""
        return self.stock.form is StockForm.ROLL

    @property
    def copies(self) -> int:
        """Sheets to print in all."""
        return sum(sheet.copies for sheet in self.sheets)


def plan_sheets(
    key: str, stock: Stock, role: PartRole, build: str, wanted: Iterable[Wanted], effort: int | None
) -> tuple[SheetPlan, tuple[Finding, ...]]:
    """Nest one group. A part that fits no sheet of the stock comes back as a finding."""
    listed = sorted(wanted, key=lambda each: each.name)
    sizes: dict[tuple[int, int, bool], list[Wanted]] = defaultdict(list)
    for each in listed:
        sizes[_size_um(each.part, stock)].append(each)
    keys = sorted(sizes, reverse=True)
    pieces = tuple(
        Piece(
            f"{width_um}x{height_um}",
            width_um,
            height_um,
            sum(each.quantity for each in sizes[width_um, height_um, disc]),
            _TURNS[stock.turning],
            disc,
        )
        for width_um, height_um, disc in keys
    )
    answer = nest(
        NestRequest(
            pieces,
            (_nest_stock(stock),),
            round(stock.gap * _UM),
            _CUTTING[stock.knife],
            DEFAULT_EFFORT if effort is None else effort,
        )
    )
    faces = {
        index: [(each.name, each.quantity) for each in sizes[size]]
        for index, size in enumerate(keys)
    }
    sheets = tuple(_sheets(answer, faces, stock, role))
    findings = tuple(
        _too_large(sizes[keys[left.piece]][0], left.width_um, left.height_um, stock)
        for left in answer.unplaced
    )
    plan = SheetPlan(
        key,
        stock,
        role,
        build,
        {each.name: each.part for each in listed},
        {each.name: each.quantity for each in listed},
        sheets,
        answer,
    )
    return plan, findings


_TURNS = {Turning.QUARTER: Turn.FREE, Turning.HALF: Turn.HALF, Turning.NONE: Turn.LOCKED}
_CUTTING = {Knife.CONTOUR: Cutting.FREE, Knife.STRAIGHT: Cutting.GUILLOTINE}


def border_of(stock: Stock, role: PartRole) -> float:
    """What a part takes around its trim: the border for film, nothing for plate and tag."""
    return stock.border if role is PartRole.FILM else 0.0


def _size_um(part: Part, stock: Stock) -> tuple[int, int, bool]:
    border = border_of(stock, part.role)
    disc = part.role is not PartRole.FILM and part.round
    return (
        round((part.size.width + 2 * border) * _UM),
        round((part.size.height + 2 * border) * _UM),
        disc,
    )


def _nest_stock(stock: Stock) -> SheetStock | RollStock:
    margin = round(stock.margin * _UM)
    margins = Margins(margin, margin, margin, margin)
    width_um, length_um = round(stock.width * _UM), round(stock.length * _UM)
    if stock.form is StockForm.ROLL:
        leader_um, trailer_um = round(stock.leader * _UM), round(stock.trailer * _UM)
        return RollStock(
            stock.key, width_um, margins, length_um, leader_um, trailer_um, limit=stock.sheets
        )
    return SheetStock(stock.key, width_um, length_um, margins, limit=stock.sheets)


def _sheets(
    answer: Nest, faces: Mapping[int, list[tuple[str, int]]], stock: Stock, role: PartRole
) -> Iterable[Sheet]:
    border = border_of(stock, role)
    for number, printed in enumerate(assign_faces(answer, faces), start=1):
        arrangement: Arrangement = answer.arrangements[printed.arrangement]
        placed = tuple(
            Placed(name, slot.x_um / _UM + border, slot.y_um / _UM + border, slot.turned)
            for slot, name in zip(arrangement.slots, printed.faces, strict=True)
            if name
        )
        yield Sheet(
            number,
            printed.arrangement + 1,
            printed.copies,
            arrangement.width_um / _UM,
            stepped(arrangement.length_um / _UM, stock.repeat),
            placed,
        )


def _too_large(wanted: Wanted, width_um: int, height_um: int, stock: Stock) -> Finding:
    size = wanted.part.size
    need = f"{inches(width_um / _UM)} x {inches(height_um / _UM)}"
    return Finding(
        "stock-too-small",
        Severity.UNREADABLE,
        f"{inches(size.width)} x {inches(size.height)} does not fit {stock.title}",
        f"use a stock of at least {need}",
        place=Place(marker=wanted.name),
    )
