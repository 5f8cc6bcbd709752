"""What a line list may look like and still be read the same."""

from __future__ import annotations

import codecs
from pathlib import Path

import pytest
import xlsxwriter

from layouts.order.normal import order_json
from layouts.order.order import EquipmentMarker, PipeMarker, Specification, ValveTag
from layouts.terms.words import Flow, Kind, Level, Outline, Run, Setting, Side, State
from render.read import read
from tests.helpers.command import run
from tests.helpers.lists import GOOD, HEADINGS, short, table, write_csv, write_xlsx

ROWS = [
    {**GOOD, "area": "Dock", "location": "column B2", "drawing": "R-1"},
    {**GOOD, "qty": "", "line": "HTRS-4-2", "from": "DEU-1", "to": "HTR-1"},
    {"kind": "valve", "tag": "HV-1", "function": "King valve", "emergency": "yes", "side": "both"},
    {"kind": "equipment", "tag": "IC-1", "function": "Intercooler", "pressure_psig": "33.5"},
]


def only(path: Path) -> Specification:
    reading = read(path)
    assert reading.findings == ()
    assert reading.order is not None
    (item,) = reading.order.items
    return item.spec


def pipe_of(path: Path, **cells: str) -> PipeMarker:
    """The pipe marker of a list of one row with these cells under these headings."""
    row = {"service": "HPL", "pipe": "NPS 2"} | cells
    spec = only(write_csv(path / "one.csv", table([row], list(row))))
    assert isinstance(spec, PipeMarker)
    return spec


def test_rows_become_items_and_positions(tmp_path: Path) -> None:
    order = read(write_csv(tmp_path / "list.csv", table(ROWS))).order
    assert order is not None
    by_kind = {item.spec.kind: item for item in order.items}
    pipe, valve, equipment = (by_kind[kind] for kind in (Kind.PIPE, Kind.VALVE, Kind.EQUIPMENT))
    assert isinstance(pipe.spec, PipeMarker)
    assert (pipe.spec.state, pipe.spec.flow, pipe.spec.run) == (
        State.BOTH,
        Flow.LEFT,
        Run.HORIZONTAL,
    )
    assert pipe.spec.covering == pytest.approx(38.1)
    assert [(p.quantity, p.row, p.line) for p in pipe.positions] == [
        (2, 2, "HTRS-4-1"),
        (1, 3, "HTRS-4-2"),
    ]
    assert (pipe.positions[1].from_, pipe.positions[1].to) == ("DEU-1", "HTR-1")
    assert (pipe.positions[0].area, pipe.positions[0].drawing) == ("Dock", "R-1")
    assert valve.spec == ValveTag(
        kind=Kind.VALVE, tag="HV-1", function="King valve", emergency=True, sides=2
    )
    assert equipment.spec == EquipmentMarker(
        kind=Kind.EQUIPMENT, tag="IC-1", name="Intercooler", pressure=33.5
    )


@pytest.mark.parametrize(
    ("heading", "cell", "field", "expected"),
    [
        # Exact factors: NIST SP 811, 1 in = 25.4 mm, 1 ft = 304.8 mm.
        ("covering_in", "2", "covering", 50.8),
        ("covering_mm", "40", "covering", 40.0),
        ("Covering (mm)", "40", "covering", 40.0),
        ("covering_mm", "1-1/2 in", "covering", 38.1),
        ("COVERING cm", "4", "covering", 40.0),
        ("covering", "1-1/2", "covering", 38.1),
        ("OD_mm", "219.1", "od", 219.1),
        ("od-in", "8-5/8", "od", 219.075),
        ("girth_mm", "800", "girth", 800.0),
        ("Girth In", "31", "girth", 787.4),
        ("viewing_ft", "20", "viewing_distance", 6096.0),
        ("viewing_m", "6", "viewing_distance", 6000.0),
        ("viewing_m", "20 ft", "viewing_distance", 6096.0),
        ("straight_in", "18", "straight", 457.2),
        ("letter_in", "2.5", "letter_height", 63.5),
        ("length_mm", "900", "length", 900.0),
        # NIST SP 811, appendix B.8: 1 psi = 6.894757 kPa, 1 inHg = 3.386389 kPa.
        ("pressure_psig", "185", "pressure", 185.0),
        ("pressure_bar", "12.5", "pressure", 1250 / 6.894757),
        ("pressure_kpa", "300", "pressure", 300 / 6.894757),
        ("pressure_bar", "185 psig", "pressure", 185.0),
        ("pressure_psig", "10 inHg vac", "pressure", -33.86389 / 6.894757),
        ("pressure_psig", "-5", "pressure", -5.0),
        ("pressure_psia", "14.69595", "pressure", 0.0),
    ],
)
def test_units_in_headings_and_cells(
    tmp_path: Path, heading: str, cell: str, field: str, expected: float
) -> None:
    spec = pipe_of(tmp_path, **{heading: cell})
    assert getattr(spec, field) == pytest.approx(expected, rel=1e-6, abs=1e-4)


