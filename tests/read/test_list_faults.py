"""Every fault that a line list can have, by row, field and code."""

from __future__ import annotations

import datetime
import zipfile
from pathlib import Path

import openpyxl
import pytest
import xlsxwriter

from layouts.terms.findings import Severity
from render.read import CODES, read
from tests.helpers.lists import GOOD, HEADINGS, short, table, write_csv, write_xlsx

EQUIPMENT = {"kind": "equipment", "tag": "HPR-1", "legend": "HIGH PRESSURE RECEIVER"}
VALVE = {"kind": "valve", "tag": "HV-1", "service": "HPL", "valve_size": "NPS 2"}


@pytest.mark.parametrize(
    ("row", "field", "code"),
    [
        ({**GOOD, "kind": "pump line"}, "kind", "bad-choice"),
        ({**GOOD, "state": "liquidd"}, "state", "bad-choice"),
        ({**GOOD, "level": "medium"}, "level", "bad-choice"),
        ({**GOOD, "flow": "east"}, "flow", "bad-choice"),
        ({**GOOD, "run": "diagonal"}, "run", "bad-choice"),
        ({**GOOD, "side": "three"}, "side", "bad-choice"),
        ({**GOOD, "environment": "indoor outdoor"}, "environment", "bad-choice"),
        ({**GOOD, "environment": "cellar"}, "environment", "bad-choice"),
        ({**GOOD, "pressure_psig": "30 fathoms"}, "pressure_psig", "bad-pressure"),
        ({**GOOD, "pressure_psig": "-20"}, "pressure_psig", "bad-pressure"),
        ({**GOOD, "pressure_psig": "10 inHg"}, "pressure_psig", "bad-pressure"),
        ({**GOOD, "pipe": "NPS 7"}, "pipe", "bad-pipe"),
        ({**GOOD, "pipe": "four"}, "pipe", "bad-pipe"),
        ({**GOOD, "covering_in": "thick"}, "covering_in", "bad-length"),
        ({**GOOD, "covering_in": "1,5"}, "covering_in", "bad-length"),
        ({**GOOD, "covering_in": "-1"}, "covering_in", "bad-length"),
        ({**GOOD, "covering_in": "10 inHg vac"}, "covering_in", "bad-length"),
        ({**GOOD, "od_in": "9" * 90}, "od_in", "bad-length"),
        ({**GOOD, "girth_in": "31 ells"}, "girth_in", "bad-length"),
        ({**GOOD, "frost_in": "some"}, "frost_in", "bad-length"),
        ({**GOOD, "viewing_ft": "far"}, "viewing_ft", "bad-length"),
        ({**GOOD, "surface_f": "hot"}, "surface_f", "bad-temperature"),
        ({**GOOD, "surface_f": "-500"}, "surface_f", "bad-temperature"),
        ({**GOOD, "qty": "two"}, "qty", "bad-quantity"),
        ({**GOOD, "qty": "0"}, "qty", "bad-quantity"),
        ({**GOOD, "qty": "1.5"}, "qty", "bad-quantity"),
        ({**GOOD, "qty": "-1"}, "qty", "bad-quantity"),
        ({**GOOD, "qty": "10001"}, "qty", "bad-quantity"),
        ({**GOOD, "covering_in": "#DIV/0!"}, "covering_in", "cell-error"),
        ({**GOOD, "location": "#REF!"}, "location", "cell-error"),
        ({**GOOD, "qty": "#N/A"}, "qty", "cell-error"),
        ({**GOOD, "pipe": "4-Mar"}, "pipe", "cell-date"),
        ({**GOOD, "covering_in": "3/4/2026"}, "covering_in", "cell-date"),
        ({**GOOD, "covering_in": "2026-03-04"}, "covering_in", "cell-date"),
        ({**GOOD, "legend": "X" * 121}, "legend", "text-too-long"),
        ({**GOOD, "note": "X" * 401}, "note", "text-too-long"),
        ({**VALVE, "tag": ""}, "tag", "missing-value"),
        ({**VALVE, "valve_size": "NPS 7"}, "valve_size", "bad-pipe"),
        ({**VALVE, "emergency": "maybe"}, "emergency", "bad-choice"),
        ({**VALVE, "tag": "#NAME?"}, "tag", "cell-error"),
        ({**EQUIPMENT, "pressure_psig": "high"}, "pressure_psig", "bad-pressure"),
    ],
)
def test_a_faulty_cell_is_the_one_finding(
    tmp_path: Path, row: dict[str, str], field: str, code: str
) -> None:
    reading = read(write_csv(tmp_path / "list.csv", table([GOOD, row])))
    assert short(reading) == {(3, field, code)}
    finding = reading.findings[0]
    assert finding.severity is Severity.UNREADABLE
    assert finding.place.file == "list.csv"
    assert finding.right or "such as" in finding.what
    assert reading.order is not None  # the row above can be checked further
    assert [p.row for item in reading.order.items for p in item.positions] == [2]


