"""`pipelegend order`: a folder written whole or not at all, and never over somebody's own files."""

from __future__ import annotations

import hashlib
import json
import os
from pathlib import Path

import pytest

from tests.helpers.command import PIPE, VALVE, VESSEL, everything, run, told, write_list

ROWS = [{**PIPE, "qty": "2"}, VALVE, VESSEL]


@pytest.fixture(scope="module")
def line_list(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_list(tmp_path_factory.mktemp("list") / "list.csv", ROWS)


@pytest.fixture(scope="module")
def job(line_list: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("jobs") / "job"
    result = run("order", line_list, "-o", folder, "--quiet")
    assert (result.exit_code, result.stdout, result.stderr) == (0, "", "")
    return folder


def test_the_folder_holds_what_its_manifest_says_and_nothing_else(job: Path) -> None:
    assert [path.name for path in job.parent.iterdir()] == ["job"]
    files = {str(path.relative_to(job)): path for path in job.rglob("*") if path.is_file()}
    table = json.loads(files.pop("manifest.json").read_text())["files"]
    assert table.keys() == files.keys()
    for name, path in files.items():
        assert hashlib.sha256(path.read_bytes()).hexdigest() == table[name]["sha256"]
    assert {"proof.pdf", "ticket.pdf", "markers.csv", "nest.json", "order.json"} <= files.keys()


def test_a_taken_folder_is_left_alone(job: Path, line_list: Path) -> None:
    before = everything(job.parent)
    result = run("order", line_list, "-o", job)
    assert result.exit_code == 2
    assert "--force" in result.stderr
    assert result.stdout == ""
    assert everything(job.parent) == before


def test_force_replaces_a_job_folder_and_leaves_no_trace(
    line_list: Path, job: Path, tmp_path: Path
) -> None:
    folder = tmp_path / "job"
    old = write_list(tmp_path / "old.csv", [VALVE])
    assert run("order", old, "-o", folder, "--quiet").exit_code == 0
    old.unlink()
    assert everything(folder) != everything(job)
    result = run("order", line_list, "-o", folder, "--force", "--json")
    assert result.exit_code == 0
    assert told(result)["folder"] == str(folder)
    assert everything(folder) == everything(job)
    assert [path.name for path in tmp_path.iterdir()] == ["job"]


def test_force_never_replaces_a_folder_that_is_no_job(line_list: Path, tmp_path: Path) -> None:
    (tmp_path / "photos").mkdir()
    (tmp_path / "photos" / "riser.jpg").write_bytes(b"a picture")
    (tmp_path / "notes").write_text("a file")
    before = everything(tmp_path)
    for name in ("photos", "notes"):
        result = run("order", line_list, "-o", tmp_path / name, "--force")
        assert result.exit_code == 2
        assert name in result.stderr
    assert everything(tmp_path) == before


def test_an_empty_folder_is_filled(line_list: Path, job: Path, tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    assert run("order", line_list, "-o", tmp_path / "empty").exit_code == 0
    assert everything(tmp_path / "empty") == everything(job)


def test_a_wrong_list_leaves_the_old_folder_as_it_is(job: Path, tmp_path: Path) -> None:
    wrong = write_list(tmp_path / "wrong.csv", [{**PIPE, "flow": ""}])
    before = everything(job.parent)
    assert run("order", wrong, "-o", job, "--force").exit_code == 2
    assert everything(job.parent) == before


def test_a_failing_write_leaves_nothing(
    line_list: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The disk is full at the third file: neither the folder nor a part of it stays."""
    real, calls = Path.write_bytes, []

    def full(file: Path, data: bytes) -> int:
        calls.append(file)
        if len(calls) > 2:
            raise OSError(28, "No space left on device")
        return real(file, data)

    monkeypatch.setattr(Path, "write_bytes", full)
    result = run("order", line_list, "-o", tmp_path / "job")
    assert result.exit_code == 2
    assert "No space left on device" in result.stderr
    assert len(calls) == 3
    assert everything(tmp_path) == {}


def test_a_file_that_does_not_reach_the_disk_leaves_nothing(
    line_list: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """All files are written, and the third of them cannot be synced."""
    real, calls = os.fsync, []

    def full(handle: int) -> None:
        calls.append(handle)
        if len(calls) == 3:
            raise OSError(28, "No space left on device")
        real(handle)

    monkeypatch.setattr(os, "fsync", full)
    result = run("order", line_list, "-o", tmp_path / "job")
    assert result.exit_code == 2
    assert "No space left on device" in result.stderr
    assert len(calls) >= 3
    assert everything(tmp_path) == {}


def test_people_read_counts_sheets_and_a_caution(line_list: Path, tmp_path: Path) -> None:
    result = run("order", line_list, "-o", tmp_path / "job")
    assert result.exit_code == 0
    assert "4 markers, 3 distinct" in result.stdout
    assert "Trace each line to both ends" in result.stdout


@pytest.mark.parametrize(
    ("name", "content"),
    [("list.csv", ""), ("list.txt", "service,pipe\n"), ("order.toml", "plant = "), ("none", None)],
)
def test_a_file_that_cannot_be_read_ends_with_two(
    tmp_path: Path, name: str, content: str | None
) -> None:
    path = tmp_path / name
    if content is not None:
        path.write_text(content)
    for words in (("check", path), ("order", path, "-o", tmp_path / "job")):
        result = run(*words, "--json")
        assert result.exit_code == 2
        findings = told(result)["findings"]
        assert isinstance(findings, list)
        assert len(findings) == 1
    assert not (tmp_path / "job").exists()
