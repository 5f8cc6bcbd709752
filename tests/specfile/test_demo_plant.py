"""The demo list is what its generator writes, and holds what a demo must show."""

from __future__ import annotations

from pathlib import Path

import pytest

from layouts.spec import Order, PipeMarker
from layouts.words import Flow, Kind, Run, Setting, Side
from render.specfile import read
from tests.samples import demo_plant


@pytest.fixture(scope="module")
def order() -> Order:
    reading = read(demo_plant.TARGET)
    assert reading.findings == ()
    assert reading.order is not None
    return reading.order


def pipes(order: Order) -> list[tuple[PipeMarker, set[str]]]:
    return [
        (item.spec, {position.area for position in item.positions})
        for item in order.items
        if isinstance(item.spec, PipeMarker)
    ]


def test_the_committed_workbook_is_the_generated_one(tmp_path: Path, order: Order) -> None:
    demo_plant.write(tmp_path / "demo_plant.xlsx")
    assert read(tmp_path / "demo_plant.xlsx").order == order
    demo_plant.write(tmp_path / "again.xlsx")
    assert (tmp_path / "again.xlsx").read_bytes() == (tmp_path / "demo_plant.xlsx").read_bytes()


def test_size_of_the_list(order: Order) -> None:
    lines = [p for item in order.items if item.spec.kind is Kind.PIPE for p in item.positions]
    assert len(lines) >= 60
    assert 250 <= order.quantity <= 400
    areas = {position.area for item in order.items for position in item.positions}
    assert areas == {"Machinery room", "Rooftop", "Freezer", "Dock"}
    assert all(p.drawing for item in order.items for p in item.positions)


def test_the_cases_that_a_demo_must_show(order: Order) -> None:
    found = pipes(order)
    assert any(spec.run is Run.VERTICAL for spec, _ in found)
    assert any(spec.side is Side.BOTH for spec, _ in found)
    assert any(spec.pressure is not None and spec.pressure < 0 for spec, _ in found)
    assert any(spec.flow is Flow.REVERSING for spec, _ in found)
    assert any(spec.wrap for spec, _ in found)
    assert any(spec.girth for spec, _ in found)
    assert any(spec.environment.frost > 0 and not spec.covering for spec, _ in found)
    assert any((spec.environment.surface or 0) >= 180 for spec, _ in found)
    assert any(spec.environment.setting is Setting.OUTDOOR for spec, _ in found)
    assert any(
        spec.pipe is not None and spec.pipe.label == "NPS 12" and spec.covering and "Freezer" in at
        for spec, at in found
    )
    emergency = [
        item for item in order.items if item.spec.kind is Kind.VALVE and item.spec.emergency
    ]
    assert len(emergency) >= 2