@pytest.mark.parametrize(
    ("heading", "cell", "fahrenheit"),
    [("surface_f", "190", 190), ("surface_c", "100", 212), ("surface °C", "100 F", 100)],
)
def test_temperatures(tmp_path: Path, heading: str, cell: str, fahrenheit: float) -> None:
    assert pipe_of(tmp_path, **{heading: cell}).environment.surface == pytest.approx(fahrenheit)


@pytest.mark.parametrize(
    ("heading", "cell", "od_in"),
    [  # ASME B36.10M: NPS 4 is DN 100, 4.500 in outside diameter
        ("pipe", "4", 4.5),
        ("pipe", "4 in", 4.5),
        ("pipe", "DN100", 4.5),
        ("pipe_dn", "100", 4.5),
        ("pipe_nps", "4", 4.5),
        ("pipe_mm", "114.3", 4.5),
        ("pipe_mm", "NPS 4", 4.5),
        ("pipe", "1-1/4", 1.66),
    ],
)
def test_pipe_sizes(tmp_path: Path, heading: str, cell: str, od_in: float) -> None:
    spec = only(write_csv(tmp_path / "p.csv", [["service", heading], ["HPL", cell]]))
    assert isinstance(spec, PipeMarker)
    assert spec.pipe is not None
    assert spec.pipe.od / 25.4 == pytest.approx(od_in)


@pytest.mark.parametrize(
    ("column", "cell", "field", "expected"),
    [
        ("state", "LIQ", "state", State.LIQUID),
        ("state", "Vapour", "state", State.VAPOR),
        ("state", "liq + vap", "state", State.BOTH),
        ("level", "Hi", "level", Level.HIGH),
        ("flow", "R", "flow", Flow.RIGHT),
        ("flow", "Reverse", "flow", Flow.REVERSING),
        ("run", "riser", "run", Run.VERTICAL),
        ("side", "2", "side", Side.BOTH),
        ("sides", "both", "side", Side.BOTH),
        ("wrap", "x", "wrap", True),
        ("wrap", "No", "wrap", False),
        ("lines", "2", "lines", 2),
        ("meaning", "high pressure liquid", "meaning", "high pressure liquid"),
        ("paint", "orange", "paint", "orange"),
        ("scheme", "asme-a13-1", "scheme", "asme-a13-1"),
    ],
)
def test_words(tmp_path: Path, column: str, cell: str, field: str, expected: object) -> None:
    assert getattr(pipe_of(tmp_path, **{column: cell}), field) == expected


@pytest.mark.parametrize(
    ("cell", "setting", "washdown"),
    [
        ("indoor", Setting.INDOOR, False),
        ("Outdoors", Setting.OUTDOOR, False),
        ("washdown", Setting.INDOOR, True),
        ("outdoor washdown", Setting.OUTDOOR, True),
        ("Outdoor, wash-down", Setting.OUTDOOR, True),
    ],
)
def test_environment_words(tmp_path: Path, cell: str, setting: Setting, washdown: bool) -> None:
    environment = pipe_of(tmp_path, environment=cell).environment
    assert (environment.setting, environment.washdown) == (setting, washdown)


def test_sizes_of_a_neighbor_and_a_round_tag(tmp_path: Path) -> None:
    spec = pipe_of(tmp_path, neighbor_letter_in="2.5", neighbor_height_mm="90")
    assert spec.neighbor is not None
    assert spec.neighbor.letter_height == pytest.approx(63.5)
    assert spec.neighbor.marker_height == pytest.approx(90)
    cells = [["kind", "tag", "shape"], ["valve", "HV-1", "round"]]
    tag = only(write_csv(tmp_path / "v.csv", cells))
    assert isinstance(tag, ValveTag)
    assert tag.shape is Outline.ROUND


def test_headings_in_any_case_and_a_title_above(tmp_path: Path) -> None:
    plain = table(ROWS)
    loud = [[name.upper().replace("_", " - ") for name in HEADINGS], *plain[1:]]
    title = [["Line list of an invented plant"], [], *plain]
    one = read(write_csv(tmp_path / "a.csv", plain)).order
    two = read(write_csv(tmp_path / "b.csv", loud)).order
    assert one is not None
    assert two is not None
    assert one.items == two.items
    assert (one.title, two.title) == ("a", "b")  # a list has no title of its own
    titled = read(write_csv(tmp_path / "c.csv", title))
    assert titled.findings == ()
    assert titled.order is not None
    rows = {p.row for item in titled.order.items for p in item.positions}
    assert rows == {4, 5, 6, 7}  # as a person counts them in the file


