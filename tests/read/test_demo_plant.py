"""The demo list is what its generator writes, and holds what a demo must show."""

from __future__ import annotations

import math
import re
from collections import Counter
from pathlib import Path

import pytest

from layouts.order.order import EquipmentMarker, Order, PipeMarker, ValveTag
from layouts.schemes.loader import load_spacing
from layouts.terms.tags import expand_tags
from layouts.terms.words import Flow, Kind, Run, Setting, Side
from render.read import read
from tests.samples import demo_plant


@pytest.fixture(scope="module")
def order() -> Order:
    reading = read(demo_plant.TARGET)
    # Runs that give turns and walls by number alone: told once for all.
    assert [finding.code for finding in reading.findings] == ["run-assumed"]
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
    by_kind = Counter(str(row["kind"]) for row in demo_plant.rows())
    assert by_kind["pipe"] >= 140
    assert by_kind["equipment"] >= 40
    assert 290 <= by_kind.total() <= 310
    assert 850 <= order.quantity <= 1500
    lines = [row["line"] for row in demo_plant.rows() if row["kind"] == "pipe"]
    assert len(set(lines)) == len(lines)
    areas = {position.area for item in order.items for position in item.positions}
    assert areas == set(demo_plant.AREAS)
    outdoors = {
        position.area
        for item in order.items
        for position in item.positions
        if item.spec.environment.setting is Setting.OUTDOOR
    }
    assert len(outdoors) >= 3
    assert all(p.drawing for item in order.items for p in item.positions)


def test_runs_are_counted_and_have_their_places(order: Order) -> None:
    runs = [row for row in demo_plant.rows() if "length_ft" in row]
    assert len(runs) >= 50
    placed = Counter(p.line for item in order.items for p in item.positions if p.at is not None)
    assert set(placed) == {row["line"] for row in runs}
    for row in runs:
        rule = load_spacing(str(row.get("spacing", "common-40ft")))
        setting = Setting.OUTDOOR if row["environment"] == "outdoor" else Setting.INDOOR
        # However few turns and rooms: a marker each interval (the rule's own words).
        length = float(row["length_ft"]) * 304.8
        assert placed[str(row["line"])] >= math.ceil(length / rule.spacing(setting))
    spots = [p for item in order.items for p in item.positions if p.at is not None]
    assert all(p.spot and p.quantity == 1 and p.height and p.distance for p in spots)


def test_every_valve_has_a_number_of_its_own(order: Order) -> None:
    tags = [item.spec.tag for item in order.items if isinstance(item.spec, ValveTag)]
    assert len(set(tags)) == len(tags) >= 120
    ranges = [row for row in demo_plant.rows() if ".." in str(row.get("tag"))]
    assert len(ranges) >= 3
    assert len(tags) == len([r for r in demo_plant.rows() if r["kind"] == "valve"]) + sum(
        len(expand_tags(str(row["tag"]))) - 1 for row in ranges
    )


def test_every_machine_that_a_line_names_has_a_marker(order: Order) -> None:
    tags = {item.spec.tag for item in order.items if isinstance(item.spec, EquipmentMarker)}
    ends = {
        end
        for item in order.items
        for position in item.positions
        for end in (position.from_, position.to)
    }
    named = {found for end in ends for found in re.findall(r"\b[A-Z]{2,3}-\d\b(?!-)", end)}
    assert len(named) > 10
    assert named <= tags


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
