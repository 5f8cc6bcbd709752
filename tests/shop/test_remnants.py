"""An inventory of remnants: a job takes from it and gives back, whole or not at all."""

from __future__ import annotations

import csv
import json
import subprocess
import sys
from pathlib import Path

import pytest
from typer.testing import Result

from tests.helpers.command import PIPE, VALVE, everything, run, write_list

HEAD = "of,material,width,length,sheets\n"


@pytest.fixture
def listed(tmp_path: Path) -> Path:
    return write_list(tmp_path / "list.csv", [{**VALVE, "qty": "2"}])


def order(listed: Path, remnants: Path, job: str = "job", *more: str) -> Result:
    film = ("--tag", "tag-24x48in", "--remnants", remnants)
    return run("order", listed, "-o", listed.parent / job, *film, *more)


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


def test_a_job_made_over_itself_takes_once(listed: Path, tmp_path: Path) -> None:
    remnants = tmp_path / "remnants.csv"
    start = HEAD + "tag-24x48in,rigid plastic tag,300 mm,600 mm,2\n"
    remnants.write_text(start)
    assert order(listed, remnants).exit_code == 0
    once = remnants.read_text()
    assert sorted(row["sheets"] for row in rows(remnants)) == ["1", "1"]  # one was cut into
    job = everything(tmp_path / "job")
    assert order(listed, remnants, "job", "--force").exit_code == 0
    assert remnants.read_text() == once
    assert everything(tmp_path / "job") == job


def test_a_larger_job_over_a_smaller_one_takes_what_it_needs(tmp_path: Path) -> None:
    remnants = tmp_path / "remnants.csv"
    remnants.write_text(HEAD + "tag-24x48in,rigid plastic tag,300 mm,600 mm,2\n")
    small = write_list(tmp_path / "small.csv", [VALVE])
    assert order(small, remnants).exit_code == 0
    large = write_list(tmp_path / "large.csv", [{**VALVE, "qty": "40"}])
    assert order(large, remnants, "job", "--force").exit_code == 0
    fresh = tmp_path / "fresh.csv"
    fresh.write_text(HEAD + "tag-24x48in,rigid plastic tag,300 mm,600 mm,2\n")
    assert order(large, fresh, "other").exit_code == 0
    assert remnants.read_text() == fresh.read_text()


def test_what_a_job_left_and_another_took_is_not_given_back(listed: Path, tmp_path: Path) -> None:
    remnants = tmp_path / "remnants.csv"
    assert order(listed, remnants).exit_code == 0
    assert order(listed, remnants, "second").exit_code == 0  # takes the rest of the first
    kept, job = remnants.read_text(), everything(tmp_path / "job")
    done = order(listed, remnants, "job", "--force")
    assert done.exit_code == 2
    assert "another job took from them; make the job in another folder" in done.output
    assert remnants.read_text() == kept
    assert everything(tmp_path / "job") == job


def test_a_job_with_remnants_is_not_replaced_without_them(listed: Path, tmp_path: Path) -> None:
    remnants = tmp_path / "remnants.csv"
    assert order(listed, remnants).exit_code == 0
    done = run("order", listed, "-o", tmp_path / "job", "--force")
    assert done.exit_code == 2
    assert "--remnants" in done.output


KILLED = """
import os, sys
from render.cli import app
from render.files.atomic import StagedFiles
from render.folder import inventory

written, moved = inventory.write_file, StagedFiles.move

def killed(target, *rest):
    if str(target).endswith({end!r}):
        os._exit(9)
    written(target, *rest)

def killed_at_move(files):
    if str(files.target).endswith({end!r}):
        os._exit(9)
    moved(files)

inventory.write_file, StagedFiles.move = killed, killed_at_move
app(sys.argv[1:])
"""


@pytest.mark.parametrize(("end", "made"), [("job", False), ("nants.csv", True)])
def test_a_kill_between_folder_and_inventory_loses_nothing(
    end: str, made: bool, listed: Path, tmp_path: Path
) -> None:
    remnants, start = (
        tmp_path / "remnants.csv",
        HEAD + "tag-24x48in,rigid plastic tag,300 mm,600 mm,1\n",
    )
    remnants.write_text(start)
    script = KILLED.format(end=end)
    command = [*("order", listed, "-o", tmp_path / "job", "--tag", "tag-24x48in"), "--remnants"]
    done = subprocess.run(
        [sys.executable, "-c", script, *map(str, command), str(remnants)], check=False
    )
    assert done.returncode == 9
    assert (tmp_path / "job").exists() is made
    assert remnants.read_text() == start
    # The next job finishes the books: what the first took is gone if its folder is there.
    small = write_list(tmp_path / "pipe.csv", [PIPE])
    assert order(small, remnants, "next").exit_code == 0
    of_tags = [row for row in rows(remnants) if row["of"] == "tag-24x48in"]
    lengths = {row["length"] for row in of_tags}
    assert (lengths == {"600 mm"}) is not made
    assert not list(tmp_path.glob(".remnants*"))


def test_what_is_left_of_a_roll_is_used_first(tmp_path: Path) -> None:
    remnants = tmp_path / "remnants.csv"
    listed = write_list(tmp_path / "list.csv", [{**PIPE, "qty": "3"}])
    for name in ("first", "second"):
        done = run("order", listed, "-o", tmp_path / name, "--remnants", remnants)
        assert done.exit_code == 0, done.output
    (opened,) = rows(remnants)
    assert (opened["of"], opened["width"], opened["sheets"]) == ("roll-54in", "1371.6 mm", "1")
    used = sum(
        arrangement["length_um"] * arrangement["copies"]
        for name in ("first", "second")
        for group in json.loads((tmp_path / name / "nest.json").read_text())["groups"]
        for arrangement in group["arrangements"]
    )
    whole = 150 * 304.8  # 150 ft on a roll
    left = float(opened["length"].removesuffix(" mm"))
    assert whole - used / 1000 - 10 <= left <= whole - used / 1000
