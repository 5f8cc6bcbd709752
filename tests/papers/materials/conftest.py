"""A small invented order, planned and composed, with sheets laid out by hand."""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from layouts.markers.gather import Marker
from layouts.nest import Bound, Cutting, Nest, NestRequest
from layouts.order.order import Order
from layouts.schemes.loader import load_scheme
from layouts.sheets.sheetplan import Placed, Sheet, SheetPlan
from layouts.sheets.stock import Stock
from layouts.terms.words import PartRole
from render.read.fonts import default_typefaces
from render.shop.shopfile import load_shop
from tests.helpers.gathering import gather

STOCKS = {
    PartRole.FILM: "roll-54in",
    PartRole.PLATE: "plate-48x96in",
    PartRole.TAG: "tag-24x48in",
}
PIPE: dict[str, object] = {"kind": "pipe", "state": "vapor", "flow": "left", "pressure": "10 psig"}
ITEMS = [
    # on a jacket: film, seen from both sides
    {
        "spec": PIPE | {"service": "HTRS", "pipe": "NPS 4", "covering": "2 in", "side": "both"},
        "positions": [
            {"qty": 3, "area": "Dock", "line": "L-1"},
            {"qty": 4, "area": "Freezer", "line": "L-2"},
        ],
    },
    # bare and frosted, outdoors: plates on stand-offs with straps, laminated
    {
        "spec": PIPE
        | {"service": "LTRS", "pipe": "NPS 6", "covering": 0}
        | {"environment": {"setting": "outdoor", "frost": "1 in"}},
        "positions": [{"qty": 5, "area": "Roof", "line": "L-3"}],
    },
    # the same marker on another pipe of its row: straps of another length
    {
        "spec": PIPE
        | {"service": "LTRS", "pipe": "NPS 5", "covering": 0}
        | {"environment": {"setting": "outdoor", "frost": "1 in"}},
        "positions": [{"qty": 2, "area": "Roof", "line": "L-3"}],
    },
    {
        "spec": {"kind": "valve", "tag": "HV-101", "emergency": True, "sides": 2},
        "positions": [{"area": "Dock"}],
    },
]


@dataclass(frozen=True)
class Work:
    markers: tuple[Marker, ...]
    groups: tuple[SheetPlan, ...]

    def of(self, name: str) -> Marker:
        return next(marker for marker in self.markers if marker.plan.name == name)


def stacked(key: str, stock: Stock, role: PartRole, markers: list[Marker]) -> SheetPlan:
    """One sheet a marker, as many copies as it is wanted; on a roll as long as it needs."""
    parts = {
        marker.id: next(part for part in marker.face.parts if part.role is role)
        for marker in markers
    }
    sheets = []
    for number, marker in enumerate(markers, start=1):
        at = stock.margin + stock.border
        length = parts[marker.id].size.height + 2 * at if stock.form == "roll" else stock.length
        placed = (Placed(marker.id, at, at, False),)
        sheets.append(Sheet(number, number, marker.quantity, stock.width, length, placed, stock))
    quantities = {marker.id: marker.quantity for marker in markers}
    nothing = Nest((), (), Bound("area", 0, 0, 0))
    asked = NestRequest((), (), 0, Cutting.FREE)
    return SheetPlan(
        key, (stock,), role, "by hand", parts, quantities, tuple(sheets), asked, nothing
    )


@pytest.fixture(scope="session")
def work() -> Work:
    order = Order.model_validate({"items": ITEMS})
    schemes = {order.scheme: load_scheme(order.scheme)}
    markers = gather(order.items, schemes, order.scheme, default_typefaces(), (), "").markers
    shop = load_shop()
    groups = []
    for role in PartRole:
        having: dict[str, list[Marker]] = {}
        for marker in markers:
            if any(part.role is role for part in marker.face.parts):
                build = marker.plan.build
                text = build.plate_material if role is PartRole.PLATE else build.film_text
                having.setdefault(text, []).append(marker)
        for number, (_, listed) in enumerate(sorted(having.items()), start=1):
            groups.append(stacked(f"{role}-{number}", shop.stocks[STOCKS[role]], role, listed))
    return Work(markers, tuple(groups))
