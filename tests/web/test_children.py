"""Under the floor: one child at a time, canceled, refused, killed and started again."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx2 as httpx
import pytest
from starlette.exceptions import HTTPException
from starlette.testclient import TestClient

import pipelegend
from render.web.children import LONG, QUICK, Limits, Workshop
from render.web.settings import WebSettings
from render.web.store import Stage, Store, Work
from render.web.tasks import write_task
from tests.bench.lists import HEADINGS, rows
from tests.helpers.page_jobs import HTML, SOUND, csv_text, drop, finished, stage

TOP = Path(__file__).resolve().parents[2]


def long_list(count: int = 400) -> bytes:
    """A list whose job takes a few seconds."""
    return csv_text((HEADINGS, *rows(count, own_tags=True))).encode()


def waits_for(said: Callable[[], bool], seconds: float = 60) -> None:
    until = time.monotonic() + seconds
    while not said():
        assert time.monotonic() < until, "it did not come to pass"
        time.sleep(0.02)


def started_job(client: TestClient, name: str) -> str:
    """A job that is at work."""
    answer = client.post(f"/lists/{name}/order", headers=HTML)
    job = answer.url.path.rpartition("/")[2]
    waits_for(lambda: bool(client.get(f"/work/{job}/state").json()["hop"]))
    return job


def children_of(parent: int) -> set[int]:
    """Processes whose parent this is (Linux, proc(5))."""
    found = set()
    for path in Path("/proc").glob("[0-9]*"):
        try:
            said = (path / "stat").read_text().rpartition(")")[2].split()
        except OSError:
            continue
        if int(said[1]) == parent:
            found.add(int(path.name))
    return found


@pytest.mark.slow
def test_a_job_is_canceled_and_leaves_nothing_behind(served: TestClient) -> None:
    name = drop(served, "canceled.csv", long_list())
    before = children_of(os.getpid())
    job = started_job(served, name)
    folder = served.app.state.settings.jobs / job  # type: ignore[attr-defined]
    at_work = children_of(os.getpid()) - before
    page = served.post(f"/work/{job}/cancel", headers=HTML).text
    assert "canceled" in page
    assert stage(served, job) == "canceled"
    assert {path.name for path in folder.iterdir()} == {"state.json", "task.json", "given"}
    if sys.platform == "linux":
        assert at_work
        assert not at_work & children_of(os.getpid())
    served.post(f"/work/{job}/again", headers=HTML)
    finished(served, job)
    assert stage(served, job) == "done"


@pytest.mark.slow
def test_two_users_at_once_each_get_their_own(served: TestClient) -> None:
    other = TestClient(served.app, "http://127.0.0.1")
    first = drop(served, "first.csv", csv_text(SOUND[:2]).encode())
    second = drop(other, "second.csv", csv_text((SOUND[0], SOUND[3])).encode())
    jobs = []
    for client, name in ((served, first), (other, second)):
        answer = client.post(f"/lists/{name}/order", headers=HTML)
        jobs.append(answer.url.path.rpartition("/")[2])
    for client, job in zip((served, other), jobs, strict=True):
        finished(client, job)
    one, two = (served.get(f"/jobs/{job}/files/markers.csv").text for job in jobs)
    assert "AMMONIA" in one
    assert "HV-118" not in one
    assert "HV-118" in two
    assert len(two.splitlines()) == 2


@contextmanager
def workshop(folder: Path, long: Limits = LONG, quick: Limits = QUICK) -> Iterator[Workshop]:
    made = Workshop(WebSettings(folder), quick, long)
    made.start()
    try:
        yield made
    finally:
        made.stop()


def order_in(store: Store, data: bytes) -> Work:
    work = store.create("order", "a job")
    (work.folder / "given" / "list.csv").write_bytes(data)
    write_task(work, {"main": "list.csv"})
    return work


@pytest.mark.slow
def test_a_full_line_refuses_with_retry_after_and_keeps_nothing(tmp_path: Path) -> None:
    with workshop(tmp_path, Limits(1, 60, LONG.memory)) as made:
        first = made.submit(order_in(made.store, long_list(120)))
        waits_for(lambda: made.place(first) == 0)
        second = made.submit(order_in(made.store, csv_text().encode()))
        third = order_in(made.store, csv_text().encode())
        with pytest.raises(HTTPException) as refused:
            made.submit(third)
        assert refused.value.status_code == 503
        assert refused.value.headers == {"Retry-After": "5"}
        assert not third.folder.exists()
        assert made.place(second) == 1
        made.cancel(second)
        for work, wanted in ((first, Stage.DONE), (second, Stage.CANCELED)):
            found = made.wait(work.id, 120)
            assert found is not None
            assert found.stage is wanted


def test_a_child_that_takes_too_long_is_ended(tmp_path: Path) -> None:
    with workshop(tmp_path, Limits(1, 1.0, LONG.memory)) as made:
        work = made.submit(order_in(made.store, long_list(2000)))
        found = made.wait(work.id, 60)
        assert found is not None
        assert found.stage is Stage.FAILED
        assert found.message == "late 1"
        assert not (work.folder / "job").exists()


@pytest.mark.skipif(sys.platform == "win32", reason="this system limits no memory")
def test_a_child_that_takes_too_much_memory_is_told(tmp_path: Path) -> None:
    with workshop(tmp_path, Limits(1, 60.0, 150 << 20)) as made:
        work = made.submit(order_in(made.store, csv_text().encode()))
        found = made.wait(work.id, 60)
        assert found is not None
        assert found.stage is Stage.FAILED
        assert not (work.folder / "job").exists()


def test_old_work_is_swept_and_new_work_is_not(tmp_path: Path) -> None:
    store = Store(tmp_path / "jobs")
    old = store.create("order", "old")
    store.save(Work(old.folder, "order", "old", time.time() - 31 * 86_400, Stage.DONE))
    new = store.create("order", "new")
    store.save(Work(new.folder, "order", "new", time.time(), Stage.DONE))
    unsaved = store.create("order", "never told")
    assert set(store.sweep(30)) == {old.id, unsaved.id}
    assert [each.id for each in store.every()] == [new.id]


@pytest.mark.slow
@pytest.mark.skipif(sys.platform != "linux", reason="looks into /proc")
def test_a_killed_server_takes_its_child_along_and_the_next_one_finishes_the_job(
    tmp_path: Path,
) -> None:
    home = tmp_path / "home"
    listed = tmp_path / "list.csv"
    listed.write_bytes(long_list(80))
    with server(home) as (process, address):
        name = _post_list(address, listed)
        answer = httpx.post(f"{address}/lists/{name}/order", follow_redirects=True, timeout=60)
        job = answer.url.path.rpartition("/")[2]
        waits_for(lambda: bool(httpx.get(f"{address}/work/{job}/state").json()["hop"]))
        children = children_of(process.pid)
        assert children
        process.send_signal(signal.SIGKILL)
        process.wait()
        waits_for(lambda: not any(Path(f"/proc/{each}").exists() for each in children), 10)
    assert not (home / "jobs" / job / "job").exists()
    with server(home) as (_process, address):
        waits_for(lambda: httpx.get(f"{address}/work/{job}/state").json()["over"], 120)
        assert httpx.get(f"{address}/work/{job}/state").json()["stage"] == "done"
    by_command = pipelegend.order(listed, tmp_path / "job")
    again = home / "jobs" / job / "job"
    assert {name: (again / name).read_bytes() for name in by_command.files} == dict(
        by_command.files
    )


def _post_list(address: str, path: Path) -> str:
    answer = httpx.post(
        f"{address}/lists",
        files={"list": (path.name, path.read_bytes())},
        follow_redirects=True,
        timeout=60,
    )
    name = answer.url.path.rpartition("/")[2]
    waits_for(lambda: httpx.get(f"{address}/work/{name}/state").json()["over"])
    return name


@contextmanager
def server(home: Path) -> Iterator[tuple[subprocess.Popen[bytes], str]]:
    """The page as its command starts it, on a free port."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [sys.executable, "-m", "pipelegend", "web", "--no-browser", "--port", str(port)]
    process = subprocess.Popen(
        [*command, "--folder", str(home)],
        cwd=TOP,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    address = f"http://127.0.0.1:{port}"
    try:
        waits_for(lambda: _answers(address))
        yield process, address
    finally:
        process.terminate()
        process.wait(30)


def _answers(address: str) -> bool:
    try:
        return httpx.get(address).status_code == 200
    except httpx.HTTPError:
        return False
