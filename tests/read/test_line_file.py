"""A list read and written again: no marker, position or field is lost."""

from __future__ import annotations

from dataclasses import fields, replace
from pathlib import Path

import openpyxl

from layouts.order.normal import normalize
from layouts.order.order import EquipmentMarker, Item, Order, PipeMarker, Position, ValveTag
from layouts.terms.words import Kind
from render.read import read
from render.read.columns import NAMES
from render.read.listwriter import list_xlsx, write_list
from tests.helpers.lists import GOOD, table, write_csv
from tests.samples import demo_plant

RUN = {key: value for key, value in GOOD.items() if key != "qty"}
# One row that fills every column of its kind, so that a column forgotten is a field lost.
FULL: tuple[dict[str, str], ...] = (
    {
        "kind": "pipe",
        "contents": "AMMONIA",
        "service": "XYZ",
        "meaning": "local code",
        "state": "both",
        "pressure_psig": "-4.3",
        "level": "low",
        "flow": "up",
        "run": "vertical",
        "side": "both",
        "pipe": "tube 7/8 in",
        "covering_in": "1-1/3",
        "od_in": "4.7",
        "girth_in": "14.8",
        "environment": "outdoor washdown",
        "food_zone": "yes",
        "surface_f": "-12.5",
        "applied_f": "10",
        "operating_f": "-40",
        "frost_in": "0.3",
        "viewing_ft": "33.3",
        "straight_in": "17",
        "paint": "orange",
        "wrap": "yes",
        "lines": "2",
        "legend": "3/4",
        "letter_in": "1.7",
        "length_in": "24.4",
        "scheme": "ammonia-1991",
        "neighbor_letter_in": "2.2",
        "neighbor_height_in": "3.3",
        "neighbor_length_in": "9.9",
        "qty": "7",
        "area": "Dock",
        "location": "column B2",
        "line": "12",
        "drawing": "R-1",
        "from": "A",
        "to": "B",
        "note": "=1+1",
        "length_ft": "123.4",
        "rooms": "a (9 ft), b",
        "turns": "7 ft, 1 in",
        "branches": "3",
        "valves": "2",
        "penetrations": "0",
        "spacing": "din-2403-10m",
        "height_ft": "13.7",
        "distance_ft": "9.1",
        "at_ft": "3.21",
        "spot": "by the door",
    },
    {
        "kind": "equipment",
        "tag": "HPR-1",
        "legend": "RECEIVER",
        "small": "yes",
        "lines": "2",
        "pressure_psig": "181",
        "operating_f": "95",
        "level": "high",
        "washdown": "yes",
        "height_ft": "13",
        "distance_ft": "9",
        "letter_in": "3",
    },
    {
        "kind": "valve",
        "tag": "HV-8..HV-10",
        "service": "HPL",
        "function": "stop",
        "valve_size": "DN50",
        "normal_position": "open",
        "emergency": "yes",
        "lockout": "yes",
        "set_pressure_psig": "300",
        "replace_by": "2029-05-31",
        "side": "both",
        "shape": "round",
        "qty": "2",
    },
)


def bare(order: Order | None) -> tuple[Item, ...]:
    """The items with their rows forgotten: a list written anew counts its own."""
    assert order is not None
    forgotten = [
        Item(item.spec, tuple(replace(position, row=None) for position in item.positions))
        for item in order.items
    ]
    return normalize(order.model_copy(update={"items": tuple(forgotten)})).items


def again(order: Order | None, folder: Path) -> Order:
    """The order written as a list and read from it."""
    assert order is not None
    write_list(order, folder / "again.xlsx")
    reading = read(folder / "again.xlsx")
    assert not any(finding.blocks for finding in reading.findings)
    assert reading.order is not None
    return reading.order


def cells(path: Path) -> list[dict[str, str]]:
    rows = list(openpyxl.load_workbook(path)["Line list"].values)
    return [
        {str(name): str(value) for name, value in zip(rows[1], row, strict=True) if value}
        for row in rows[2:]
    ]


