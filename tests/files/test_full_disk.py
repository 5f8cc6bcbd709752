"""A disk that is full, has no room for names or cannot be written: whole or absent, one sentence.

Each case has a small file system of its own (tmpfs(5)), which only root can mount; its page is the
least that a file takes. The job is made by the command, in this process.
"""

from __future__ import annotations

import ctypes
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from render.files.overwrite import MANIFEST
from tests.helpers.command import MARKER, PIPE, VALVE, everything, run, write_list

pytestmark = [
    pytest.mark.skipif(
        sys.platform != "linux" or os.geteuid() != 0, reason="only root mounts a file system"
    ),
    pytest.mark.slow,
]
PAGE = 4096
FULL = "No space left on device"
BLOCKS = (1, 2, 9, 31, 63, 90, 105)  # pages: the job of the list takes more than the last
NAMES = (1, 2, 3, 6, 11, 17)  # a file or folder takes one; the job of the list takes 18
SIGNED = ("--by", "A. Reader", "--date", "2026-03-02")

Mount = Callable[[str], Path]


@pytest.fixture
def mount(tmp_path: Path) -> Iterator[Mount]:
    """Mounts a small file system with the options given, and takes it away at the end."""
    place = tmp_path / "disk"
    place.mkdir()

    def mounted(options: str) -> Path:
        done = subprocess.run(
            ["mount", "-t", "tmpfs", "-o", options, "tmpfs", place],
            capture_output=True,
            check=False,
        )
        if done.returncode:
            pytest.skip("mounting is not allowed here")
        return place

    yield mounted
    subprocess.run(["umount", "-l", place], capture_output=True, check=False)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Lists, a job and the files that commands read."""
    home = tmp_path_factory.mktemp("made")
    write_list(home / "list.csv", [PIPE, VALVE])
    write_list(home / "other.csv", [{**PIPE, "flow": "right"}])
    assert run("order", home / "list.csv", "-o", home / "job", "--quiet").exit_code == 0
    assert run("register", home / "register", "--job", home / "job", *SIGNED).exit_code == 0
    return home


def refused(disk: Path, *words: str | Path, why: str = FULL) -> None:
    """The command says why in one sentence and leaves the disk as it was."""
    before = everything(disk)
    result = run(*words)
    assert result.exit_code == 2, result.output
    assert everything(disk) == before
    lines = result.stderr.strip().splitlines()
    assert len(lines) == 1, result.output
    assert f"cannot be written: {why}" in lines[0]


def test_the_points_lie_within_the_job(made: Path) -> None:
    """Else the tests below would fill no disk."""
    files = everything(made / "job")
    assert sum(-(-len(data) // PAGE) for data in files.values()) > max(BLOCKS)
    folders = {Path(name).parent for name in files}
    assert len(files) + len(folders) > max(NAMES)
    assert MANIFEST in files


@pytest.mark.parametrize("blocks", BLOCKS)
def test_an_order_on_a_disk_that_gets_full(mount: Mount, made: Path, blocks: int) -> None:
    disk = mount(f"size={blocks * PAGE}")
    refused(disk, "order", made / "list.csv", "-o", disk / "job", "--quiet")


@pytest.mark.parametrize("names", NAMES)
def test_an_order_on_a_disk_without_names(mount: Mount, made: Path, names: int) -> None:
    disk = mount(f"size=4m,nr_inodes={names + 1}")  # the disk's own folder has one
    refused(disk, "order", made / "list.csv", "-o", disk / "job", "--quiet")


@pytest.mark.parametrize("blocks", [1, 40, 80])
def test_an_old_job_outlasts_a_full_disk(mount: Mount, made: Path, blocks: int) -> None:
    disk = mount("size=4m")
    assert run("order", made / "other.csv", "-o", disk / "job", "--quiet").exit_code == 0
    _leave(disk, blocks)
    refused(disk, "order", made / "list.csv", "-o", disk / "job", "--force", "--quiet")


def test_what_fits_is_written_whole(mount: Mount, made: Path) -> None:
    disk = mount("size=1m,nr_inodes=40")
    assert run("order", made / "list.csv", "-o", disk / "job", "--quiet").exit_code == 0
    assert everything(disk / "job") == everything(made / "job")


def _commands(made: Path, disk: Path) -> Iterator[tuple[str | Path, ...]]:
    for suffix in (".pdf", ".svg", ".dxf"):
        yield *MARKER, "-o", disk / f"new{suffix}"
    yield "approve", made / "job", *SIGNED, "-o", disk / "new.json"
    yield "template", disk / "new.xlsx"
    yield "template", disk / "shop.toml"
    yield "check", made / "list.csv", "--marked", disk / "new.xlsx"
    yield "audit", made / "register", "--date", "2027-01-01", "-o", disk / "new.pdf"
    yield "rounds", made / "register", "--until", "2040-01-01", "-o", disk / "new", "--quiet"
    yield "survey", made / "list.csv", "-o", disk / "new", "--quiet"
    yield "register", disk / "new", "--job", made / "job", *SIGNED
    yield "diff", made / "job", made / "other.csv", "-o", disk / "new", "--quiet"
    yield "reprint", made / "job", "HV-118", "-o", disk / "new", "--quiet"


def test_every_command_that_writes(mount: Mount, made: Path) -> None:
    disk = mount("size=4m")
    (disk / "mine.txt").write_text("precious")
    _leave(disk, 0)
    for words in _commands(made, disk):
        refused(disk, *words)


def test_every_command_on_a_disk_that_is_read_only(mount: Mount, made: Path) -> None:
    disk = mount("size=4m")
    (disk / "mine.txt").write_text("precious")
    subprocess.run(["mount", "-o", "remount,ro", disk], check=True)
    refused(disk, "order", made / "list.csv", "-o", disk / "job", why="Read-only file system")
    for words in _commands(made, disk):
        refused(disk, *words, why="Read-only file system")


def test_a_folder_that_others_may_not_write(made: Path) -> None:
    """As another user: root may write everywhere, so files are asked for as nobody's."""
    with tempfile.TemporaryDirectory() as place:  # the tests' own folder is closed to others
        home = Path(place)
        home.chmod(0o755)
        shutil.copy(made / "list.csv", home / "list.csv")
        with _as_nobody():
            for words in (
                ("order", home / "list.csv", "-o", home / "job"),
                (*MARKER, "-o", home / "new.pdf"),
            ):
                refused(home, *words, why="Permission denied")


@contextmanager
def _as_nobody() -> Iterator[None]:
    """The user by which the system judges files (setfsuid(2)); modules are imported before."""
    change = ctypes.CDLL(None).setfsuid
    own = os.geteuid()
    change(65534)
    try:
        yield
    finally:
        change(own)


def _leave(disk: Path, blocks: int) -> None:
    """Fill the disk up to some pages."""
    free = os.statvfs(disk).f_bavail - blocks
    (disk / "filler").write_bytes(bytes(free * PAGE))
