"""Every size row, flow and build, and a choice of 30 that holds every pair of them.

The tables are typed by hand from the published ones, in inches.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from layouts.drawing.document import Document
from layouts.markers.gather import Marker
from layouts.order.order import Order
from render.draw import draw
from render.options import Options
from render.shop.shopfile import load_shop

IN = 25.4


@dataclass(frozen=True)
class Row:
    """One row of a table: a diameter in it, and what the table gives, inches.

    ``band`` is zero where the table has none.
    """

    od: float
    height: float
    length: float
    letters: float
    band: float


# Ammonia piping identification guideline, 2014 edition, dimension table (second-hand summaries
# that agree): marker height, length, letter height, band width.
AMMONIA = (
    Row(1.0, 1.0, 8, 0.5, 0.5),
    Row(1.9, 1.5, 8, 0.75, 0.75),
    Row(4.5, 2.5, 12, 1.25, 1.0),
    Row(8.625, 3.5, 24, 2.5, 1.5),
    Row(12.75, 4.5, 32, 3.5, 2.0),
)
# ASME A13.1 size table, 1996 erratum to 2015 (three second-hand summaries that agree): length of
# the color field and letter height. It gives no marker height: the heights are our own choice,
# as the scheme file says.
A13_1 = (
    Row(1.0, 1.0, 8, 0.5, 0),
    Row(1.9, 1.5, 8, 0.75, 0),
    Row(4.5, 2.5, 12, 1.25, 0),
    Row(8.625, 3.5, 24, 2.5, 0),
    Row(12.75, 4.5, 32, 3.5, 0),
)
TABLES = {"ammonia-2014": AMMONIA, "asme-a13-1": A13_1}
FLOWS = ("right", "left", "up", "down", "reversing", "none")
BUILDS = ("film", "wrap", "strapped plate", "stand-off plate")
# What brings each build about: hot but good for polyester film on a plate; frost on a bare pipe.
_SETTINGS: dict[str, dict[str, object]] = {
    "film": {},
    "wrap": {"wrap": True},
    "strapped plate": {"environment": {"surface": "200 F"}},
    "stand-off plate": {"environment": {"surface": "20 F", "frost": "1 in"}},
}


@dataclass(frozen=True)
class Case:
    scheme: str
    row: int
    flow: str
    build: str

    def __str__(self) -> str:
        return f"{self.scheme}-row{self.row + 1}-{self.flow}-{self.build}".replace(" ", "_")

    @property
    def table(self) -> Row:
        return TABLES[self.scheme][self.row]


EVERY = [Case(*each) for each in itertools.product(TABLES, range(len(AMMONIA)), FLOWS, BUILDS)]
PAIRWISE = [
    Case(
        tuple(TABLES)[(row + flow // 2 + flow) % 2],
        row,
        FLOWS[flow],
        BUILDS[(row + flow) % len(BUILDS)],
    )
    for row, flow in itertools.product(range(len(AMMONIA)), range(len(FLOWS)))
]


def order_of(case: Case) -> Order:
    """An order for one marker. Water is white on green, so that letters are left blank there."""
    ammonia = {"service": "HPL", "state": "both", "pressure": "185 psig"}
    water = {"contents": "CHILLED WATER"}
    upright = case.flow in ("up", "down")
    spec = {
        "kind": "pipe",
        "flow": case.flow,
        "run": "vertical" if upright else "horizontal",
        "od": f"{case.table.od} in",
        **(ammonia if case.scheme.startswith("ammonia") else water),
        **_SETTINGS[case.build],
    }
    items = [{"spec": spec, "positions": [{}]}]
    return Order.model_validate({"scheme": case.scheme, "items": items})


@cache
def options() -> Options:
    return Options(load_shop())


def drawn(case: Case) -> tuple[Document, Marker]:
    document, (marker,), _ = draw(order_of(case), options())
    return document, marker


def alone(spec: Mapping[str, object], scheme: str = "ammonia-2014") -> tuple[Document, Marker]:
    """Any one marker on a page of its own."""
    accept = [{"code": "service-missing", "reason": "a marker as short as can be"}]
    order = Order.model_validate(
        {"scheme": scheme, "accept": accept, "items": [{"spec": spec, "positions": [{}]}]}
    )
    document, (marker,), _ = draw(order, options())
    return document, marker


def floor_case(scheme: str, row: int) -> tuple[Document, Marker]:
    """A marker so short that the table's own length decides: no code, no arrow, few letters."""
    short = {
        "ammonia-2014": {"state": "liquid", "level": "low", "legend": "NH3"},
        "asme-a13-1": {"contents": "BRINE"},
    }[scheme]
    pipe = {"kind": "pipe", "flow": "none", "od": f"{TABLES[scheme][row].od} in"}
    return alone(pipe | short, scheme)


def flag() -> tuple[Document, Marker]:
    """A plate on a strap beside a pipe of half an inch: ASME A13.1 asks for a tag there."""
    pipe = {"kind": "pipe", "flow": "right", "od": "0.5 in", "contents": "CHILLED WATER"}
    return alone(pipe, "asme-a13-1")