def test_twenty_seeded_mistakes_give_exactly_their_findings(tmp_path: Path) -> None:
    seeded: list[tuple[dict[str, str], set[tuple[str, str]]]] = [
        ({"kind": "pipeline"}, {("kind", "bad-choice")}),
        ({"state": "frozen"}, {("state", "bad-choice")}),
        ({"level": "middling"}, {("level", "bad-choice")}),
        ({"flow": "rihgt"}, {("flow", "bad-choice")}),
        ({"run": "slanted"}, {("run", "bad-choice")}),
        ({"side": "botth"}, {("side", "bad-choice")}),
        ({"environment": "outdor"}, {("environment", "bad-choice")}),
        ({"pressure_psig": "thirty"}, {("pressure_psig", "bad-pressure")}),
        ({"pipe": "DN101"}, {("pipe", "bad-pipe")}),
        ({"pipe": "03/04/2026"}, {("pipe", "cell-date")}),
        ({"covering_in": "1.5 psig"}, {("covering_in", "bad-length")}),
        ({"covering_in": "#VALUE!"}, {("covering_in", "cell-error")}),
        ({"od_in": "8,5"}, {("od_in", "bad-length")}),
        ({"girth_in": "31 hands"}, {("girth_in", "bad-length")}),
        ({"surface_f": "warm"}, {("surface_f", "bad-temperature")}),
        ({"viewing_ft": "-3"}, {("viewing_ft", "bad-length")}),
        ({"qty": "a few"}, {("qty", "bad-quantity")}),
        ({"legend": "L" * 200}, {("legend", "text-too-long")}),
        ({"kind": "valve", "tag": "", "flow": ""}, {("tag", "missing-value")}),
        ({"location": "#REF!"}, {("location", "cell-error")}),
    ]
    valve = {"service": "HPL", "qty": "1"}
    rows, expected = [GOOD], set()
    for number, (mistake, faults) in enumerate(seeded, 3):
        base = valve if mistake.get("kind") == "valve" else GOOD
        rows.append({**base, **mistake})
        expected |= {(number, field, code) for field, code in faults}
    reading = read(write_csv(tmp_path / "list.csv", table(rows)))
    assert len(expected) == 20
    assert short(reading) == expected
    assert len(reading.findings) == 20


def test_all_faults_of_one_row_are_found_at_once(tmp_path: Path) -> None:
    row = {**GOOD, "state": "x y", "pipe": "NPS 7", "qty": "0", "location": "#REF!"}
    reading = read(write_csv(tmp_path / "list.csv", table([row])))
    assert short(reading) == {
        (2, "state", "bad-choice"),
        (2, "pipe", "bad-pipe"),
        (2, "qty", "bad-quantity"),
        (2, "location", "cell-error"),
    }
    assert reading.order is None


def test_the_nearest_word_is_offered(tmp_path: Path) -> None:
    reading = read(write_csv(tmp_path / "list.csv", table([{**GOOD, "flow": "rihgt"}])))
    assert "did you mean right?" in reading.findings[0].sentence()
    reading = read(write_csv(tmp_path / "list.csv", table([GOOD], [*HEADINGS, "coverring"])))
    assert short(reading) == {(1, "coverring", "unknown-column")}
    assert "did you mean covering_in?" in reading.findings[0].sentence()
    assert reading.findings[0].severity is Severity.WARNING
    assert reading.order is not None


def test_the_same_mistake_further_down_is_counted(tmp_path: Path) -> None:
    rows = [{**GOOD, "flow": "east"}, GOOD, {**GOOD, "flow": "east"}, {**GOOD, "flow": "east"}]
    reading = read(write_csv(tmp_path / "list.csv", table(rows)))
    assert [(f.place.row, f.place.more) for f in reading.findings] == [(2, 2)]


def test_a_cell_that_the_kind_does_not_use_is_a_note(tmp_path: Path) -> None:
    rows = [{**EQUIPMENT, "covering_in": "2"}, {**EQUIPMENT, "covering_in": "3"}]
    reading = read(write_csv(tmp_path / "list.csv", table(rows)))
    assert short(reading) == {(2, "covering_in", "unused-cell")}
    assert reading.findings[0].severity is Severity.NOTE
    assert reading.order is not None
    assert reading.order.quantity == 2


