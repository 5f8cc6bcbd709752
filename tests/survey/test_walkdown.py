"""Starting from nothing: an empty workbook, filled on a walk, is a line list to be checked."""

from __future__ import annotations

import csv
from pathlib import Path

from openpyxl import load_workbook

from tests.helpers.command import run, told

WALKED = (
    {
        "kind": "pipe",
        "line": "HTRS-4-1",
        "service": "HTRS",
        "state": "both",
        "flow": "left",
        "pressure_psig": "30",
        "girth_in": "23.5",
        "area": "Hall",
        "reads": "SUCTION",
        "photo": "a.jpg",
        "by": "C. Walker",
        "day": "2026-03-02",
        "found": "faded",
    },
    {"kind": "valve", "tag": "HV-118", "service": "HPL", "area": "Hall", "note": "by the door"},
)


def walked(folder: Path, *rows: dict[str, str]) -> Path:
    result = run("survey", "--walk-down", "--area", "Hall", "-o", folder / "walk", "--json")
    assert told(result)["sheets"] == ["hall.xlsx"]
    path = folder / "walk" / "hall.xlsx"
    book = load_workbook(path)
    sheet = book["Survey"]
    columns = {cell.value: cell.column for cell in sheet[4]}
    for number, row in enumerate(rows, 5):
        for name, text in row.items():
            sheet.cell(number, columns[name]).value = text
    book.save(path)
    return path


def test_a_filled_walk_down_is_a_list_that_can_be_ordered(tmp_path: Path) -> None:
    sheet, out = walked(tmp_path, *WALKED), tmp_path / "out"
    arguments = ("found", "--walk-down", sheet, "--date", "2026-03-31", "-o", out)
    assert run(*arguments).exit_code == 0
    with (out / "list.csv").open(newline="") as stream:
        first, second = csv.DictReader(stream)
    assert (
        first["note"]
        == "reads: SUCTION; found: faded; photo: a.jpg; by: C. Walker; day: 2026-03-02"
    )
    assert second["note"] == "by the door"
    checked = told(run("check", out / "list.csv", "--json"))
    assert not [each for each in checked["findings"] if each["severity"] in ("error", "blocked")]
    assert checked["markers"] == 2


def test_what_is_left_empty_is_asked_for_by_the_lists_own_check(tmp_path: Path) -> None:
    row = {name: text for name, text in WALKED[0].items() if name != "flow"}
    sheet, out = walked(tmp_path, row), tmp_path / "out"
    assert run("found", "--walk-down", sheet, "--date", "2026-03-31", "-o", out).exit_code == 0
    checked = told(run("check", out / "list.csv", "--json"))
    assert "flow-missing" in [each["code"] for each in checked["findings"]]


def test_an_empty_walk_down_is_told(tmp_path: Path) -> None:
    sheet, out = walked(tmp_path), tmp_path / "out"
    result = run("found", "--walk-down", sheet, "--date", "2026-03-31", "-o", out, "--json")
    assert [each["code"] for each in told(result)["findings"]] == ["survey-empty"]
    assert not out.exists()


def test_a_survey_has_a_list_or_says_that_it_has_none(tmp_path: Path) -> None:
    for arguments in (("survey",), ("survey", "list.csv", "--walk-down")):
        result = run(*arguments, "-o", tmp_path / "out", "--json")
        assert result.exit_code == 2
        assert [each["code"] for each in told(result)["findings"]] == ["survey-list"]


def test_an_area_that_the_list_lacks_is_told(tmp_path: Path) -> None:
    sheet, out = walked(tmp_path, *WALKED), tmp_path / "out"
    run("found", "--walk-down", sheet, "--date", "2026-03-31", "-o", out)
    result = run("survey", out / "list.csv", "--area", "Roof", "-o", tmp_path / "s", "--json")
    (fault,) = told(result)["findings"]
    assert (fault["code"], "Hall" in fault["right"]) == ("survey-area", True)
