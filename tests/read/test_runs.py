"""Rows that describe a run: counted by the spacing rule, each fault by row and field."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from layouts.order.normal import order_json
from layouts.order.order import Item, MeasuredRun, PipeMarker, Position, RoomAlong
from layouts.terms.findings import Severity
from layouts.terms.words import Kind
from render.read import Reading, read
from tests.helpers.lists import GOOD, short, table, write_csv

FT = 304.8  # NIST SP 811
RUN = {key: value for key, value in GOOD.items() if key != "qty"}
HEADINGS = [
    *(*GOOD, "kind", "tag", "side", "run", "environment", "area", "length_ft", "rooms", "turns"),
    *("branches", "valves", "penetrations", "height_ft", "distance_ft", "spacing", "viewing_ft"),
    *("at_ft", "spot"),
]


def listed(folder: Path, *rows: dict[str, str]) -> Reading:
    return read(write_csv(folder / "list.csv", table(rows, HEADINGS)))


def items(reading: Reading) -> tuple[Item, ...]:
    assert all(finding.severity is Severity.NOTE for finding in reading.findings)
    assert reading.order is not None
    return reading.order.items


def only(reading: Reading) -> Item:
    (item,) = items(reading)
    return item


@pytest.mark.parametrize(
    ("cells", "feet"),
    [
        # Worked by hand: ends stand within half the spacing of a marker, so a straight run of
        # 120 ft has 120 / 40 = 3 of them, by 20 ft (nasa-gsfc-8006, indoors) 120 / 20 = 6.
        ({"length_ft": "120"}, [20, 60, 100]),
        ({"length_ft": "120", "spacing": "nasa-gsfc-8006"}, [10, 30, 50, 70, 90, 110]),
        # The same rule gives 50 ft outdoors: 100 / 50 = 2.
        (
            {"length_ft": "100", "spacing": "nasa-gsfc-8006", "environment": "outdoor"},
            [25, 75],
        ),
        ({"length_ft": "36.576 m"}, [20, 60, 100]),  # 36.576 / 0.3048 = 120
        ({"length_ft": "30"}, [15]),  # at least one on every run
    ],
)
def test_a_straight_run(tmp_path: Path, cells: dict[str, str], feet: list[float]) -> None:
    item = only(listed(tmp_path, {**RUN, **cells}))
    assert [position.at for position in item.positions] == [pytest.approx(ft * FT) for ft in feet]
    assert {position.quantity for position in item.positions} == {1}
    assert {position.row for position in item.positions} == {2}


def test_a_spot_says_where_and_why(tmp_path: Path) -> None:
    """Within 2 ft of the turn at 15 ft, 12 in clear of it: common-40ft."""
    reading = listed(tmp_path, {**RUN, "length_ft": "30", "turns": "15 ft"})
    assert reading.findings == ()
    (position,) = only(reading).positions
    assert position.at is not None
    assert 13 <= position.at / FT <= 14 or 16 <= position.at / FT <= 17
    assert "at elbow 1, within 2 ft; " in position.spot
    feet, inches = divmod(round(position.at / 25.4), 12)
    assert f"({feet} ft {inches} in from start" in position.spot
    assert position.pipe_run == MeasuredRun(length=30 * FT, turns=(15 * FT,))
    assert (position.line, position.from_) == ("HTRS-4-1", "")


def test_rooms_by_name_are_each_marked(tmp_path: Path) -> None:
    rooms = "engine room (30 ft), corridor; dock (20 ft)"
    reading = listed(tmp_path, {**RUN, "length_ft": "60", "rooms": rooms, "penetrations": "0"})
    positions = only(reading).positions
    said = " | ".join(position.spot for position in positions)
    assert all(f"at least one in {room}" in said for room in ("engine room", "corridor", "dock"))
    run = positions[0].pipe_run
    assert run is not None
    assert run.rooms == (
        RoomAlong("engine room", 30 * FT),
        RoomAlong("corridor"),
        RoomAlong("dock", 20 * FT),
    )
    assert short(reading) == {(2, "length_ft", "run-assumed")}


def test_a_row_with_a_count_keeps_it(tmp_path: Path) -> None:
    reading = listed(tmp_path, {**GOOD, "length_ft": "400", "turns": "9", "height_ft": "12"})
    assert reading.findings == ()
    (position,) = only(reading).positions
    assert (position.quantity, position.at, position.spot) == (2, None, "")
    assert position.pipe_run == MeasuredRun(length=400 * FT, turns=9)
    assert position.height == pytest.approx(12 * FT)


def test_both_sides_are_doubled_in_planning_not_here(tmp_path: Path) -> None:
    assert only(listed(tmp_path, {**RUN, "length_ft": "120", "side": "both"})).quantity == 3


def test_the_viewing_distance_follows_from_height_and_distance(tmp_path: Path) -> None:
    """12 ft above an eye at 5 ft and 16 ft away are 20 ft: the triangle of 3, 4 and 5."""
    seen = {"height_ft": "17", "distance_ft": "16"}
    found = items(
        listed(
            tmp_path,
            {**RUN, **seen, "length_ft": "30", "line": "A"},
            {**RUN, **seen, "viewing_ft": "35", "line": "B"},
            {**RUN, "height_ft": "17", "line": "C"},
            {**RUN, **seen, "run": "vertical", "flow": "up", "line": "D"},
            {"kind": "equipment", "tag": "HPR-1", **seen, "line": "E"},
        )
    )
    by_line = {item.positions[0].line: item.spec.viewing_distance for item in found}
    assert by_line == {
        "A": pytest.approx(20 * FT),
        "B": pytest.approx(35 * FT),
        "C": None,
        "D": pytest.approx(16 * FT),  # a riser is read at the height of the eye
        "E": pytest.approx(20 * FT),
    }


def test_what_is_assumed_alike_is_one_note(tmp_path: Path) -> None:
    reading = listed(
        tmp_path,
        {**RUN, "length_ft": "100", "turns": "2"},
        {**RUN, "length_ft": "80", "turns": "3", "rooms": "2"},
        {**RUN, "length_ft": "80", "valves": "3", "spacing": "common-40ft"},
    )
    assert [(f.place.row, f.place.more, f.code) for f in reading.findings] == [
        (2, 1, "run-assumed"),  # places spread evenly, for both rows under the default rule
        (4, 0, "run-assumed"),  # a rule that marks no valves
    ]
    assert not any(finding.blocks for finding in reading.findings)


@pytest.mark.parametrize(
    ("cells", "expected"),
    [
        ({"length_ft": "far"}, {("length_ft", "bad-length")}),
        ({"length_ft": "0"}, {("length_ft", "run-impossible")}),
        ({"length_ft": "#REF!"}, {("length_ft", "cell-error")}),
        ({"length_ft": "40", "turns": "a few"}, {("turns", "bad-count")}),
        ({"length_ft": "40", "turns": "1.5"}, {("turns", "bad-count")}),
        ({"length_ft": "40", "turns": "-1"}, {("turns", "bad-count")}),
        ({"length_ft": "40", "turns": "12 ft, 30"}, {("turns", "bad-count")}),
        ({"length_ft": "40", "turns": "12 ft, , 30 ft"}, {("turns", "bad-count")}),
        ({"length_ft": "40", "turns": "201"}, {("turns", "bad-count")}),
        ({"length_ft": "40", "turns": "50 ft"}, {("turns", "run-impossible")}),
        ({"length_ft": "40", "turns": "3/4/2026"}, {("turns", "cell-date")}),
        ({"length_ft": "40", "rooms": "0"}, {("rooms", "bad-count")}),
        ({"length_ft": "40", "rooms": "hall (30 ft), dock (20 ft)"}, {("rooms", "run-impossible")}),
        ({"length_ft": "40", "height_ft": "high"}, {("height_ft", "bad-length")}),
        ({"length_ft": "40", "distance_ft": "-3"}, {("distance_ft", "bad-length")}),
        ({"length_ft": "40", "spacing": "none such"}, {("spacing", "spacing-unknown")}),
        ({"length_ft": "40", "spot": "x" * 401}, {("spot", "text-too-long")}),
        ({"turns": "3"}, {("length_ft", "missing-value")}),
        (
            {"length_ft": "far", "branches": "x", "qty": "0"},
            {("length_ft", "bad-length"), ("branches", "bad-count"), ("qty", "bad-quantity")},
        ),
    ],
)
def test_a_fault_of_a_run_names_row_and_field(
    tmp_path: Path, cells: dict[str, str], expected: set[tuple[str, str]]
) -> None:
    reading = listed(tmp_path, GOOD, {**RUN, **cells})
    assert short(reading) == {(3, field, code) for field, code in expected}
    assert all(finding.blocks and finding.right for finding in reading.findings)
    assert reading.order is not None
    assert reading.order.quantity == 2  # the row above can be checked further


def test_a_spacing_filled_down_asks_for_nothing(tmp_path: Path) -> None:
    reading = listed(tmp_path, {**RUN, "spacing": "nasa-gsfc-8006"})
    assert (reading.findings, only(reading).quantity) == ((), 1)


def test_a_valve_is_on_no_run_but_hangs_at_a_height(tmp_path: Path) -> None:
    reading = listed(tmp_path, {"kind": "valve", "tag": "HV-1", "turns": "2", "height_ft": "9"})
    assert short(reading) == {(2, "turns", "unused-cell")}
    (position,) = only(reading).positions
    assert position.height == pytest.approx(9 * FT)
    assert position.pipe_run is None


def test_a_marker_length_in_inches_is_no_run(tmp_path: Path) -> None:
    cells = [["service", "pipe", "length_in", "length_m"], ["HPL", "NPS 2", "24", "12"]]
    item = only(read(write_csv(tmp_path / "l.csv", cells)))
    assert isinstance(item.spec, PipeMarker)
    assert item.spec.length == pytest.approx(609.6)
    assert item.positions[0].pipe_run == MeasuredRun(length=12_000.0)


@pytest.mark.parametrize(
    ("cell", "tags"),
    [
        ("HV-101..HV-103", ["HV-101", "HV-102", "HV-103"]),
        ("HV-08..10, HV-12", ["HV-08", "HV-09", "HV-10", "HV-12"]),
        ("HV-7", ["HV-7"]),
    ],
)
def test_a_range_of_tags(tmp_path: Path, cell: str, tags: list[str]) -> None:
    row = {"kind": "valve", "tag": cell, "qty": "2", "area": "Dock"}
    found = {item.spec.tag: item for item in items(listed(tmp_path, row))}  # type: ignore[union-attr]
    assert sorted(found) == tags
    assert all(i.quantity == 2 and i.positions[0].area == "Dock" for i in found.values())


def test_a_range_that_cannot_be_spelled_out(tmp_path: Path) -> None:
    rows = [
        {"kind": "valve", "tag": "HV-9..HV-3"},
        {"kind": "valve", "tag": "HV-1, HV-1", "side": "three"},
    ]
    assert short(listed(tmp_path, *rows)) == {
        (2, "tag", "bad-tag"),
        (3, "tag", "bad-tag"),
        (3, "side", "bad-choice"),
    }


def test_a_range_of_more_than_a_thousand_or_in_one_spec_is_refused(tmp_path: Path) -> None:
    assert short(listed(tmp_path, {"kind": "valve", "tag": "HV-1..HV-2000"})) == {
        (2, "tag", "bad-tag")
    }


# Order files


def order(folder: Path, text: str) -> Reading:
    path = folder / "order.toml"
    path.write_text(text, encoding="utf-8")
    return read(path)


PIPE = '[[markers]]\nservice = "HPL"\npipe = "NPS 2"\n'


def test_an_order_marker_describes_a_run(tmp_path: Path) -> None:
    text = (
        'spacing = "nasa-gsfc-8006"\n'
        + PIPE
        + 'height = "17 ft"\ndistance = 16\narea = "Dock"\n[markers.pipe_run]\nlength = "120 ft"\n'
    )
    item = only(order(tmp_path, text))
    assert [p.at for p in item.positions] == [pytest.approx(ft * FT) for ft in range(10, 120, 20)]
    assert {p.area for p in item.positions} == {"Dock"}
    assert item.spec.viewing_distance == pytest.approx(20 * FT)


def test_positions_of_one_marker_by_count_and_by_run(tmp_path: Path) -> None:
    text = PIPE + 'positions = [{qty = 4}, {pipe_run = {length = "120 ft"}, area = "Dock"}]\n'
    assert only(order(tmp_path, text)).quantity == 7


def test_the_orders_rule_holds_for_its_line_list(tmp_path: Path) -> None:
    rows = [{**RUN, "length_ft": "120"}, {**RUN, "length_ft": "120", "spacing": "university-10ft"}]
    write_csv(tmp_path / "list.csv", table(rows, HEADINGS))
    found = order(tmp_path, 'spacing = "nasa-gsfc-8006"\nline_list = "list.csv"\n')
    assert only(found).quantity == 6 + 12  # 120 ft by 20 and by 10


def test_a_plants_own_rule_beside_the_order(tmp_path: Path) -> None:
    rule = 'key = "ours"\ntitle = "30 ft"\nindoor = "30 ft"\noutdoor = "30 ft"\n'
    (tmp_path / "ours.toml").write_text(rule, encoding="utf-8")
    text = 'spacing = "ours.toml"\n' + PIPE + 'pipe_run = {length = "120 ft"}\n'
    assert only(order(tmp_path, text)).quantity == 4
    (tmp_path / "ours.toml").write_text(rule.replace("key", "kee"), encoding="utf-8")
    broken = order(tmp_path, text)
    assert {each[1:] for each in short(broken)} == {
        ("marker 1, pipe_run, spacing", "spacing-unknown")
    }
    assert "'key' is missing" in broken.findings[0].what
    (tmp_path / "ours.toml").write_bytes(b"\xff\xfe\x00")
    assert short(order(tmp_path, text)) == {
        (None, "marker 1, pipe_run, spacing", "spacing-unknown")
    }


@pytest.mark.parametrize(
    ("text", "field", "code"),
    [
        ("pipe_run = {length = 'far'}\n", "marker 1, pipe_run, length", "bad-length"),
        ("pipe_run = {length = '0 ft'}\n", "marker 1, pipe_run, length", "run-impossible"),
        ("pipe_run = {turns = 2}\n", "marker 1, pipe_run, length", "missing-value"),
        ("pipe_run = {lenght = '9 ft'}\n", "marker 1, pipe_run, lenght", "unknown-key"),
        ("pipe_run = {length = 9, turns = true}\n", "marker 1, pipe_run, turns", "bad-count"),
        ("pipe_run = {length = 9, rooms = []}\n", "marker 1, pipe_run, rooms", "bad-count"),
        (
            "pipe_run = {length = 9, spacing = 'x'}\n",
            "marker 1, pipe_run, spacing",
            "spacing-unknown",
        ),
        ("pipe_run = 9\n", "marker 1, pipe_run", "bad-value"),
        ("height = 'x'\n", "marker 1, height", "bad-length"),
        (
            "positions = [{qty = 1}, {pipe_run = {length = 9, turns = ['12 ft']}}]\n",
            "marker 1, position 2, pipe_run, turns",
            "run-impossible",
        ),
        (
            "[[markers]]\nkind = 'valve'\ntag = 'V-1'\npipe_run = {length = 9}\n",
            "marker 2, pipe_run",
            "bad-value",
        ),
        ("[[markers]]\nkind = 'valve'\ntag = 'V-9..V-1'\n", "marker 2, tag", "bad-tag"),
    ],
)
def test_a_fault_in_an_order(tmp_path: Path, text: str, field: str, code: str) -> None:
    assert short(order(tmp_path, PIPE + text)) == {(None, field, code)}


def test_the_nearest_key_of_a_run_is_offered(tmp_path: Path) -> None:
    (finding,) = order(tmp_path, PIPE + "pipe_run = {lenght = '9 ft'}\n").findings
    assert "did you mean length?" in finding.sentence()


def test_a_range_of_tags_in_an_order(tmp_path: Path) -> None:
    found = items(order(tmp_path, "[[markers]]\nkind = 'valve'\ntag = 'HV-1..HV-3'\nqty = 2\n"))
    assert [(item.spec.kind, item.quantity) for item in found] == [(Kind.VALVE, 2)] * 3


def test_a_counted_run_reads_back_as_it_was_counted(tmp_path: Path) -> None:
    """Not counted anew: the rule, or the folder it lies in, may have changed since."""
    rule = 'key = "ours"\ntitle = "30 ft"\nindoor = "30 ft"\noutdoor = "30 ft"\n'
    (tmp_path / "ours.toml").write_text(rule, encoding="utf-8")
    text = 'spacing = "ours.toml"\n' + PIPE + 'pipe_run = {length = "120 ft", turns = 2}\n'
    first = order(tmp_path, text).order
    assert first is not None
    (tmp_path / "ours.toml").unlink()
    (tmp_path / "order.json").write_bytes(order_json(first))
    assert read(tmp_path / "order.json") == Reading(first, ())


def test_an_order_written_before_runs_is_still_read(tmp_path: Path) -> None:
    old = {
        "accept": [],
        "markers": [
            {
                "kind": "pipe",
                "pipe": "NPS 2",
                "service": "HPL",
                "positions": [{"area": "Dock", "line": "HPL-2-1", "qty": 3, "row": 7}],
            }
        ],
        "plant": "",
        "revision": "",
        "scheme": "ammonia-2014",
        "stocks": {"film": "roll-54in", "plate": "plate-48x96in", "tag": "tag-24x48in"},
        "title": "T",
        "version": 1,
    }
    (tmp_path / "order.json").write_text(json.dumps(old), encoding="utf-8")
    item = only(read(tmp_path / "order.json"))
    assert item.positions == (Position(3, area="Dock", line="HPL-2-1", row=7),)
