"""The page under work: first findings of a long list, and eight clients that order at once.

    python -m tests.bench.page_bench [--seconds 60]

The server is the command's, in a process of its own. Eight clients send orders of 200 markers,
each with tags of its own, one after the other as long as the time runs, and ask again after a
refusal as it tells them. Every accepted job must end well and hold its own tags and nobody
else's; memory is that of the server with all its children, some time after.
"""

from __future__ import annotations

import argparse
import csv
import io
import os
import socket
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import httpx2 as httpx

from tests.bench.lists import HEADINGS, rows

TOP = Path(__file__).resolve().parents[2]
ROWS, MARKERS, CLIENTS = 2_000, 200, 8
FIRST_FINDINGS, GROWTH = 2.0, 1.2
_FAULT_EVERY = 40


def main() -> int:
    parser = argparse.ArgumentParser()
    parser.add_argument("--seconds", type=float, default=60)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as home, server(Path(home)) as (pid, address):
        first = first_findings(address)
        before = memory(pid)
        load = ordered(address, asked.seconds)
        time.sleep(3)
        after = memory(pid)
    print(f"first findings of {ROWS:,} rows: {first:.2f} s (goal {FIRST_FINDINGS} s)")
    print(
        f"{CLIENTS} clients for {asked.seconds:.0f} s: {load.accepted} accepted, {load.done} done "
        f"right, {load.refused} refused with Retry-After, {len(load.wrong)} wrong"
    )
    print(f"memory before {before} MB, after {after} MB (goal within 20 percent)")
    for each in load.wrong:
        print(f"  {each}")
    fair = load.accepted == load.done and not load.wrong and load.accepted > 0
    return 0 if first <= FIRST_FINDINGS and fair and after <= before * GROWTH else 1


@contextmanager
def server(home: Path) -> Iterator[tuple[int, str]]:
    """The page's command on a free port: its process and its address."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [sys.executable, "-m", "pipelegend", "web", "--no-browser", "--port", str(port)]
    process = subprocess.Popen(
        [*command, "--folder", str(home)], cwd=TOP, stdout=subprocess.DEVNULL
    )
    address = f"http://127.0.0.1:{port}"
    try:
        while not _answers(address):
            time.sleep(0.1)
        time.sleep(3)  # until its first child waits for work
        yield process.pid, address
    finally:
        process.terminate()
        process.wait()


def _answers(address: str) -> bool:
    try:
        return httpx.get(address).status_code == 200
    except httpx.HTTPError:
        return False


def first_findings(address: str) -> float:
    """Seconds from dropping a list to its findings on the page; the median of five."""
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(HEADINGS)
    for number, row in enumerate(rows(ROWS)):
        faulty = number % _FAULT_EVERY == 0
        writer.writerow((*row[:3], f"liqid {number}", *row[4:]) if faulty else row)
    taken = []
    for _ in range(5):
        began = time.monotonic()
        files = {"list": ("list.csv", text.getvalue().encode())}
        with httpx.Client(follow_redirects=True, timeout=60) as client:
            answer = client.post(f"{address}/lists", files=files)
            while "listrow" not in answer.text:
                answer = client.get(answer.url)
            taken.append(time.monotonic() - began)
            while not client.get(_state(answer)).json()["over"]:
                time.sleep(0.1)
        time.sleep(2)  # until the next child waits for work
    return statistics.median(taken)


def _state(answer: httpx.Response) -> str:
    return str(answer.url).replace("/lists/", "/work/").partition("?")[0] + "/state"


@dataclass(slots=True)
class Load:
    """What became of all orders."""

    accepted: int = 0
    done: int = 0
    refused: int = 0
    wrong: list[str] = field(default_factory=list)
    lock: threading.Lock = field(default_factory=threading.Lock)

    def add(self, name: str, wrong: str = "") -> None:
        with self.lock:
            setattr(self, name, getattr(self, name) + 1)
            if wrong:
                self.wrong.append(wrong)


def ordered(address: str, seconds: float) -> Load:
    """Eight clients at once, until the time is over and the last job has ended."""
    load, until = Load(), time.monotonic() + seconds
    clients = [
        threading.Thread(target=_client, args=(address, number, until, load))
        for number in range(CLIENTS)
    ]
    for each in clients:
        each.start()
    for each in clients:
        each.join()
    return load


def _client(address: str, number: int, until: float, load: Load) -> None:
    with httpx.Client(base_url=address, timeout=60) as client:
        turn = 0
        while time.monotonic() < until:
            turn += 1
            mark = f"C{number}T{turn}"
            answer = client.post("/api/orders", json=order_of(mark))
            if answer.status_code == 503:
                told = answer.headers.get("retry-after", "")
                load.add("refused", "" if told.isdecimal() else "503 without Retry-After")
                time.sleep(float(told or 1))
                continue
            if answer.status_code != 202:
                load.add("accepted", f"{mark}: status {answer.status_code}")
                continue
            load.add("accepted")
            _follow(client, answer.headers["location"], mark, load)


def _follow(client: httpx.Client, job: str, mark: str, load: Load) -> None:
    """Wait for a job, and look for its tags and anybody else's in its files."""
    while (said := client.get(job).json())["stage"] in ("waiting", "running"):
        time.sleep(0.5)
    if said["stage"] != "done":
        load.add("done", f"{mark}: {said['stage']} {said['message']}")
        return
    table = client.get(f"{job}/files/markers.csv").text
    own = table.count(f"{mark}-")
    foreign = [line for line in table.splitlines()[1:] if f"{mark}-" not in line]
    wrong = f"{mark}: {own} own, {len(foreign)} foreign" if own < MARKERS or foreign else ""
    load.add("done", wrong)


def order_of(mark: str) -> dict[str, object]:
    """An order of 200 valve tags, all of them with a mark of their own."""
    markers = [
        {
            "kind": "valve",
            "service": "HPL",
            "tag": f"{mark}-{number:03}",
            "function": "Stop",
            "area": f"Area {number % 5}",
        }
        for number in range(MARKERS)
    ]
    return {"title": mark, "markers": markers}


def memory(parent: int) -> int:
    """Resident MB of a process and all below it (Linux, proc(5))."""
    below: dict[int, list[int]] = {}
    sizes: dict[int, int] = {}
    for path in Path("/proc").glob("[0-9]*"):
        try:
            said = (path / "stat").read_text().rpartition(")")[2].split()
            pages = int((path / "statm").read_text().split()[1])
        except OSError:
            continue
        below.setdefault(int(said[1]), []).append(int(path.name))
        sizes[int(path.name)] = pages * os.sysconf("SC_PAGE_SIZE")
    family = [parent]
    for each in family:
        family += below.get(each, [])
    return sum(sizes.get(each, 0) for each in family) >> 20


if __name__ == "__main__":
    sys.exit(main())
