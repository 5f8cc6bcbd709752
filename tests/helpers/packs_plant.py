"""An invented plant for charts, schedules and packs: three areas, hands, risers, every kind."""

from __future__ import annotations

from dataclasses import dataclass

from layouts.drawing.typefaces import Typefaces
from layouts.markers.gather import Marker
from layouts.order.order import Order
from layouts.schemes.loader import load_scheme
from layouts.schemes.model import Scheme
from render.read.fonts import default_typefaces
from tests.helpers.gathering import gather

ENGINE, ROOF, STORE = "Engine room", "Roof / east", "Cold store"


@dataclass(frozen=True)
class Plant:
    order: Order
    schemes: dict[str, Scheme]
    typefaces: Typefaces
    markers: tuple[Marker, ...]


def pipe(**fields: object) -> dict[str, object]:
    return {"kind": "pipe", "state": "vapor", "flow": "right", "covering": "0 in", **fields}


def valve(number: int, **fields: object) -> dict[str, object]:
    return {"kind": "valve", "tag": f"HV-{number}", "service": "HPL", **fields}


def place(area: str, **fields: object) -> dict[str, object]:
    return {"area": area, **fields}


def items() -> list[dict[str, object]]:
    discharge = pipe(service="HSD", pressure="185 psig", pipe="NPS 4")
    hot = {"environment": {"surface": "190 F"}}
    liquid = pipe(service="HPL", state="liquid", pressure="181 psig", pipe="NPS 2")
    suction = {"service": "LTRS", "state": "both", "pressure": "8.7 inHg vac", "flow": "left"}
    local = {"service": "XQ", "meaning": "crossover to the test stand", "pressure": "20 psig"}
    evaporators: list[dict[str, object]] = [
        {
            "spec": {"kind": "equipment", "name": "Evaporator", "tag": f"FEU-{number}"}
            | {"pressure": "8.7 inHg vac"},
            "positions": [place(STORE)],
        }
        for number in (1, 2, 3, 10)
    ]
    drains: list[dict[str, object]] = [
        {"spec": valve(number, function="Drain"), "positions": [place(STORE, drawing="R-2")]}
        for number in (9, 10, 100)
    ]
    return [
        {
            "spec": discharge | hot,
            "positions": [
                place(ENGINE, line="HSD-4-1", from_="C-1", to="EC-1", quantity=3, row=3),
                place(ENGINE, line="HSD-4-2", from_="C-2", to="EC-2", quantity=15, row=4),
            ],
        },
        {
            "spec": discharge | hot | {"run": "vertical", "flow": "up"},
            "positions": [place(ENGINE, line="HSD-4-3", location="riser B2", to="EC-2", row=5)],
        },
        {
            "spec": liquid | {"side": "both"},
            "positions": [
                place(ENGINE, line="HPL-2-9", from_="HPR-1", to="IC-1", quantity=2, row=6)
            ],
        },
        {
            "spec": liquid | {"pressure": "33.5 psig", "service": "IPL"},
            "positions": [place("", line="IPL-2-10", row=7)],
        },
        {
            "spec": pipe(**suction, pipe="NPS 8") | {"covering": "3 in"},
            "positions": [
                place(STORE, line="LTRS-8-21", from_="FEU-1", to="LTR-1", location=f"bay {bay}")
                for bay in (10, 9, 1)
            ],
        },
        {
            "spec": pipe(**local, pipe="NPS 1") | {"flow": "reversing"},
            "positions": [
                place(ROOF, line="XQ-1-30", from_="a", to="b", height="12 ft", distance="7 ft")
                | {"spot": "40 ft along: within 2 ft of turn 1", "at": "40 ft"}
            ],
        },
        {
            "spec": {"kind": "equipment", "name": "High pressure receiver", "tag": "HPR-1"}
            | {"pressure": "181 psig"},
            "positions": [place(ENGINE, drawing="R-1")],
        },
        *evaporators,
        {
            "spec": valve(101, emergency=True, function="King valve", valve_size="NPS 3")
            | {"normal_position": "open", "sides": 2},
            "positions": [place(ENGINE, drawing="R-1", location="at HPR-1", note="seal it open")],
        },
        *drains,
    ]


def plant(with_schemes: tuple[str, ...] = (), **head: object) -> Plant:
    """The plant, or one of other ``items``; ``with_schemes`` are used beside the order's own."""
    order = Order.model_validate(
        {
            "title": "Phase 3",
            "plant": "Northpoint Cold Works",
            "revision": "D",
            "accept": [{"code": "service-unknown", "reason": "trained with this chart"}],
            "items": items(),
            **head,
        }
    )
    schemes = {key: load_scheme(key) for key in (order.scheme, *with_schemes)}
    typefaces = default_typefaces()
    gathered = gather(order.items, schemes, order.scheme, typefaces, order.accept, "list.csv")
    return Plant(order, schemes, typefaces, gathered.markers)
