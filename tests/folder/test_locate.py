"""A piece found again by its id, tag or line in old job folders, and made again as it was."""

from __future__ import annotations

import csv
import io
import json
import shutil
from pathlib import Path

import pytest

from tests.helpers.command import run

ROW = (
    '[[markers]]\nkind = "valve"\ntag = "HV-118"\nfunction = "FEED STOP"\nsides = 2\n'
    'positions = [{ area = "Dock" }]\n'
    '[[markers]]\nkind = "pipe"\nservice = "HPL"\nstate = "liquid"\npressure = "185 psig"\n'
    'flow = "right"\nod = "4.5 in"\n'
    'positions = [{ qty = 3, line = "L-1", area = "Dock" }, { line = "L-2", area = "Hall" }]\n'
)


@pytest.fixture(scope="module")
def jobs(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Three job folders: by face, by position, and one older, without ids."""
    folder = tmp_path_factory.mktemp("jobs")
    for name, head in (
        ("face", 'title = "One"\npiece_id = "both"\npiece_id_prefix = "DK"\n'),
        ("position", 'title = "Two"\npiece_id = "qr"\npiece_id_per = "position"\n'),
        ("older", 'title = "Three"\n'),
    ):
        order = folder / f"{name}.toml"
        order.write_text(head + ROW.replace("HV-118", "HV-300" if name == "older" else "HV-118"))
        made = run("order", order, "-o", folder / "all" / name)
        assert made.exit_code == 0, made.output
    return folder / "all"


def pieces(folder: Path) -> list[dict[str, str]]:
    text = (folder / "pieces.csv").read_text()
    return list(csv.DictReader(io.StringIO(text)))


def test_a_job_without_ids_has_no_table_of_pieces(jobs: Path) -> None:
    assert not (jobs / "older" / "pieces.csv").exists()
    assert "piece_id" not in (jobs / "older" / "order.json").read_text()


def test_by_face_equal_pieces_share_an_id(jobs: Path) -> None:
    rows = pieces(jobs / "face")
    assert {row["id"] for row in rows if row["kind"] == "pipe"} == {rows[0]["id"]}
    assert all(row["id"].startswith("DK-") for row in rows)
    assert sum(int(row["pieces"]) for row in rows) == 6


def test_by_position_no_id_is_given_twice(jobs: Path) -> None:
    rows = pieces(jobs / "position")
    assert len({row["id"] for row in rows}) == len(rows) == 6
    nest = json.loads((jobs / "position" / "nest.json").read_text())
    assert nest


@pytest.mark.parametrize("kind", ["face", "position"])
def test_a_scanned_text_finds_its_job_and_makes_the_same_piece(
    jobs: Path, tmp_path: Path, kind: str
) -> None:
    row = pieces(jobs / kind)[-1]
    told = run("find", row["id"].lower(), jobs)
    assert told.exit_code == 0
    assert told.output.startswith(f"{jobs / kind}: piece id {row['id']}")
    made = run("reprint", jobs, f" {row['id'].lower()} ", "-o", tmp_path / "again")
    assert made.exit_code == 0, made.output
    (again,) = pieces(tmp_path / "again")
    assert (again["id"], again["marker"]) == (row["id"], row["marker"])
    assert "reprint-rewritten" not in made.output


def test_the_third_of_equal_pieces_keeps_its_own_id(jobs: Path, tmp_path: Path) -> None:
    third = [row["id"] for row in pieces(jobs / "position") if row["line"] == "L-1"][2]
    assert run("reprint", jobs / "position", third, "-o", tmp_path / "again").exit_code == 0
    assert [row["id"] for row in pieces(tmp_path / "again")] == [third]


def test_a_tag_or_a_line_makes_every_piece_that_hangs_there(jobs: Path, tmp_path: Path) -> None:
    run("reprint", jobs / "position", "HV-118", "L-1", "-o", tmp_path / "again")
    rows = pieces(tmp_path / "again")
    old = [row for row in pieces(jobs / "position") if row["line"] != "L-2"]
    assert sorted(row["id"] for row in rows) == sorted(row["id"] for row in old)


def test_a_tag_of_two_jobs_is_not_guessed(jobs: Path, tmp_path: Path) -> None:
    refused = run("reprint", jobs, "HV-118", "-o", tmp_path / "again")
    assert refused.exit_code == 2
    assert "HV-118 in face, position" in refused.output
    assert not (tmp_path / "again").exists()
    assert run("reprint", jobs, "HV-300", "-o", tmp_path / "one").exit_code == 0


def test_names_of_different_jobs_are_told_apart(jobs: Path, tmp_path: Path) -> None:
    only = next(row["id"] for row in pieces(jobs / "position"))
    refused = run("reprint", jobs, "HV-300", only, "-o", tmp_path / "again")
    assert refused.exit_code == 2
    assert "no job made all that is named" in refused.output


def test_a_reprint_gives_way_to_the_job_it_repeats(jobs: Path, tmp_path: Path) -> None:
    shutil.copytree(jobs, tmp_path / "all")
    row = pieces(jobs / "face")[0]
    first = run("reprint", tmp_path / "all", row["id"], "-o", tmp_path / "all" / "again")
    assert first.exit_code == 0, first.output
    second = run("reprint", tmp_path / "all", row["id"], "-o", tmp_path / "more")
    assert second.exit_code == 0, second.output


@pytest.mark.parametrize("asked", ["HV-999", "HV-118=9"])
def test_what_is_not_there_is_said(jobs: Path, tmp_path: Path, asked: str) -> None:
    refused = run("reprint", jobs / "position", asked, "-o", tmp_path / "again")
    assert refused.exit_code == 2
    assert "reprint-id" in refused.output


def test_a_name_that_no_job_knows_is_not_found(jobs: Path, tmp_path: Path) -> None:
    assert run("find", "HV-999", jobs).exit_code == 1
    assert run("find", "HV-118", tmp_path).exit_code == 2
    found = json.loads(run("find", "HV-118", jobs, "--json").stdout)
    assert [Path(each["folder"]).name for each in found] == ["face", "position"]