def test_a_name_wins_over_a_function_with_a_note(tmp_path: Path) -> None:
    rows = [{**EQUIPMENT, "function": "Receiver"}]
    assert short(read(write_csv(tmp_path / "list.csv", table(rows)))) == {
        (2, "function", "unused-cell")
    }


@pytest.mark.parametrize(
    ("headings", "expected"),
    [
        (("service", "state", "flow"), {(1, "pipe", "missing-column")}),
        (("pipe", "state", "flow"), {(1, "service", "missing-column")}),
        (("service", "pipe", "PIPE"), {(1, "pipe", "duplicate-column")}),
        (
            ("service", "pipe", "covering_in", "Covering (mm)"),
            {(1, "covering_in", "duplicate-column")},
        ),
    ],
)
def test_faulty_headings(
    tmp_path: Path, headings: tuple[str, ...], expected: set[tuple[int, str, str]]
) -> None:
    cells = [headings, [GOOD.get(name, "") for name in headings]]
    reading = read(write_csv(tmp_path / "list.csv", cells))
    assert short(reading) == expected


def test_a_column_without_a_heading_is_told_once(tmp_path: Path) -> None:
    cells = [["service", "", "pipe"], ["HPL", "odd", "NPS 2"], ["HPL", "odd", "NPS 3"]]
    assert short(read(write_csv(tmp_path / "list.csv", cells))) == {
        (1, "column 2", "unknown-column")
    }
    cells[1][1] = cells[2][1] = ""
    assert short(read(write_csv(tmp_path / "list.csv", cells))) == set()


def test_a_row_that_names_a_section(tmp_path: Path) -> None:
    rows = [{"line": "ROOFTOP"}, GOOD, {"line": "  "}, {"line": "DOCK", "qty": "2"}, GOOD]
    reading = read(write_csv(tmp_path / "list.csv", table(rows)))
    assert short(reading) == {(2, "", "rows-left-out"), (5, "", "row-without-marker")}
    assert reading.order is not None
    assert [p.row for item in reading.order.items for p in item.positions] == [3, 6]


def test_a_row_with_a_cell_too_many(tmp_path: Path) -> None:
    cells = [["service", "pipe", "note"], ["HPL", "NPS 2", "left", "of door"]]
    assert short(read(write_csv(tmp_path / "list.csv", cells))) == {(2, "", "row-too-long")}


@pytest.mark.parametrize(
    ("name", "content", "code"),
    [
        ("list.csv", b"", "file-empty"),
        ("list.csv", b",,,\n,,,\n", "file-empty"),
        ("list.csv", b"a,b\n1,2\n", "no-headings"),
        ("list.csv", b"service,pipe\n", "empty-list"),
        ("list.csv", b'service,pipe\nHPL,"NPS 2\n', "bad-syntax"),
        ("list.csv", b"service,pipe\nHPL,\0\n", "bad-encoding"),
        ("list.csv", b"service,pipe\nHPL,NPS 2 \x81\n", "bad-encoding"),
        ("list.csv", b"PK\x03\x04", "file-broken"),
        ("list.xlsx", b"service,pipe\n", "file-broken"),
        ("list.xlsx", b"PK\x03\x04 and no more", "file-broken"),
        ("list.xlsx", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "file-locked"),
        ("list.xls", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "file-broken"),
        ("list.pdf", b"%PDF", "unknown-format"),
        ("list", b"service,pipe\n", "unknown-format"),
    ],
)
def test_a_file_that_cannot_be_read_is_one_sentence(
    tmp_path: Path, name: str, content: bytes, code: str
) -> None:
    path = tmp_path / name
    path.write_bytes(content)
    reading = read(path)
    assert reading.order is None
    assert [finding.code for finding in reading.findings] == [code]
    assert "\n" not in reading.findings[0].sentence()


def test_a_file_that_is_not_there_and_a_folder(tmp_path: Path) -> None:
    assert short(read(tmp_path / "list.csv")) == {(None, "", "file-missing")}
    (tmp_path / "dir.csv").mkdir()
    assert short(read(tmp_path / "dir.csv")) == {(None, "", "file-unreadable")}


