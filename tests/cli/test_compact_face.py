"""The compact face by every door, and what an order chooses, kept in its job folder.

The lengths are what the trade expects of a full legend by the ammonia table's rows, common
practice, no source: about 9.5, 14, 23, 45 and 63 in for a four-letter code with AMMONIA, bands and
an arrow.
"""

from __future__ import annotations

import csv
import json
from pathlib import Path

import openpyxl
import pytest

from tests.helpers.command import PIPE, run, told, write_list

SUCTION = ("marker", "HTRS", "--state", "both", "--psig", "30", "--flow", "right")
CO2 = {**PIPE, "contents": "CO2", "service": "HPL", "state": "liquid", "pressure_psig": "400"}


@pytest.mark.parametrize(
    ("od", "expected"), [("1.2", 9.5), ("1.9", 14), ("4.5", 23), ("9", 45), ("11.6", 63)]
)
def test_a_compact_face_is_as_long_as_the_trade_expects(
    od: str, expected: float, tmp_path: Path
) -> None:
    made = {}
    for face in ("full", "compact"):
        target = tmp_path / f"{face}.pdf"
        surface = ("--covering", "1", "--od", od, "--face", face, "-o", target, "--json")
        made[face] = told(run(*SUCTION, *surface))["markers"][0]
    assert made["compact"]["length_mm"] / 25.4 == pytest.approx(expected, rel=0.06)
    assert made["compact"]["length_mm"] < 0.8 * made["full"]["length_mm"]
    same = ("words", "height_mm", "letter_height_mm")
    assert [made["compact"][key] for key in same] == [made["full"][key] for key in same]
    assert made["compact"]["id"] != made["full"]["id"]


def lengths(job: Path) -> list[float]:
    with (job / "markers.csv").open(newline="") as stream:
        return [float(row["length_in"]) for row in csv.DictReader(stream)]


def test_the_order_file_the_order_sheet_and_the_command_choose_it(tmp_path: Path) -> None:
    write_list(tmp_path / "list.csv", [PIPE])
    (tmp_path / "order.toml").write_text('face = "compact"\nline_list = "list.csv"\n')
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "Lines"
    for row in (list(PIPE), list(PIPE.values())):
        sheet.append(row)
    head = book.create_sheet("Order")
    head.append(["face", "Compact"])
    book.save(tmp_path / "list.xlsx")
    doors = (("order.toml",), ("list.xlsx",), ("list.csv", "--face", "compact"))
    found = []
    for number, (name, *options) in enumerate(doors):
        job = tmp_path / f"job-{number}"
        result = run("order", tmp_path / name, *options, "-o", job)
        assert result.exit_code == 0, result.output
        assert json.loads((job / "order.json").read_text())["face"] == "compact"
        found.append(lengths(job))
    assert found == [[44.5]] * 3
    run("order", tmp_path / "list.csv", "-o", tmp_path / "full")
    assert lengths(tmp_path / "full") == [60.5]
    assert "face" not in json.loads((tmp_path / "full" / "order.json").read_text())


def test_a_face_that_is_none_is_told(tmp_path: Path) -> None:
    write_list(tmp_path / "list.csv", [PIPE])
    (tmp_path / "order.toml").write_text('face = "compct"\nline_list = "list.csv"\n')
    (finding,) = told(run("check", tmp_path / "order.toml", "--json"))["findings"]
    assert finding["field"] == "face"
    assert "did you mean compact" in finding["right"]


def test_a_job_folder_keeps_the_colors_and_cutoffs_that_its_order_chose(tmp_path: Path) -> None:
    write_list(tmp_path / "list.csv", [CO2])
    text = 'line_list = "list.csv"\ncolors = {CO2 = "purple"}\ncutoffs = {CO2 = "500 psig"}\n'
    (tmp_path / "order.toml").write_text(text)
    job = tmp_path / "job"
    assert run("order", tmp_path / "order.toml", "-o", job).exit_code == 0
    kept = json.loads((job / "order.json").read_text())
    assert (kept["colors"], kept["cutoffs"]) == ({"CO2": "purple"}, {"CO2": "500.0 psig"})
    (marker,) = json.loads((job / "proof.json").read_text())["content"]["markers"]
    again = run("reprint", job, marker["id"], "-o", tmp_path / "again")
    assert again.exit_code == 0, again.output


def test_a_single_marker_takes_the_plants_color_and_cutoff(tmp_path: Path) -> None:
    words = (
        *("marker", "HPL", "--contents", "CO2", "--state", "liquid", "--psig", "400"),
        *("--pipe", "2", "--covering", "1", "--flow", "right"),
    )
    bare = run(*words, "-o", tmp_path / "a.pdf")
    assert bare.exit_code == 2
    assert "--color purple" in " ".join(bare.stderr.split())
    chosen = ("--color", "purple", "--cutoff", "300", "-o", tmp_path / "b.pdf", "--json")
    (marker,) = told(run(*words, *chosen))["markers"]
    assert marker["words"] == "HPL LIQ CO2 HIGH"
    machine = ("equipment", "CO2 compressor", "--contents", "CO2", "--color", "purple")
    assert run(*machine, "-o", tmp_path / "c.pdf").exit_code == 0
    tag = ("valve", "HV-9", "--contents", "CO2", "--color", "gray", "-o", tmp_path / "d.pdf")
    assert run(*tag).exit_code == 0


def test_a_color_needs_contents(tmp_path: Path) -> None:
    result = run(
        *SUCTION, "--pipe", "4", "--covering", "1", "--color", "purple", "-o", tmp_path / "a.pdf"
    )
    assert result.exit_code == 2
    assert "give --contents too" in " ".join(result.stderr.split())
