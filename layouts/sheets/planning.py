"""Hop four for one group: parts of all faces of one build, nested onto sheets.

The nester knows sizes and demands in micrometers; this module turns parts into pieces, hands
equal sizes to it as one, has its answer judged, and gives the faces back to the slots.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from typing import TypeAlias

from layouts.face.common import round_up_to_step
from layouts.nest import (
    Lack,
    Nest,
    NestRequest,
    assign_faces,
    judge_nest,
    nest,
    rows_count,
)
from layouts.sheets.areas import nest_kits
from layouts.sheets.pieces import UM, Wanted, Work, border_of
from layouts.sheets.sheetplan import Placed, Price, Sheet, SheetPlan
from layouts.sheets.stock import Stock
from layouts.terms.errors import OutputError
from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.units import inches
from layouts.terms.words import PartRole

Nester: TypeAlias = Callable[[NestRequest], Nest]


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
            round_up_to_step(arrangement.length_um / UM, stock.repeat),
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
    """The nest with every size of every area as a separate piece, and the faces of each."""
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
