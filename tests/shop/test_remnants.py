"""An inventory of remnants: a job takes from it and gives back, whole or not at all."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from typer.testing import Result

from tests.helpers.command import VALVE, run, write_list

HEAD = "of,material,width,length,sheets\n"
BOARD = "sheet-24x48in"


@pytest.fixture
def listed(tmp_path: Path) -> Path:
    return write_list(tmp_path / "list.csv", [{**VALVE, "qty": "2"}])


def order(listed: Path, remnants: Path, job: str = "job") -> Result:
    film = ("--tag", "tag-24x48in", "--remnants", remnants)
    return run("order", listed, "-o", listed.parent / job, *film)


def rows(path: Path) -> list[dict[str, str]]:
    with path.open(newline="") as stream:
        return list(csv.DictReader(stream))


def test_a_job_gives_back_what_is_left_and_the_next_takes_it(listed: Path, tmp_path: Path) -> None:
    remnants = tmp_path / "remnants.csv"
    assert order(listed, remnants).exit_code == 0
    (rest,) = rows(remnants)
    assert (rest["of"], rest["width"], rest["sheets"]) == ("tag-24x48in", "609.6 mm", "1")
    left = float(rest["length"].removesuffix(" mm"))
    assert 600 < left < 48 * 25.4 - 50  # the tags are some 2 in high
    again = order(listed, remnants, "second")
    assert again.exit_code == 0
    assert f"offcut 609.6 x {left:g} mm" in again.output
    (smaller,) = rows(remnants)
    assert float(smaller["length"].removesuffix(" mm")) < left - 50
    assert smaller["sheets"] == "1"


def test_faults_are_told_row_by_row_and_nothing_is_written(listed: Path, tmp_path: Path) -> None:
    remnants = tmp_path / "remnants.csv"
    text = HEAD + "nothing,board,10 in,20 in,1\ntag-24x48in,,ten,20 in,many\n"
    remnants.write_text(text)
    done = order(listed, remnants)
    assert done.exit_code == 2
    for words in ("remnants.csv, row 2, of", "row 3, material", "row 3, width", "row 3, sheets"):
        assert words in done.output
    assert remnants.read_text() == text
    assert not (tmp_path / "job").exists()


def test_a_job_that_is_refused_takes_nothing(tmp_path: Path) -> None:
    remnants = tmp_path / "remnants.csv"
    text = HEAD + "tag-24x48in,tag board,12 in,24 in,1\n"
    remnants.write_text(text)
    listed = write_list(tmp_path / "list.csv", [{"kind": "valve", "service": "HPL"}])
    assert order(listed, remnants).exit_code != 0
    assert remnants.read_text() == text
