"""Every part of an order on sheets: the stocks that it asks for, offcuts first."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial
from typing import TypeAlias

from layouts.face.model import Part, part_text
from layouts.markers.gather import Marker
from layouts.markers.positions import Hanging, walks
from layouts.nest import Nest, NestRequest, compiles, nest, warm
from layouts.order.order import Order
from layouts.sheets.choice import stocks_for, stocks_of_part
from layouts.sheets.film import on_stock
from layouts.sheets.long_film import joints, split_part
from layouts.sheets.offcuts import Group, plan_group
from layouts.sheets.pieces import Wanted, Work, named_piece, piece_name
from layouts.sheets.sheetplan import TWO_FACES, SheetPlan
from layouts.sheets.stock import Shop, Stock
from layouts.sheets.two_faced import turnable
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.units import inches
from layouts.terms.values import frozen
from layouts.terms.words import LongParts, PartRole, Together

_WORTH_SHARING = 200  # parts, from which a second process saves more than it costs

# By the placing's identity: its rank on the walk through all areas, and the place.
_Dues: TypeAlias = dict[int, tuple[int, Hanging]]
_NO_DUES: _Dues = {}
Chosen = Mapping[tuple[PartRole, str], Sequence[Stock]]
Groups = tuple[tuple[SheetPlan, ...], tuple[Finding, ...]]


RunAll = Callable[[Sequence[Callable[[], Nest]]], list[Nest]]


def one_by_one(pieces: Sequence[Callable[[], Nest]]) -> list[Nest]:
    """What each piece of work gives, one after another in this process."""
    return [piece() for piece in pieces]


def no_word(_: str) -> None:
    """Hears no progress."""


def lay_out(
    markers: Sequence[Marker],
    order: Order,
    shop: Shop,
    run_all: RunAll = one_by_one,
    progress: Callable[[str], None] = no_word,
) -> Groups:
    """Hop 4: every part of every marker on sheets, grouped by build, and what found no room.

    ``run_all`` does work that does not depend on each other, such as the nests of all groups; its
    answers come in the order of the work. ``progress`` hears "compiling" while the nester's
    loops are compiled or loaded, once for all processes, and then "nesting".

    Raises:
        InputError: the shop keeps no such stock, or an offcut could be of several builds.
        OutputError: a nest failed its judge.
    """
    stocks = stocks_for(markers, order, shop)
    together = order.keep_together is Together.AREA
    wanted, chosen = _gather_parts(markers, stocks, order, shop)
    shelf = _Shelf(shop.offcuts, wanted.keys())
    independent = not together and _apart(chosen, shelf)
    nester = _all_at_once(chosen, wanted, run_all, progress) if independent else nest
    groups: list[SheetPlan] = []
    findings: list[Finding] = []
    counts: Counter[PartRole] = Counter()
    for (role, text), each in sorted(wanted.items()):
        group = Group(role, counts[role] + 1, text, each, together)
        on, backs = chosen[role, text], each[0].part.backs
        offcuts = [turnable(offcut, backs) for offcut in shelf.of(on, text)]
        plans, left = plan_group(group, shelf.left(on), offcuts, nester)
        groups += plans
        findings += left
        counts[role] += len(plans)
        for plan in plans:
            shelf.take(plan)
    return tuple(groups), (*findings, *_split_notes(groups, markers))


def _apart(stocks: Chosen, shelf: _Shelf) -> bool:
    """Whether no group takes what another then lacks."""
    limited = any(stock.sheets is not None for each in stocks.values() for stock in each)
    return not shelf.offcuts and not limited


def _all_at_once(
    stocks: Chosen,
    wanted: Mapping[tuple[PartRole, str], Sequence[Wanted]],
    run_all: RunAll,
    progress: Callable[[str], None],
) -> Callable[[NestRequest], Nest]:
    """All groups nested first, in one go; what each asks for is answered from there."""
    requests = [Work(stocks[key], each).request() for key, each in wanted.items()]
    requests.sort(key=lambda request: -sum(piece.demand for piece in request.pieces))
    parts = sum(piece.demand for request in requests for piece in request.pieces)
    run = run_all if parts >= _WORTH_SHARING else one_by_one
    if any(compiles(request) for request in requests):
        progress("compiling")
        warm(every=False)
        progress("nesting")
    answers = run([partial(nest, request) for request in requests])
    return dict(zip(requests, answers, strict=True)).__getitem__


def _split_notes(groups: Sequence[SheetPlan], markers: Sequence[Marker]) -> Iterable[Finding]:
    """One note for each marker whose film is in pieces."""
    names = {marker.id: marker.plan.name for marker in markers}
    for key, joint in joints(groups, markers).items():
        yield Finding(
            "long-part-split",
            Severity.NOTE,
            f"{key} is longer than its stock and comes in {len(joint.lengths)} pieces that "
            f"overlap by {inches(joint.lap)}",
            "take a larger stock to have it in one piece",
            place=Place(marker=names[key]),
        )


def _gather_parts(
    markers: Iterable[Marker],
    stocks: Mapping[PartRole, tuple[Stock, ...]],
    order: Order,
    shop: Shop,
) -> tuple[dict[tuple[PartRole, str], list[Wanted]], dict[tuple[PartRole, str], tuple[Stock, ...]]]:
    """Parts by role and by what they are made of, as their stock makes them; and the stocks.

    Long film is in pieces where the order says so, numbered behind the marker's id.
    """
    dues = _dues(markers) if order.keep_together is Together.AREA else _NO_DUES
    split = order.long_parts is LongParts.SPLIT
    wanted: dict[tuple[PartRole, str], list[Wanted]] = defaultdict(list)
    chosen: dict[tuple[PartRole, str], tuple[Stock, ...]] = {}
    for marker in markers:
        for lot in _lots(marker, dues):
            for part in lot.parts:
                on = stocks_of_part(part, marker, stocks[part.role], shop)
                key = part.role, build_text(part, on[0], marker)
                chosen[key] = on
                pieces = split_part(part, on) if split else (part,)
                for number, piece in enumerate(pieces, start=1):
                    name = piece_name(lot.name, number) if len(pieces) > 1 else lot.name
                    each = Wanted(name, _make_part(piece, on[0], marker), lot.quantity, lot.dues)
                    wanted[key].append(each)
    return wanted, chosen


@frozen
class _Lot:
    """Equal parts of a marker under one name, and for which positions they are."""

    name: str
    parts: Sequence[Part]
    quantity: int
    dues: tuple[Hanging, ...]


def _lots(marker: Marker, dues: _Dues) -> Iterator[_Lot]:
    """The marker as a whole; where each piece has an id, its prints one by one.

    Plates carry no id, so they stay equal.
    """
    ranked = sorted(dues[id(each)] for each in marker.placings if id(each) in dues)
    printed = (marker.face.printed,) if marker.pieces else ()
    whole = [part for part in marker.face.parts if part not in printed]
    yield _Lot(marker.id, whole, marker.quantity, tuple(due for _, due in ranked))
    for number, piece in enumerate(marker.pieces, start=1):
        _, one = dues.get(id(marker.placings[piece.placing]), (0, None))
        name = named_piece(marker.id, number, len(marker.pieces))
        yield _Lot(name, [piece.face.printed], 1, (one.counted(1),) if one else ())


def build_text(part: Part, stock: Stock, marker: Marker) -> str:
    """What a part is made of; an engraved tag is of its stock. Two faces are named."""
    engraved = stock.engraved and part.role is PartRole.TAG
    text = "engraved tag" if engraved else part_text(part, marker.plan.build)
    return f"{text}{TWO_FACES}" if part.two_faced else text


def _make_part(part: Part, stock: Stock, marker: Marker) -> Part:
    """The part as its stock makes it; what cannot be made names its marker."""
    try:
        return on_stock(part, stock)
    except InputError as error:
        place = Place(marker=marker.plan.name)
        raise InputError([replace(each, place=place) for each in error.findings]) from error


def _dues(markers: Iterable[Marker]) -> _Dues:
    """The numbered places that pieces are for."""
    walked = (each for walk in walks(markers).values() for each in walk)
    return {id(each.placing): (rank, each) for rank, each in enumerate(walked)}


class _Shelf:
    """What the groups before have left of the shop's offcuts and of stock in limited number."""

    def __init__(self, offcuts: Sequence[Stock], groups: Iterable[tuple[PartRole, str]]) -> None:
        self.offcuts = offcuts
        self.used: Counter[str] = Counter()
        listed = tuple(groups)
        for offcut in offcuts:
            _refuse_unclear(offcut, [text for role, text in listed if role in offcut.roles])

    def of(self, stocks: Sequence[Stock], build: str) -> list[Stock]:
        """Offcuts that were cut from one of the stocks and are of a build."""
        keys = {stock.key for stock in stocks}
        fitting = [
            each
            for each in self.offcuts
            if each.offcut_of in keys and each.material.casefold() in build.casefold()
        ]
        return [each for each in self.left(fitting) if each.sheets]

    def left(self, stocks: Sequence[Stock]) -> list[Stock]:
        """The stocks with the number that is left of each."""
        return [
            stock
            if stock.sheets is None
            else replace(stock, sheets=stock.sheets - self.used[stock.key])
            for stock in stocks
        ]

    def take(self, group: SheetPlan) -> None:
        """The group's sheets are no longer there."""
        for sheet in group.sheets:
            self.used[sheet.stock.key] += sheet.copies


def _refuse_unclear(offcut: Stock, builds: Sequence[str]) -> None:
    """An offcut without a material is of the order's only build, or nobody knows."""
    if offcut.material or len(builds) < 2:
        return
    what = f"the {offcut.title} may be of {len(builds)} materials of this order"
    right = f"say which, one of: {'; '.join(sorted(builds))}"
    raise InputError(
        [Finding("offcut-material", Severity.UNREADABLE, what, right, place=Place(field="offcut"))]
    )
