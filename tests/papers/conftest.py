"""An invented order with every kind of marker and mount, planned, composed and nested."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

import pytest

from layouts.drawing.document import Document
from layouts.drawing.typefaces import Typefaces
from layouts.markers.gather import Gathered
from layouts.order.order import Order
from layouts.papers.proof import Proof
from layouts.schemes.loader import load_scheme
from layouts.schemes.model import Scheme
from layouts.sheets.pieces import Wanted
from layouts.sheets.planning import plan_sheets
from layouts.sheets.sheetplan import SheetPlan
from layouts.sheets.stock import Shop
from layouts.terms.words import PartRole
from render.read.fonts import default_typefaces
from render.shop.shopfile import load_shop
from tests.helpers.gathering import gather
from tests.helpers.whole_papers import whole

STOCKS = {
    PartRole.FILM: "roll-54in",
    PartRole.PLATE: "plate-48x96in",
    PartRole.TAG: "tag-24x48in",
}
REASON = "its neighbors hang in this size until the next outage"


@dataclass(frozen=True)
class Job:
    order: Order
    gathered: Gathered
    schemes: dict[str, Scheme]
    typefaces: Typefaces
    shop: Shop
    groups: tuple[SheetPlan, ...]

    def proof(self, date: str | None = None) -> Document:
        found = self.gathered
        return whole(
            Proof(self.order, found.markers, found.findings, self.schemes, self.typefaces, date)
        )


def an_order() -> Order:
    pipe = {"kind": "pipe", "state": "both", "flow": "left"}
    bays = [
        {"quantity": 2, "area": "Freezer 1", "location": f"bay {bay}", "line": f"L-{bay}"}
        for bay in range(1, 8)
    ]
    covered = {"service": "HTRS", "pressure": "30 psig", "covering": "1-1/2 in"}
    return Order.model_validate(
        {
            "title": "Relabeling, phase 2",
            "plant": "Example Ridge Cold Store",
            "revision": "B",
            "accept": [{"code": "letter-below-row", "reason": REASON}],
            "items": [
                {"spec": pipe | covered | {"pipe": "NPS 4", "side": "both"}, "positions": bays},
                {
                    "spec": pipe
                    | {"service": "LTRS", "pressure": "10 inHg vac", "pipe": "NPS 12"}
                    | {"covering": "4 in", "environment": {"surface": "-40 F", "frost": "1/2 in"}},
                    "positions": [{"quantity": 3, "area": "Freezer 1", "line": "L-12"}],
                },
                {
                    "spec": pipe
                    | {"service": "HSD", "state": "vapor", "pressure": "185 psig"}
                    | {"pipe": "NPS 6", "covering": "0 in"}
                    | {"environment": {"surface": "230 F", "setting": "outdoor"}},
                    "positions": [
                        {"quantity": 4, "area": "Roof, east", "from_": "C-1", "to": "EC"}
                    ],
                },
                {
                    "spec": pipe
                    | {"service": "HPL", "state": "liquid", "pressure": "180 psig"}
                    | {"pipe": "NPS 2", "covering": "0 in", "letter_height": "3/4 in"},
                    "positions": [{"quantity": 5, "area": "Machinery room"}],
                },
                {
                    "spec": {"kind": "equipment", "name": "High pressure receiver"}
                    | {"tag": "HPR-1", "pressure": "180 psig"},
                    "positions": [{"area": "Machinery room", "drawing": "PID-3"}],
                },
                {
                    "spec": {"kind": "equipment", "small": True, "tag": "OP-7"}
                    | {"name": "oil pot below the intercooler, with its drain and float switch"},
                    "positions": [{"area": "Machinery room", "quantity": 1}],
                },
                {
                    "spec": {"kind": "valve", "tag": "V-101", "function": 'King "A", main'}
                    | {"valve_size": "NPS 2", "emergency": True, "sides": 2},
                    "positions": [{"area": "Machinery room"}],
                },
            ],
        }
    )


@pytest.fixture(scope="session")
def job() -> Job:
    order, shop, typefaces = an_order(), load_shop(), default_typefaces()
    schemes = {order.scheme: load_scheme(order.scheme)}
    gathered = gather(order.items, schemes, order.scheme, typefaces, order.accept, "list.csv")
    wanted: dict[tuple[PartRole, str], list[Wanted]] = defaultdict(list)
    for marker in gathered.markers:
        for part in marker.face.parts:
            build = marker.plan.build
            text = build.plate_material if part.role is PartRole.PLATE else build.film_text
            wanted[part.role, text].append(Wanted(marker.id, part, marker.quantity))
    groups = []
    for number, ((role, text), parts) in enumerate(sorted(wanted.items())):
        stock = shop.stocks[STOCKS[role]]
        group, unplaced = plan_sheets(f"{role}-{number}", (stock,), role, text, parts)
        assert not unplaced
        groups.append(group)
    return Job(order, gathered, schemes, typefaces, shop, tuple(groups))
