"""Orders ganged on shared sheets: each marker carries its order's mark, so each piece is traced.

A mark is a letter behind the marker's id (``1A2B3C4D_B``). Parts, placements and quantities are
named by the id, so that everything about the sheets is told by order without further records, and
two orders that want the same marker keep separate counts.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from layouts.markers.gather import Marker, Placing
from layouts.markers.positions import NO_AREA
from layouts.sheets.sheetplan import Placed, SheetPlan
from layouts.terms.values import frozen
from layouts.terms.words import PartRole

_SEPARATOR = "_"
_LETTERS = 26


@frozen
class StockUse:
    """What sheets or roll frames take of the stock for a role: number, and area in mm2."""

    role: PartRole
    sheets: int
    frames: int
    area: float


@frozen
class Gang:
    """The orders of shared sheets by their marks, and the stock taken together and separately."""

    names: Mapping[str, str]
    shared: tuple[StockUse, ...]
    separate: tuple[StockUse, ...]


def mark_text(number: int) -> str:
    """A for 0, Z for 25, AA for 26."""
    text = ""
    while number >= 0:
        text = chr(ord("A") + number % _LETTERS) + text
        number = number // _LETTERS - 1
    return text


def mark_of(name: str) -> str:
    """The mark in the name of a marker, a part or a piece."""
    return name.partition(_SEPARATOR)[2].partition("-")[0].partition(".")[0]


def without_mark(name: str) -> str:
    """The name that it has in its own order."""
    return name.replace(f"{_SEPARATOR}{mark_of(name)}", "", 1)


def marked(markers: Iterable[Marker], mark: str) -> tuple[Marker, ...]:
    """An order's markers under its mark; so are its areas, since another may use the same name."""
    return tuple(
        replace(
            marker,
            id=f"{marker.id}{_SEPARATOR}{mark}",
            placings=tuple(_in_marked_area(each, mark) for each in marker.placings),
        )
        for marker in markers
    )


def _in_marked_area(placing: Placing, mark: str) -> Placing:
    area = f"{mark} {placing.position.area or NO_AREA}"
    return replace(placing, position=replace(placing.position, area=area))


def view_of(groups: Iterable[SheetPlan], mark: str) -> tuple[SheetPlan, ...]:
    """One order's share of the sheets, under the names that its own papers use.

    Sheets keep their numbers; figures of the nest remain those of the whole.
    """
    views = (_group_view(group, mark) for group in groups)
    return tuple(view for view in views if view.parts)


def _group_view(group: SheetPlan, mark: str) -> SheetPlan:
    own = {name: without_mark(name) for name in group.parts if mark_of(name) == mark}
    sheets = (
        replace(
            sheet, placed=tuple(_own(each, own, mark) for each in sheet.placed if each.name in own)
        )
        for sheet in group.sheets
    )
    return replace(
        group,
        parts={plain: group.parts[name] for name, plain in own.items()},
        quantities={plain: group.quantities[name] for name, plain in own.items()},
        sheets=tuple(sheet for sheet in sheets if sheet.placed),
    )


def _own(placed: Placed, own: Mapping[str, str], mark: str) -> Placed:
    return replace(placed, name=own[placed.name], area=placed.area.removeprefix(f"{mark} "))


def stock_use(groups: Sequence[SheetPlan]) -> tuple[StockUse, ...]:
    """The stock that groups take, by role."""
    used = []
    for role in sorted({group.role for group in groups}):
        own = [group for group in groups if group.role is role]
        frames = sum(group.copies for group in own if group.is_roll)
        area = sum(
            sheet.copies * sheet.width * sheet.length for group in own for sheet in group.sheets
        )
        used.append(StockUse(role, sum(group.copies for group in own) - frames, frames, area))
    return tuple(used)


def placements_record(group: SheetPlan, gang: Gang) -> list[dict[str, object]]:
    """Every placement by sheet: order, marker, and the trim's corner in mm; ``,t`` if turned."""
    return [
        {
            "sheet": sheet.number,
            "copies": sheet.copies,
            "placed": [
                f"{gang.names[mark_of(each.name)]},{without_mark(each.name)},{each.x:g},{each.y:g}"
                f"{',t' * each.turned}"
                for each in sheet.placed
            ],
        }
        for sheet in group.sheets
    ]
