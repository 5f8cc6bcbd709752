"""A batch on a real cluster: a Dask scheduler and two workers, each a process on loopback."""

from __future__ import annotations

import csv
import json
import os
import pickle
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from render.batch.apart import ChildEndedError, packed, unpacked
from render.batch.cluster_run import run_on_worker
from render.batch.one_order import OrderWork, State
from render.lists import Given, Lists
from tests.helpers.command import VALVE, VESSEL, everything, run, told, write_list

pytest.importorskip("distributed")
_BOUND = 120.0  # seconds; every wait here ends


@dataclass
class Cluster:
    """A scheduler and its workers."""

    address: str
    processes: list[subprocess.Popen[bytes]] = field(default_factory=list)

    @property
    def workers(self) -> list[subprocess.Popen[bytes]]:
        return self.processes[1:]


def dask(part: str, *words: str, home: Path, losses: int = 3) -> subprocess.Popen[bytes]:
    """A scheduler or a worker on loopback, without its web page."""
    settings = {
        **os.environ,
        "PYTHONPATH": str(Path.cwd()),
        "PYTHONWARNINGS": "ignore",
        "DASK_TEMPORARY_DIRECTORY": str(home),
        "DASK_DISTRIBUTED__SCHEDULER__ALLOWED_FAILURES": str(losses),
    }
    command = [sys.executable, "-m", f"distributed.cli.dask_{part}", *words, "--no-dashboard"]
    with (home / f"{part}.log").open("ab") as log:
        return subprocess.Popen(command, env=settings, cwd=home, stdout=log, stderr=log)


def waited_for(what: str, found: object) -> object:
    """What a function gives, as soon as it gives something."""
    assert callable(found)
    end = time.monotonic() + _BOUND
    while time.monotonic() < end:
        value = found()
        if value:
            return value
        time.sleep(0.02)
    raise AssertionError(f"{what} was not seen")


@contextmanager
def cluster_of(workers: int, home: Path, losses: int = 3) -> Iterator[Cluster]:
    """A cluster that ends with the block, however that ends."""
    file = home / "scheduler.json"
    words = ("--host", "127.0.0.1", "--port", "0", "--scheduler-file", str(file))
    cluster = Cluster("", [dask("scheduler", *words, home=home, losses=losses)])
    try:
        waited_for("the scheduler", lambda: file.is_file() and file.read_text().endswith("}"))
        cluster.address = json.loads(file.read_text())["address"]
        for _ in range(workers):
            more = ("--nthreads", "1", "--no-nanny", "--host", "127.0.0.1")
            cluster.processes.append(dask("worker", cluster.address, *more, home=home))
        yield cluster
    finally:
        for process in reversed(cluster.processes):
            process.kill()
            process.wait(_BOUND)


def order_process(worker: int) -> int:
    """The process of an order that a worker has started; 0 if there is none."""
    for path in Path(f"/proc/{worker}/task").glob("*/children"):
        for child in path.read_text(encoding="ascii").split():
            if b"render.batch.order_child" in Path(f"/proc/{child}/cmdline").read_bytes():
                return int(child)
    return 0


def is_alive(process: int) -> bool:
    try:
        return Path(f"/proc/{process}/stat").read_text(encoding="ascii").split()[2] != "Z"
    except OSError:
        return False


@pytest.fixture
def plants(tmp_path: Path) -> Path:
    folder = tmp_path / "plants"
    folder.mkdir()
    write_list(folder / "north.csv", [VALVE, VESSEL])
    write_list(folder / "south.csv", [VESSEL])
    write_list(folder / "west.csv", [{**VALVE, "tag": "XV-7"}])
    write_list(folder / "broken.csv", [{**VALVE, "kind": "wall"}])
    return folder


