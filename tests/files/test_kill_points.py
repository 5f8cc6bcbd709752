"""A run that is killed at any call to the system leaves the old folder or the new one, whole.

A child process ends itself without clean-up at the n-th call that touches a file name, for every
n that there is; what it leaves is then looked at, and the next run must put all in order.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest

from layouts.terms.errors import OutputError
from render.files import atomic
from render.files.atomic import manifest, write_folder
from render.files.exchange import claimed, exchange
from tests.helpers.command import everything

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="kills a forked child")
_KILLED = 77
_EVENTS = frozenset(
    {"open", "os.mkdir", "os.rename", "os.remove", "os.rmdir", "os.listdir", "os.scandir"}
)
_OLD = {"a.txt": b"old", "b/c.txt": b"old"}
_NEW = {"a.txt": b"new", "b/d.txt": b"new"}


def sealed(files: dict[str, bytes]) -> dict[str, bytes]:
    return {**files, "manifest.json": manifest(files)}


def contents(folder: Path) -> dict[str, bytes]:
    return {name: data for name, data in everything(folder).items() if data != b"folder"}


def killed_at(point: int, work: Callable[[], None]) -> bool:
    """Whether the work, in a child, came to its ``point``-th call and ended there."""
    child = os.fork()
    if child == 0:
        calls = 0

        def count(event: str, _arguments: tuple[object, ...]) -> None:
            nonlocal calls
            if event in _EVENTS or event == "ctypes.dlopen":
                calls += 1
                if calls == point:
                    os._exit(_KILLED)

        try:
            sys.addaudithook(count)
            work()
        finally:
            os._exit(0)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == _KILLED


@pytest.mark.parametrize("swaps", [True, False])
@pytest.mark.parametrize("replaced", [True, False])
def test_no_kill_point_loses_a_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, swaps: bool, replaced: bool
) -> None:
    if not swaps:  # as on a system that cannot swap two names
        monkeypatch.setattr(atomic, "exchange", lambda _first, _second: False)
    point = 0
    seen: set[str] = set()
    while True:
        point += 1
        home = tmp_path / str(point)
        home.mkdir()
        target = home / "job"
        if replaced:
            write_folder(target, sealed(_OLD), replace=False)
        if not killed_at(point, partial(write_folder, target, sealed(_NEW), replace=True)):
            break
        _look_and_repair(target, replaced, swaps, seen)
    assert point > 15
    assert contents(home) == {f"job/{name}": data for name, data in sealed(_NEW).items()}
    assert {"new", "old" if replaced else "none"} <= seen


def _look_and_repair(target: Path, replaced: bool, swaps: bool, seen: set[str]) -> None:
    found = contents(target)
    if found == sealed(_NEW):
        seen.add("new")
    elif target.exists():
        assert replaced
        assert found == sealed(_OLD)
        seen.add("old")
    else:
        # Without a swap the old folder may be beside its place, whole, until the next run.
        aside = [contents(each) for each in target.parent.glob(".job.replaced-*")]
        assert aside == ([sealed(_OLD)] if replaced else [])
        assert not (replaced and swaps)
        seen.add("none")
    write_folder(target.parent / "other", sealed(_NEW), replace=False)
    assert {each.name for each in target.parent.iterdir()} >= {"other"}
    write_folder(target, sealed(_NEW), replace=True)
    assert contents(target) == sealed(_NEW)
    assert {each.name for each in target.parent.iterdir()} == {"job", "other"}


def test_an_old_folder_beside_its_place_is_put_back(tmp_path: Path) -> None:
    write_folder(tmp_path / "job", sealed(_OLD), replace=False)
    (tmp_path / "job").rename(tmp_path / ".job.replaced-0a1b2c3d")
    with pytest.raises(OutputError, match="already exists"):
        write_folder(tmp_path / "job", sealed(_NEW), replace=False)
    assert contents(tmp_path) == {f"job/{name}": data for name, data in sealed(_OLD).items()}


def test_what_another_run_is_writing_is_not_swept(tmp_path: Path) -> None:
    busy, dead = tmp_path / ".job.unfinished-0a1b2c3d", tmp_path / ".job.unfinished-00000000"
    mine = tmp_path / ".job.unfinished-notes"
    for each in (busy, dead, mine):
        each.mkdir()
        (each / "part.pdf").write_bytes(b"half")
    with claimed(busy):
        write_folder(tmp_path / "job", sealed(_NEW), replace=False)
        assert {each.name for each in tmp_path.iterdir()} == {"job", busy.name, mine.name}


def test_the_swap_is_the_systems_own_where_it_has_one(tmp_path: Path) -> None:
    """Linux renameat2(2): with RENAME_EXCHANGE both names exist throughout."""
    if sys.platform != "linux":
        pytest.skip("renameat2 is a call of Linux")
    for name in ("one", "two"):
        (tmp_path / name).mkdir()
        (tmp_path / name / name).write_bytes(b"")
    assert exchange(tmp_path / "one", tmp_path / "two")
    assert [each.name for each in (tmp_path / "one").iterdir()] == ["two"]
    assert [each.name for each in (tmp_path / "two").iterdir()] == ["one"]
