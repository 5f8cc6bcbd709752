"""A folder whose files come one by one, from any process: whole at its place, or not there."""

from __future__ import annotations

import hashlib
import json
from functools import partial
from pathlib import Path

import pytest

from layouts.terms.errors import OutputError
from render.files.atomic import JobFiles, StagedFiles, manifest
from render.processes import run_all

FILES = {"a.txt": b"first", "b/c.txt": b"second", "b/d/e.txt": b"", "f.bin": bytes(range(256))}


def left_in(folder: Path) -> set[str]:
    return {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}


@pytest.mark.parametrize("count", [1, 2])
def test_files_of_all_processes_are_moved_together(tmp_path: Path, count: int) -> None:
    target = tmp_path / "job"
    with StagedFiles(target, replace=False) as files:
        assert not list(tmp_path.iterdir())  # nothing is there before the first file
        files.begin()
        pieces = [partial(files.put, name, data) for name, data in FILES.items()]
        for entry in run_all(pieces, count):
            assert entry.data is None
            files.add(entry)
        assert dict(files) == FILES
        assert not target.exists()
        seal = files.seal()
        files.move()
        assert dict(files) == {**FILES, "manifest.json": manifest(FILES)}
    assert left_in(tmp_path) == {f"job/{name}" for name in (*FILES, "manifest.json")}
    assert hashlib.sha256((target / "manifest.json").read_bytes()).hexdigest() == seal
    assert files.sizes == {name: (target / name).stat().st_size for name in files}


def test_both_kinds_hold_the_same(tmp_path: Path) -> None:
    held = JobFiles()
    with StagedFiles(tmp_path / "job", replace=False) as staged:
        for files in (held, staged):
            for name, data in FILES.items():
                files.put(name, data)
            files.seal()
        assert staged == held
        assert staged.sizes == held.sizes
        assert "b" not in staged
        with pytest.raises(KeyError):
            staged["b"]


def test_a_seal_counts_what_came_after_the_last_one(tmp_path: Path) -> None:
    with StagedFiles(tmp_path / "job", replace=False) as files:
        files.put("a.txt", b"one")
        before = files.seal()
        files.put("b.txt", b"two")
        assert files.seal() != before
        listed = json.loads(files["manifest.json"])["files"]
        files.move()
    assert listed.keys() == {"a.txt", "b.txt"}


def test_what_is_not_moved_is_removed(tmp_path: Path) -> None:
    def fail() -> None:
        with StagedFiles(tmp_path / "job", replace=True) as files:
            files.put("b/a.txt", b"half of it")
            raise OutputError("a sheet failed")

    with pytest.raises(OutputError, match="a sheet failed"):
        fail()
    assert not list(tmp_path.iterdir())


def test_a_file_that_a_killed_process_left_half_is_written_again(tmp_path: Path) -> None:
    with StagedFiles(tmp_path / "job", replace=False) as files:
        files.put("a.txt", b"half of a longer text")
        files.put("a.txt", b"whole")
        files.move()
    assert (tmp_path / "job" / "a.txt").read_bytes() == b"whole"


def test_a_place_taken_meanwhile_is_kept(tmp_path: Path) -> None:
    target = tmp_path / "job"
    with StagedFiles(target, replace=False) as files:
        files.put("a.txt", b"ours")
        target.mkdir()
        (target / "theirs.txt").write_bytes(b"theirs")
        with pytest.raises(OutputError, match="already exists"):
            files.move()
    assert left_in(tmp_path) == {"job/theirs.txt"}