@contextmanager
def batch_at_work(*words: str | Path) -> Iterator[subprocess.Popen[str]]:
    """The command in a process, which ends with the block."""
    running = subprocess.Popen(
        [sys.executable, "-m", "pipelegend", "batch", *map(str, words)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    try:
        yield running
    finally:
        running.kill()


@pytest.mark.slow
def test_a_killed_workers_order_is_made_by_another(plants: Path, tmp_path: Path) -> None:
    """Bytes as on this machine, every order whole, nothing left over of the killed worker."""
    with cluster_of(2, tmp_path) as cluster:
        words = (plants, "-o", tmp_path / "far", "--cluster", cluster.address)
        with batch_at_work(*words) as running:
            victim = cluster.workers[0].pid
            order = waited_for("an order at work", lambda: order_process(victim))
            os.kill(victim, signal.SIGKILL)
            out, err = running.communicate(timeout=_BOUND)
        assert isinstance(order, int)
        waited_for("the end of the killed worker's order", lambda: not is_alive(order))
    assert running.returncode == 2, err  # of the broken list, and of nothing else
    assert "3 made, 1 unreadable" in out
    assert [line for line in err.splitlines() if "broken" not in line and "made" not in line] == []
    run("batch", plants, "-o", tmp_path / "near", "--quiet")
    assert everything(tmp_path / "far") == everything(tmp_path / "near")
    assert {path.name for path in (tmp_path / "far").iterdir()} == {
        *("north", "south", "west", "batch.csv"),
    }
    again = run("batch", plants, "-o", tmp_path / "far", "--quiet")
    assert again.exit_code == 2
    assert (tmp_path / "far" / "batch.csv").read_text().count(",kept,") == 3


@pytest.mark.full
def test_an_order_that_ends_its_workers_is_reported_by_name(tmp_path: Path) -> None:
    """No loss allowed: the first one is the last, and the other worker makes the rest."""
    paths = [write_list(tmp_path / f"plant{n}.csv", [VALVE, VESSEL]) for n in range(3)]
    with cluster_of(2, tmp_path, losses=0) as cluster:
        words = ("-o", tmp_path / "jobs", "--cluster", cluster.address)
        with batch_at_work(*paths, *words) as running:
            victim = cluster.workers[0].pid
            waited_for("an order at work", lambda: order_process(victim))
            os.kill(victim, signal.SIGKILL)
            out, err = running.communicate(timeout=_BOUND)
    assert running.returncode == 2, out
    with (tmp_path / "jobs" / "batch.csv").open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    lost = [row["order"] for row in rows if row["state"] == "failed"]
    assert 0 < len(lost) < 3  # what waited for the lost worker is lost with it
    assert err.count("failed: 1 worker ended while it made the order") == len(lost)
    assert {row["state"] for row in rows} == {"made", "failed"}
    written = {path.name for path in (tmp_path / "jobs").iterdir() if path.name[0] != "."}
    assert written == {row["order"] for row in rows if row["state"] == "made"} | {"batch.csv"}


def test_no_scheduler_is_one_sentence(
    plants: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("render.batch.cluster_run._ANSWER", 0.5)
    # Port 9 is "discard" (IANA), where nothing listens here.
    table = told(run("batch", plants, "-o", tmp_path / "j", "--cluster", "127.0.0.1:9", "--json"))
    assert table["findings"][0]["what"] == "no Dask scheduler answers at 127.0.0.1:9"
    assert list((tmp_path / "j").iterdir()) == []


def test_a_worker_of_another_version_makes_nothing(plants: Path, tmp_path: Path) -> None:
    path = plants / "south.csv"
    work = OrderWork("south", Lists(path), Given(), tmp_path / "south", force=False)
    other = pickle.dumps(("0.0.9", pickle.dumps(work)))
    with pytest.raises(
        ChildEndedError, match=r"it has pipelegend .*, and the command is of 0\.0\.9"
    ):
        run_on_worker(other, None)
    assert not (tmp_path / "south").exists()


def test_a_worker_that_does_not_see_the_folder_writes_nothing(tmp_path: Path, plants: Path) -> None:
    nowhere = tmp_path / "unshared" / "south"
    work = OrderWork("south", Lists(plants / "south.csv"), Given(), nowhere, force=False)
    (outcome,) = unpacked(run_on_worker(packed(work), None))
    assert outcome.state is State.FAILED
    assert "a worker must see it under the same path" in outcome.remark
    assert not nowhere.parent.exists()


def test_without_dask_the_extra_is_named(
    plants: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    result = run("batch", plants, "-o", tmp_path / "jobs", "--cluster", "127.0.0.1:8786")
    assert result.exit_code == 2
    assert "install pipelegend[cluster]" in result.stderr