def test_a_broken_row_is_named(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_text('service,pipe\nHPL,NPS 2\nHPL,"NPS" 2\n', encoding="utf-8")
    assert short(read(path)) == {(3, "", "bad-syntax")}


def test_error_cells_and_dates_of_a_workbook(tmp_path: Path) -> None:
    """The file library hands the error back as empty and 3/4 as a date; both are told."""
    path = tmp_path / "list.xlsx"
    with xlsxwriter.Workbook(str(path)) as book:
        sheet = book.add_worksheet()
        sheet.write_row(0, 0, ["service", "pipe", "covering_in", "location", "note"])
        for row in range(1, 6):
            sheet.write_row(row, 0, ["HPL", "NPS 2", 1.5, "column B2", "ok"])
        day = book.add_format({"num_format": "d-mmm"})
        sheet.write_formula(1, 2, "=1/0", None, "#DIV/0!")
        sheet.write_datetime(2, 1, datetime.datetime(2026, 3, 4), day)
        sheet.write_number(3, 2, 2, day)
        sheet.write_formula(4, 3, "=NA()", None, "#N/A")
        sheet.write_datetime(5, 4, datetime.datetime(2026, 3, 4), day)  # a date in a note is fine
    reading = read(path)
    assert short(reading) == {
        (2, "covering_in", "cell-error"),
        (3, "pipe", "cell-date"),
        (4, "covering_in", "cell-date"),
        (5, "location", "cell-error"),
    }
    sentences = [finding.sentence() for finding in reading.findings]
    assert "cell C2 holds the error #DIV/0!" in sentences[0]
    assert "cell B3 holds the date 2026-03-04" in sentences[1]
    assert "3/4 may be meant" in sentences[1]
    assert reading.order is not None
    assert [p.note for item in reading.order.items for p in item.positions] == ["2026-03-04"]


def test_a_formula_that_was_never_worked_out(tmp_path: Path) -> None:
    """A library that writes formulas without results leaves the cell empty for a reader."""
    book = openpyxl.Workbook()
    book.active.append(["service", "pipe", "covering_in"])
    book.active.append(["HPL", "NPS 2", "=1+0.5"])
    book.save(tmp_path / "list.xlsx")
    reading = read(tmp_path / "list.xlsx")
    assert short(reading) == {(2, "covering_in", "cell-formula")}
    assert "C2" in reading.findings[0].sentence()


def test_a_formula_whose_result_is_an_empty_text(tmp_path: Path) -> None:
    """As spreadsheet programs store =IF(A1="x","1.5","") that came out empty: type "str"."""
    path = write_xlsx(tmp_path / "plain.xlsx", [["service", "pipe", "od_in"], ["HPL", "NPS 2"]])
    old = b"</c></row></sheetData>"
    new = b'</c><c r="C2" t="str"><f>IF(TRUE,"","x")</f><v></v></c></row></sheetData>'
    with zipfile.ZipFile(path) as plain, zipfile.ZipFile(tmp_path / "list.xlsx", "w") as archive:
        for name in plain.namelist():
            content = plain.read(name)
            assert name != "xl/worksheets/sheet1.xml" or content.count(old) == 1
            archive.writestr(name, content.replace(old, new))
    reading = read(tmp_path / "list.xlsx")
    assert reading.findings == ()
    assert reading.order is not None


def test_a_workbook_without_headings_or_rows(tmp_path: Path) -> None:
    assert short(read(write_xlsx(tmp_path / "a.xlsx", []))) == {(None, "", "file-empty")}
    assert short(read(write_xlsx(tmp_path / "b.xlsx", [["x", "y"]]))) == {(None, "", "no-headings")}
    headings = [["service", "pipe"]]
    assert short(read(write_xlsx(tmp_path / "c.xlsx", headings))) == {(1, "", "empty-list")}


def test_a_workbook_that_unpacks_without_end(tmp_path: Path) -> None:
    path = write_xlsx(tmp_path / "list.xlsx", [["service", "pipe"]])
    with (
        zipfile.ZipFile(path, "a", zipfile.ZIP_DEFLATED) as archive,
        archive.open("xl/media/zeros", "w", force_zip64=True) as member,
    ):
        for _ in range(401):
            member.write(bytes(1 << 20))
    assert short(read(path)) == {(None, "", "file-too-large")}


def test_every_code_has_a_meaning_and_a_test_that_provokes_it() -> None:
    tests = "".join(
        path.read_text(encoding="utf-8") for path in Path(__file__).parent.glob("test_*.py")
    )
    for code, (severity, meaning) in CODES.items():
        assert isinstance(severity, Severity)
        assert meaning
        assert f'"{code}"' in tests
