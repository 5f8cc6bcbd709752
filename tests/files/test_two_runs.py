"""Two orders into one folder at the same time, and folders on shares without locks or swaps."""

from __future__ import annotations

import errno
import json
import os
import subprocess
import sys
from hashlib import sha256
from pathlib import Path

import pytest

from render.files import atomic
from render.files.overwrite import MANIFEST
from tests.helpers.command import PIPE, VALVE, everything, run, write_list

pytestmark = pytest.mark.slow
TOP = Path(__file__).resolve().parents[2]


@pytest.fixture
def lists(tmp_path: Path) -> tuple[Path, Path]:
    """Two lists whose jobs differ."""
    one = write_list(tmp_path / "one.csv", [PIPE, VALVE])
    return one, write_list(tmp_path / "two.csv", [{**PIPE, "flow": "right"}])


def begun(path: Path, job: Path, *more: str) -> subprocess.Popen[str]:
    words = [sys.executable, "-m", "pipelegend", "order", str(path), "-o", str(job), "--quiet"]
    return subprocess.Popen(
        [*words, *more], cwd=TOP, stdin=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True
    )


def ends(*runs: subprocess.Popen[str]) -> list[tuple[int, str]]:
    """Exit code and what each says."""
    said = [each.communicate()[1] for each in runs]
    return [(each.returncode, text) for each, text in zip(runs, said, strict=True)]


def job_of(folder: Path) -> str:
    """The first list or the second, by a folder that is whole and has no other beside it."""
    files = json.loads((folder / MANIFEST).read_bytes())["files"]
    found = {name: data for name, data in everything(folder).items() if (folder / name).is_file()}
    assert found.keys() == {*files, MANIFEST}
    assert all(sha256(found[name]).hexdigest() == files[name]["sha256"] for name in files)
    assert sorted(each.name for each in folder.parent.iterdir()) == ["job", "one.csv", "two.csv"]
    return "one" if b"HV-118" in found["order.json"] else "two"


@pytest.mark.parametrize("swapped", [False, True])
def test_one_of_two_runs_gets_the_folder(
    lists: tuple[Path, Path], tmp_path: Path, swapped: bool
) -> None:
    order = lists[::-1] if swapped else lists
    both = ends(*[begun(path, tmp_path / "job") for path in order])
    assert sorted(code for code, _ in both) == [0, 2]
    told = next(text for code, text in both if code == 2)
    assert "already exists; give another folder with -o" in told
    assert len(told.splitlines()) == 1
    won = next(path.stem for path, (code, _) in zip(order, both, strict=True) if code == 0)
    assert job_of(tmp_path / "job") == won


@pytest.mark.parametrize("old", [False, True])
def test_two_runs_that_replace_leave_one_whole_job(
    lists: tuple[Path, Path], tmp_path: Path, old: bool
) -> None:
    if old:
        assert run("order", lists[0], "-o", tmp_path / "job", "--quiet").exit_code == 0
    both = ends(*[begun(path, tmp_path / "job", "--force") for path in lists])
    assert both == [(0, ""), (0, "")]
    assert job_of(tmp_path / "job") in ("one", "two")


def test_a_share_without_locks_syncs_and_swaps(
    lists: tuple[Path, Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Simulated, as a network file system may answer (flock(2), fsync(2), rename(2))."""
    fcntl = pytest.importorskip("fcntl", reason="this system has no such locks")

    def lacking(*_: object) -> None:
        raise OSError(errno.EOPNOTSUPP, os.strerror(errno.EOPNOTSUPP))

    folder_sync = os.fsync

    def only_files(handle: int) -> None:
        if os.path.isdir(f"/proc/self/fd/{handle}"):
            lacking()
        folder_sync(handle)

    monkeypatch.setattr(fcntl, "flock", lacking)
    monkeypatch.setattr(os, "fsync", only_files)
    monkeypatch.setattr(atomic, "exchange", lambda _first, _second: False)
    for path, more in zip(lists, ((), ("--force",)), strict=True):
        done = run("order", path, "-o", tmp_path / "job", "--quiet", *more)
        assert done.exit_code == 0, done.output
        assert job_of(tmp_path / "job") == path.stem
