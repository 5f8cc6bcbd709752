"""Bad surveys: every fault is told at its cell, all at once, and nothing is applied."""

from __future__ import annotations

import csv
import shutil
from collections.abc import Mapping
from pathlib import Path

import pytest
from openpyxl import load_workbook

from tests.helpers.command import PIPE, VALVE, VESSEL, run, told, write_list
from tests.helpers.surveying import fill, ids_of

ROWS = [{**PIPE, "qty": "3", "area": "Hall", "line": "HTRS-4-1"}, VALVE | {"area": "Hall"}, VESSEL]
Cells = Mapping[str, str]


@pytest.fixture(scope="module")
def sheets(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("survey")
    write_list(folder / "list.csv", ROWS)
    result = run("survey", folder / "list.csv", "-o", folder / "sheets", "--json")
    assert result.exit_code == 0
    assert told(result)["sheets"] == ["hall.xlsx", "no-area-given.xlsx"]
    return folder


@pytest.fixture
def sheet(sheets: Path, tmp_path: Path) -> Path:
    return Path(shutil.copy(sheets / "sheets" / "hall.xlsx", tmp_path / "hall.xlsx"))


def found(sheets: Path, output: Path, *filled: Path) -> list[dict[str, str]]:
    """The findings of a survey that must be refused, and must leave nothing behind."""
    result = run(
        "found", sheets / "list.csv", *filled, "--date", "2026-03-31", "-o", output, "--json"
    )
    assert result.exit_code == 2
    assert not output.exists()
    findings = told(result)["findings"]
    assert all(each["severity"] in ("error", "warning", "note") for each in findings)
    return [each for each in findings if each["severity"] == "error"]


@pytest.mark.parametrize(
    ("cells", "code", "field"),
    [
        ({"found": "sideways"}, "survey-unknown-word", "found"),
        ({"found": "present, missing"}, "survey-unknown-word", "found"),
        ({"found": "faded", "day": "2026-04-01"}, "survey-future", "day"),
        ({"found": "faded", "day": "last week"}, "survey-date", "day"),
        (
            {"found": "faded", "circumference_in": "wide"},
            "survey-circumference",
            "circumference_in",
        ),
        ({"found": "faded", "circumference_in": "0"}, "survey-circumference", "circumference_in"),
        ({"found": "#REF!"}, "survey-cell-error", "found"),
    ],
)
def test_a_cell_that_says_nothing_is_told_where_it_is(
    sheets: Path, sheet: Path, tmp_path: Path, cells: Cells, code: str, field: str
) -> None:
    piece = ids_of(sheet)[1]
    fill(sheet, {piece: cells})
    (fault,) = found(sheets, tmp_path / "out", sheet)
    assert (fault["code"], fault["field"]) == (code, field)
    assert (fault["file"], str(fault["row"])) == ("hall.xlsx", "11")
    assert fault["cell"].endswith("11")
    assert fault["right"]


def test_an_unknown_piece_is_told_with_the_nearest(
    sheets: Path, sheet: Path, tmp_path: Path
) -> None:
    piece = ids_of(sheet)[0]
    wrong = ("Z" if piece[0] != "Z" else "Y") + piece[1:]
    fill(sheet, {piece: {"found": "present", "id": wrong}})
    (fault,) = found(sheets, tmp_path / "out", sheet)
    assert (fault["code"], fault["cell"]) == ("survey-unknown-id", "A10")
    assert piece in fault["right"]


@pytest.mark.parametrize(
    ("by", "date", "code"),
    [("", "2026-03-02", "survey-unsigned"), ("C. Walker", "", "survey-undated")],
)
def test_a_row_that_nobody_signed_is_told(
    sheets: Path, sheet: Path, tmp_path: Path, by: str, date: str, code: str
) -> None:
    fill(sheet, {ids_of(sheet)[0]: {"found": "present"}}, by, date)
    (fault,) = found(sheets, tmp_path / "out", sheet)
    assert fault["code"] == code


def test_surveyors_who_contradict_each_other_are_both_named(
    sheets: Path, sheet: Path, tmp_path: Path
) -> None:
    piece = ids_of(sheet)[0]
    other = Path(shutil.copy(sheet, tmp_path / "second.xlsx"))
    fill(sheet, {piece: {"found": "present"}})
    fill(other, {piece: {"found": "faded"}}, by="D. Second")
    (fault,) = found(sheets, tmp_path / "out", other, sheet)
    assert fault["code"] == "survey-contradiction"
    for part in ("C. Walker", "D. Second", "hall.xlsx", "present", "faded", piece):
        assert part in fault["what"] + fault["file"]


def test_a_later_look_counts_and_is_no_contradiction(
    sheets: Path, sheet: Path, tmp_path: Path
) -> None:
    piece = ids_of(sheet)[0]
    later = Path(shutil.copy(sheet, tmp_path / "later.xlsx"))
    fill(sheet, {piece: {"found": "present", "note": "first look"}})
    fill(later, {piece: {"found": "faded"}}, by="D. Second", date="2026-03-20")
    out = tmp_path / "out"
    result = run("found", sheets / "list.csv", later, sheet, "--date", "2026-03-31", "-o", out)
    assert result.exit_code == 0
    rows = [row for row in table(out / "found.csv") if row["id"] == piece]
    assert [(row["verdict"], row["found"]) for row in rows] == [
        ("replace", "faded"),
        ("replace", "present"),
    ]
    assert rows[1]["note"] == "first look"


def test_a_sheet_of_another_list_of_the_plant_is_read_with_a_note(
    sheets: Path, sheet: Path, tmp_path: Path
) -> None:
    fill(sheet, {ids_of(sheet)[0]: {"found": "present"}}, number="0123456789AB")
    output = tmp_path / "out"
    result = run("found", sheets / "list.csv", sheet, "--date", "2026-03-31", "-o", output)
    assert result.exit_code == 0  # another revision of the list, and its places are known
    assert "survey-other-list" in result.stdout


def test_every_fault_of_every_sheet_is_told_at_once(
    sheets: Path, sheet: Path, tmp_path: Path
) -> None:
    first, second, third, *_ = ids_of(sheet)
    cells = {
        first: {"found": "sideways", "circumference_in": "wide"},
        second: {"found": "faded", "day": "2027-01-01"},
        third: {"found": "present", "id": "QQQQQQQ"},
    }
    fill(sheet, cells, strays=({"location": "by the door"},))
    faults = found(sheets, tmp_path / "out", sheet)
    codes = {each["code"] for each in faults}
    assert codes == {
        *("survey-unknown-word", "survey-circumference", "survey-future", "survey-unknown-id"),
        "survey-stray-unread",
    }


def test_a_table_that_is_no_survey_is_told(sheets: Path, tmp_path: Path) -> None:
    (fault,) = found(sheets, tmp_path / "out", sheets / "list.csv")
    assert fault["code"] == "survey-no-headings"


@pytest.mark.parametrize("plant", ["Another Plant", "Example Ridge"])
def test_the_plant_is_told_apart_by_its_name(plant: str, tmp_path: Path) -> None:
    for name in ("mine", "other"):
        title = "Example Ridge" if name == "mine" else plant
        (tmp_path / f"{name}.toml").write_text(
            f'plant = "{title}"\nline_list = "list.csv"\n', "utf-8"
        )
    write_list(tmp_path / "list.csv", ROWS)
    assert run("survey", tmp_path / "other.toml", "-o", tmp_path / "s").exit_code == 0
    sheet = tmp_path / "s" / "hall.xlsx"
    fill(sheet, {ids_of(sheet)[0]: {"found": "present"}})
    result = run(
        *("found", tmp_path / "mine.toml", sheet, "--date", "2026-03-31"),
        *("-o", tmp_path / "out", "--json"),
    )
    if plant == "Example Ridge":
        assert result.exit_code == 0
        return
    codes = [each["code"] for each in told(result)["findings"]]
    assert (result.exit_code, codes) == (2, ["survey-other-plant"])


def test_a_day_of_reading_is_a_day(sheets: Path, sheet: Path, tmp_path: Path) -> None:
    result = run(
        "found", sheets / "list.csv", sheet, "--date", "soon", "-o", tmp_path / "o", "--json"
    )
    assert result.exit_code == 2
    assert told(result)["findings"][0]["code"] == "bad-date"


def test_a_sheet_that_looks_left_over_is_not_passed_over(
    sheets: Path, sheet: Path, tmp_path: Path
) -> None:
    fill(sheet, {ids_of(sheet)[0]: {"found": "faded"}})
    book = load_workbook(sheet)
    book["Survey"].title = "Survey copy"
    book.create_sheet("x")
    book.save(sheet)
    codes = {each["code"] for each in found(sheets, tmp_path / "out", sheet)}
    assert "sheet-left-out" in codes


@pytest.mark.parametrize("how", ["csv", "semicolons"])
def test_a_sheet_saved_as_csv_reads_the_same(
    sheets: Path, sheet: Path, tmp_path: Path, how: str
) -> None:
    first, second, *_ = ids_of(sheet)
    fill(sheet, {first: {"found": "OK"}, second: {"found": "gone", "note": "a, b"}})
    saved = tmp_path / "hall.csv"
    with saved.open("w", newline="") as stream:
        writer = csv.writer(stream, delimiter=";" if how == "semicolons" else ",")
        for row in load_workbook(sheet)["Survey"].iter_rows(values_only=True):
            writer.writerow("" if cell is None else cell for cell in row)
    outputs = []
    for name, filled in (("x", sheet), ("c", saved)):
        out = tmp_path / name
        read = run("found", sheets / "list.csv", filled, "--date", "2026-03-31", "-o", out)
        assert read.exit_code == 0
        outputs.append((out / "order.json").read_bytes())
    assert outputs[0] == outputs[1]


def table(path: Path) -> list[dict[str, str]]:
    with path.open(newline="") as stream:
        return list(csv.DictReader(stream))


def test_nothing_that_a_surveyor_wrote_is_lost(sheets: Path, sheet: Path, tmp_path: Path) -> None:
    first, second, *_ = ids_of(sheet)
    said = {"reads": "HTRL LIQ", "note": "by the caf\u00e9", "photo": "a.jpg"}
    fill(
        sheet,
        {first: {"found": "wrong word", **said}, second: {"note": "ladder needed"}},
        strays=({"reads": "AMMONIA", "location": "pit", "note": "hand painted"},),
    )
    book = load_workbook(sheet)
    book["Survey"].cell(9, 17).value = "my own column"
    book["Survey"].cell(12, 17).value = "scaffold"
    book.save(sheet)
    out = tmp_path / "out"
    assert (
        run("found", sheets / "list.csv", sheet, "--date", "2026-03-31", "-o", out).exit_code == 0
    )
    text = (out / "found.csv").read_text()
    for part in (*said.values(), "ladder needed", "hand painted", "my own column: scaffold"):
        assert part in text
    rows = table(out / "found.csv")
    # three pipe markers, a tag and a vessel, and the one in no list: each has its row
    assert len({row["id"] for row in rows if row["id"]}) == 5
    assert [row["verdict"] for row in rows if not row["id"]] == ["remove"]
    asked = (out / "questions.csv").read_text()
    assert "HTRL LIQ" in asked
    assert "AMMONIA" in asked


def test_sheets_that_nobody_filled_are_told(sheets: Path, sheet: Path, tmp_path: Path) -> None:
    for filled in ((), (sheet,)):
        (fault,) = found(sheets, tmp_path / "out", *filled)
        assert fault["code"] == "survey-empty"


def test_two_surveyors_share_an_area_in_any_order(
    sheets: Path, sheet: Path, tmp_path: Path
) -> None:
    first, second, *_ = ids_of(sheet)
    other = Path(shutil.copy(sheet, tmp_path / "b.xlsx"))
    fill(sheet, {first: {"found": "present"}, second: {"found": "faded"}})
    fill(other, {second: {"found": "faded", "note": "sun"}}, by="D. Second")
    made = []
    for name, filled in (("x", (sheet, other)), ("y", (other, sheet))):
        result = run(
            *("found", sheets / "list.csv", *filled, "--date", "2026-03-31", "-o", tmp_path / name)
        )
        assert result.exit_code == 0
        made.append({path.name: path.read_bytes() for path in (tmp_path / name).iterdir()})
    assert made[0] == made[1]
    assert b"sun" in made[0]["found.csv"]