def test_every_column_survives(tmp_path: Path) -> None:
    names = [name for name in NAMES if any(name in row for row in FULL)]
    assert set(names) == set(NAMES)
    order = read(write_csv(tmp_path / "full.csv", table(FULL, names))).order
    assert order is not None
    assert bare(again(order, tmp_path)) == bare(order)
    for spec in (PipeMarker, EquipmentMarker, ValveTag):  # each kind is there, and nothing else
        assert sum(isinstance(item.spec, spec) for item in order.items) == (
            3 if spec is ValveTag else 1
        )
    (pipe,) = [item for item in order.items if item.spec.kind is Kind.PIPE]
    for each in fields(Position):
        if each.name not in ("source", "pieces"):  # a list by itself needs neither
            assert getattr(pipe.positions[0], each.name) != each.default, each.name


def test_the_demo_plant_survives_with_its_rows(tmp_path: Path) -> None:
    """XLSX to order to XLSX: the same items, and runs are rows of one cell each again."""
    order = read(demo_plant.TARGET).order
    assert order is not None
    second = again(order, tmp_path)
    assert bare(second) == bare(order)
    assert second.quantity == order.quantity
    runs = [row for row in demo_plant.rows() if "length_ft" in row and "qty" not in row]
    written = [row for row in cells(tmp_path / "again.xlsx") if "length_ft" in row]
    assert len([row for row in written if "qty" not in row]) == len(runs) > 0
    assert [row["line"] for row in written if "qty" not in row] == [row["line"] for row in runs]
    # A second time nothing moves at all.
    assert list_xlsx(second, tmp_path) == (tmp_path / "again.xlsx").read_bytes()


def test_a_run_by_the_orders_own_rule_is_one_row_again(tmp_path: Path) -> None:
    """The rule stands on the sheet Order: 120 ft are 6 markers by 20 ft, else 3."""
    write_csv(tmp_path / "list.csv", table([{**RUN, "length_ft": "120"}], [*RUN, "length_ft"]))
    path = tmp_path / "order.toml"
    path.write_text('spacing = "nasa-gsfc-8006"\nline_list = "list.csv"\n', encoding="utf-8")
    order = read(path).order
    assert order is not None
    assert order.quantity == 6
    second = again(order, tmp_path)
    assert bare(second) == bare(order)
    assert second.spacing == "nasa-gsfc-8006"
    assert ["qty" in row for row in cells(tmp_path / "again.xlsx")] == [False]


def test_a_run_by_a_rule_that_lies_elsewhere_is_written_spot_by_spot(tmp_path: Path) -> None:
    rule = 'key = "own"\ntitle = "own"\nindoor = "30 ft"\noutdoor = "30 ft"\n'
    rule += 'source = "plant standard 3"\nstatus = "common practice"\n'
    (tmp_path / "own.toml").write_text(rule, encoding="utf-8")
    run = {**RUN, "length_ft": "120", "spacing": "own.toml"}
    order = read(write_csv(tmp_path / "list.csv", table([run], list(run)))).order
    (tmp_path / "elsewhere").mkdir()
    assert bare(again(order, tmp_path / "elsewhere")) == bare(order)
    assert {row["qty"] for row in cells(tmp_path / "elsewhere" / "again.xlsx")} == {"1"}


def test_a_run_with_one_spot_taken_out_is_not_counted_anew(tmp_path: Path) -> None:
    write_csv(tmp_path / "list.csv", table([{**RUN, "length_ft": "120"}], [*RUN, "length_ft"]))
    order = read(tmp_path / "list.csv").order
    assert order is not None
    (item,) = order.items
    fewer = order.model_copy(update={"items": (Item(item.spec, item.positions[1:]),)})
    assert bare(again(fewer, tmp_path)) == bare(fewer)


def test_a_viewing_distance_that_follows_is_not_written(tmp_path: Path) -> None:
    row = {**RUN, "height_ft": "17", "distance_ft": "16"}
    order = read(write_csv(tmp_path / "list.csv", table([row], list(row)))).order
    assert bare(again(order, tmp_path)) == bare(order)
    (written,) = cells(tmp_path / "again.xlsx")
    assert (written["height_ft"], written["distance_ft"]) == ("17", "16")
    assert "viewing_ft" not in written
