"""Places in letters that the papers' typeface lacks: a warning by row, and never an empty box."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path

import pytest

from tests.helpers.command import PIPE, run, write_list

COLD_STORE = "\u51b7\u5eab"  # "cold store" in traditional Chinese (CC-CEDICT)
AREAS = (COLD_STORE, "\u0645\u062e\u0632\u0646", "K\u00fchlraum \u0141\u00f3d\u017a", "Dock")


def job_list(folder: Path) -> Path:
    rows = [
        {**PIPE, "qty": "1", "area": area, "line": f"HTRS-4-{n}"} for n, area in enumerate(AREAS)
    ]
    return write_list(folder / "list.csv", [*rows, rows[0]])


def test_check_names_row_and_column_of_each_text(tmp_path: Path) -> None:
    result = run("check", job_list(tmp_path), "--json")
    found = [
        each for each in json.loads(result.stdout)["findings"] if each["code"] == "text-spelled"
    ]
    assert [(each["row"], each["field"]) for each in found] == [(2, "area"), (3, "area")]
    assert "<U+51B7><U+5EAB>" in found[0]["what"]
    assert result.exit_code == 0  # a warning: the markers are right


@pytest.mark.tools
def test_the_pack_spells_the_area_as_its_file_name_does(tmp_path: Path) -> None:
    result = run("order", job_list(tmp_path), "-o", tmp_path / "job", "--quiet")
    assert result.exit_code == 0, result.output
    packs = sorted((tmp_path / "job" / "install").glob("*.pdf"))
    assert len(packs) == len(AREAS)
    pack = next(each for each in packs if "u51b7" in each.name)
    text = subprocess.run(["pdftotext", pack, "-"], capture_output=True, check=True).stdout.decode()
    assert "<U+51B7><U+5EAB>" in text