def test_blank_rows_are_skipped_and_counted(tmp_path: Path) -> None:
    head, *rows = table(ROWS)
    cells = [head, rows[0], [], ["", "  "], *rows[1:]]
    order = read(write_csv(tmp_path / "list.csv", cells)).order
    assert order is not None
    assert {p.row for item in order.items for p in item.positions} == {2, 5, 6, 7}


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_delimiters(tmp_path: Path, delimiter: str) -> None:
    plain = read(write_csv(tmp_path / "list.csv", table(ROWS)))
    assert plain.order is not None
    assert read(write_csv(tmp_path / "list.csv", table(ROWS), delimiter)) == plain


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_encodings(tmp_path: Path, encoding: str) -> None:
    path = tmp_path / "list.csv"
    path.write_bytes("service,pipe,area\nHPL,NPS 2,Kühlraum\n".encode(encoding))
    reading = read(path)
    assert reading.findings == ()
    assert reading.order is not None
    assert reading.order.items[0].positions[0].area == "Kühlraum"


@pytest.mark.parametrize("name", ["list.csv", "order.toml", "order.json"])
@pytest.mark.parametrize("end", [b"}", b"\x00\xdc}\x00"])  # half a character, half of a pair
def test_broken_utf_16_is_refused(tmp_path: Path, name: str, end: bytes) -> None:
    path = tmp_path / name
    path.write_bytes("service,pipe,area\nHPL,NPS 2,".encode("utf-16") + end)
    result = run("check", path)
    assert result.exit_code == 2
    assert f"{name}: the file is not text; save it as UTF-8 text" in result.output


def test_windows_text_is_read_with_a_warning(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_bytes("service,pipe,area\nHPL,NPS 2,Kühlraum\n".encode("cp1252"))
    reading = read(path)
    assert short(reading) == {(None, "", "old-encoding")}
    assert not reading.findings[0].blocks
    assert reading.order is not None
    assert reading.order.items[0].positions[0].area == "Kühlraum"


def test_a_byte_order_mark_does_not_hide_the_first_heading(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_bytes(codecs.BOM_UTF8 + b"service,pipe\nHPL,NPS 2\n")
    assert only(path).service == "HPL"  # type: ignore[union-attr]


def test_a_workbook_reads_as_its_csv(tmp_path: Path) -> None:
    as_csv = read(write_csv(tmp_path / "list.csv", table(ROWS)))
    as_xlsx = read(write_xlsx(tmp_path / "list.xlsx", table(ROWS)))
    assert as_xlsx == as_csv


def test_numbers_of_a_workbook(tmp_path: Path) -> None:
    cells: list[list[object]] = [
        ["service", "pipe", "covering_in", "pressure_psig", "qty", "line", "wrap"],
        ["HPL", 0.75, 1.5, -4.25, 3.0, 12.0, True],
    ]
    reading = read(write_xlsx(tmp_path / "list.xlsx", cells))
    assert reading.findings == ()
    assert reading.order is not None
    (item,) = reading.order.items
    assert isinstance(item.spec, PipeMarker)
    assert item.spec.pipe is not None
    assert (item.spec.pipe.label, item.spec.covering, item.spec.wrap) == ("NPS 3/4", 38.1, True)
    assert (item.spec.pressure, item.quantity, item.positions[0].line) == (-4.25, 3, "12")


def test_the_first_sheet_with_headings_is_read(tmp_path: Path) -> None:
    path = tmp_path / "list.xlsx"
    with xlsxwriter.Workbook(str(path)) as book:
        book.add_worksheet("Read me").write(0, 0, "Revision C of the line list")
        sheet = book.add_worksheet("Lines")
        for row, cells in enumerate(table(ROWS)):
            sheet.write_row(row + 2, 3, cells)  # a table need not start in A1
    reading = read(path)
    assert reading.findings == ()
    assert reading.order is not None
    assert reading.order.quantity == 5


def test_cells_of_equal_meaning_are_one_marker(tmp_path: Path) -> None:
    cells = [
        ["service", "pipe", "covering_mm"],
        *(["HPL", pipe, "38.1"] for pipe in ("NPS 4", "4", "DN100", "4 in")),
        ["HPL", "NPS 4", "1-1/2 in"],
    ]
    reading = read(write_csv(tmp_path / "list.csv", cells))
    assert reading.order is not None
    assert [item.quantity for item in reading.order.items] == [5]


def test_row_order_does_not_matter_for_markers(tmp_path: Path) -> None:
    head, *rows = table(ROWS)
    one = read(write_csv(tmp_path / "a.csv", [head, *rows])).order
    two = read(write_csv(tmp_path / "b.csv", [head, *reversed(rows)])).order
    assert one is not None
    assert two is not None
    assert [item.spec for item in one.items] == [item.spec for item in two.items]
    assert order_json(one) != order_json(two)  # positions keep their rows


def test_machines_may_be_a_range_as_valves_may(tmp_path: Path) -> None:
    rows = [{"kind": "equipment", "tag": "AC-1..AC-4, AC-7", "legend": "Air cooler", "qty": "2"}]
    reading = read(write_csv(tmp_path / "list.csv", table(rows, list(rows[0]))))
    assert reading.findings == ()
    assert reading.order is not None
    made = [
        (item.spec.tag, item.quantity)
        for item in reading.order.items
        if isinstance(item.spec, EquipmentMarker)
    ]
    assert made == [(f"AC-{number}", 2) for number in (1, 2, 3, 4, 7)]
