"""Totals of an invented order, counted by hand."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from layouts.markers.gather import Marker, gather
from layouts.order.order import Order
from layouts.schemes.loader import load_scheme, load_spacing
from layouts.takeoff import PipeRun, Totals, take_off, totals
from layouts.terms.words import Side
from render.read.fonts import default_typefaces

FT = 304.8
PIPE = {"kind": "pipe", "state": "vapor", "flow": "left", "pressure": "10 psig", "service": "HTRS"}


def marked(*items: Mapping[str, object]) -> tuple[Marker, ...]:
    order = Order.model_validate({"items": items})
    schemes = {order.scheme: load_scheme(order.scheme)}
    return gather(order.items, schemes, order.scheme, default_typefaces(), (), "").markers


@pytest.fixture(scope="module")
def counted() -> Totals:
    return totals(
        marked(
            # 4 in on 2 in of covering is 8.5 in: letters 2-1/2 in, 3-1/2 in high; both sides: 14
            {
                "spec": PIPE | {"pipe": "NPS 4", "covering": "2 in", "side": "both"},
                "positions": [
                    {"qty": 3, "area": "Dock", "line": "L-1"},
                    {"qty": 4, "area": "Freezer", "line": "L-1"},
                ],
            },
            # bare 4.5 in: letters 1-1/4 in, 2-1/2 in high
            {
                "spec": PIPE | {"pipe": "NPS 4", "covering": 0},
                "positions": [{"qty": 5, "area": "Dock", "line": "L-2"}],
            },
            {
                "spec": PIPE
                | {"pipe": "NPS 4", "covering": 0}
                | {"environment": {"setting": "outdoor", "frost": "1 in"}},
                "positions": [{"qty": 2, "area": "Roof", "line": "L-2"}, {"qty": 1}],
            },
        )
    )


def test_by_line_and_area(counted: Totals) -> None:
    assert counted.all == 22
    assert counted.by_line == (("", 1), ("L-1", 14), ("L-2", 7))
    assert counted.by_area == (("", 1), ("Dock", 11), ("Freezer", 8), ("Roof", 2))


def test_by_size_and_build(counted: Totals) -> None:
    # sizes: ammonia dimension table, 2014 edition (two agreeing second-hand pages)
    assert counted.by_size == (
        ("pipe, letters 1-1/4 in, 2-1/2 in high", 8),
        ("pipe, letters 2-1/2 in, 3-1/2 in high", 14),
    )
    assert dict(counted.by_build) == {
        "adhesive film: vinyl film, general acrylic adhesive": 19,
        "stand-off plate: vinyl film, general acrylic adhesive, UV overlaminate": 3,
    }


@pytest.mark.parametrize("side", list(Side))
def test_a_takeoff_gives_as_many_markers_as_the_order_then_has(side: Side) -> None:
    # 100 ft at 40 ft: three positions, doubled by planning where both sides read.
    takeoff = take_off(PipeRun(100 * FT, side=side), load_spacing())
    row = {
        "spec": PIPE | {"pipe": "NPS 4", "covering": 0, "side": side.value},
        "positions": [{"qty": takeoff.quantity, "line": "L-9"}],
    }
    assert totals(marked(row)).all == takeoff.markers
