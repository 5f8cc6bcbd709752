"""`pipelegend order` on long lists, hop by hop, with a plain peer on the same list in the same run.

    python -m tests.bench.pipeline_bench [--counts 200 2000 20000] [--no-peer]

Every job runs in a process of its own. Seconds are those of the clock; CPU seconds are the user
and system time of the process, by which the targets are judged, as other work on the machine
changes them least; every job here is one thread. Memory is the process's largest resident set.
The hops are those that the command itself reports while it runs, and composing (faces and fits)
is taken out of planning.
"""

from __future__ import annotations

import argparse
import gc
import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from tests.bench.lists import write_list

TOP = Path(__file__).resolve().parents[2]
PEER_LIMIT = 120.0  # seconds of clock
COUNTS = (200, 2_000, 20_000)
MARKER = (
    *("marker", "HTRS", "--state", "both", "--psig", "30", "--pipe", "NPS 4"),
    *("--covering", "1.5in", "--flow", "left"),
)
# What 2,000 markers may take, and how much faster than the peer 20,000 must be.
SECONDS_2000, MEGABYTES_2000, TIMES_20000 = 3.0, 300.0, 15.0
SECONDS_HELP, SECONDS_MARKER = 0.3, 1.0


@dataclass(frozen=True, slots=True)
class Run:
    """What a process took; ``told`` is what it printed, as JSON."""

    seconds: float
    cpu: float
    megabytes: float
    ended: bool
    told: Mapping[str, Any] = field(default_factory=dict)


def run(arguments: list[str], caches: Path, limit: float | None = None) -> Run:
    """Run Python with the arguments as an installed program runs: compiled once, kept."""
    environment = {**os.environ, "PYTHONPYCACHEPREFIX": str(caches), "PYTHONPATH": str(TOP)}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    with tempfile.TemporaryFile() as output:
        start = time.perf_counter()
        child = subprocess.Popen(
            [sys.executable, *arguments], cwd=TOP, env=environment, stdout=output
        )
        ended, usage, status = _wait(child, limit)
        seconds = time.perf_counter() - start
        output.seek(0)
        text = output.read().decode()
    if ended and status:
        raise RuntimeError(f"{' '.join(arguments)} ended with {status}")
    told = json.loads(text) if ended and text.startswith("{") else {}
    cpu = usage.ru_utime + usage.ru_stime
    return Run(seconds, cpu, usage.ru_maxrss / 1024, ended, told)


def _wait(child: subprocess.Popen[bytes], limit: float | None) -> tuple[bool, Any, int]:
    """Whether the child ended by itself, its resource usage, its exit code."""
    start = time.perf_counter()
    while limit is not None and time.perf_counter() - start < limit:
        done, status, usage = os.wait4(child.pid, os.WNOHANG)
        if done:
            child.returncode = os.waitstatus_to_exitcode(status)
            return True, usage, child.returncode
        time.sleep(0.02)
    if limit is not None:
        child.kill()
    _done, status, usage = os.wait4(child.pid, 0)
    child.returncode = os.waitstatus_to_exitcode(status)
    return limit is None, usage, child.returncode


class Hops:
    """Clock and CPU seconds by hop: what passes belongs to the hop entered last."""

    def __init__(self) -> None:
        self.seconds: dict[str, float] = defaultdict(float)
        self.cpu: dict[str, float] = defaultdict(float)
        self._hop = "start"
        self._at = time.perf_counter(), time.process_time()

    def enter(self, hop: str) -> str:
        """Close the hop in hand, and return its name."""
        left, now = self._hop, (time.perf_counter(), time.process_time())
        self.seconds[left] += now[0] - self._at[0]
        self.cpu[left] += now[1] - self._at[1]
        self._hop, self._at = hop, now
        return left

    def within(self, hop: str, call: Callable[..., Any]) -> Callable[..., Any]:
        """The same call, with its time given to the hop."""

        def timed(*arguments: Any, **named: Any) -> Any:
            before = self.enter(hop)
            try:
                return call(*arguments, **named)
            finally:
                self.enter(before)

        return timed


def ours(path: str, folder: str) -> None:
    """The command itself, with its own reports of progress taken as marks on the clock."""
    hops = Hops()
    from render.cli import orders

    gc.disable()  # as the command does
    hops.enter("load")
    import layouts.marker
    import render.output
    import render.report
    from render.job import build  # all modules that every job needs

    del build

    @contextmanager
    def progress(quiet: bool) -> Iterator[Callable[[str], str]]:
        yield hops.enter

    render.report.progress = progress  # type: ignore[assignment]
    render.output.write_folder = hops.within("folder", render.output.write_folder)
    layouts.marker.compose = hops.within("faces", layouts.marker.compose)
    layouts.marker.fitted = hops.within("faces", layouts.marker.fitted)
    hops.enter("reading")
    orders.order(Path(path), Path(folder), quiet=True)
    hops.enter("end")
    print(json.dumps({"hops": hops.seconds, "cpu": hops.cpu}))


def folder_figures(folder: Path) -> tuple[int, int, int]:
    """Files, bytes and sheets of a job folder."""
    files = [path for path in folder.rglob("*") if path.is_file()]
    nest = json.loads((folder / "nest.json").read_text())
    sheets = sum(group["copies"] for group in nest["groups"])
    return len(files), sum(path.stat().st_size for path in files), sheets


def report(count: int, work: Path, caches: Path, peer: bool) -> bool:
    """Measure one list and print it. Whether it is within the targets."""
    path, folder = write_list(work / f"{count}.csv", count), work / f"job-{count}"
    mine = run(["-m", "tests.bench.pipeline_bench", "--list", str(path), str(folder)], caches)
    files, size, sheets = folder_figures(folder)
    print(f"\n{count:,} markers, one a row, CSV of {path.stat().st_size / 1e6:.1f} MB")
    print(
        f"  pipelegend order   {mine.seconds:8.2f} s {mine.cpu:8.2f} s CPU "
        f"{mine.megabytes:6.0f} MB peak  {files} files, {size / 1e6:.1f} MB, {sheets} sheets"
    )
    for hop, seconds in mine.told["hops"].items():
        print(f"      {hop:<14} {seconds:8.2f} s {mine.told['cpu'][hop]:8.2f} s CPU")
    good = count != 2_000 or (mine.cpu <= SECONDS_2000 and mine.megabytes < MEGABYTES_2000)
    if peer:
        theirs = run(
            ["-m", "tests.bench.peer", str(path), str(work / f"peer-{count}")], caches, PEER_LIMIT
        )
        good = _compare(count, mine, theirs) and good
    shutil.rmtree(folder)
    shutil.rmtree(work / f"peer-{count}", ignore_errors=True)
    return good


def _compare(count: int, mine: Run, theirs: Run) -> bool:
    if not theirs.ended:
        print(f"  peer               did not end within {PEER_LIMIT:.0f} s")
        print(f"      more than {theirs.cpu / mine.cpu:.1f} times our CPU time until then")
        return True
    print(
        f"  peer, PDF alone    {theirs.seconds:8.2f} s {theirs.cpu:8.2f} s CPU "
        f"{theirs.megabytes:6.0f} MB peak  {theirs.told['sheets']} sheets"
    )
    for hop, seconds in theirs.told["hops"].items():
        print(f"      {hop:<14} {seconds:8.2f} s")
    ratio = theirs.cpu / mine.cpu
    print(f"  {theirs.seconds / mine.seconds:.2f} times the peer's speed, by CPU time {ratio:.2f}")
    return count != 20_000 or ratio >= TIMES_20000


def report_commands(work: Path, caches: Path) -> bool:
    """The short commands: the best of five runs, as the machine may be shared."""
    call = "from render.cli import main; main()"
    help_runs = [run(["-c", call, "--help"], caches) for _ in range(6)][1:]
    drawn = str(work / "marker.pdf")
    marker = [run(["-c", call, *MARKER, "-o", drawn, "--quiet"], caches) for _ in range(6)][1:]
    print("short commands, each in a fresh process, best of five")
    for name, runs, limit in (
        ("--help", help_runs, SECONDS_HELP),
        ("marker to PDF", marker, SECONDS_MARKER),
    ):
        best, cpu = min(each.seconds for each in runs), min(each.cpu for each in runs)
        peak = max(each.megabytes for each in runs)
        print(f"  {name:<18} {best:8.2f} s {cpu:8.2f} s CPU {peak:6.0f} MB peak (within {limit} s)")
    return (
        min(each.cpu for each in help_runs) <= SECONDS_HELP
        and min(each.cpu for each in marker) <= SECONDS_MARKER
    )


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--counts", type=int, nargs="+", default=list(COUNTS))
    parser.add_argument("--no-peer", action="store_true")
    parser.add_argument("--list", nargs=2, metavar=("LIST", "FOLDER"), help="one job, as JSON")
    options = parser.parse_args()
    if options.list:
        ours(*options.list)
        return 0
    with tempfile.TemporaryDirectory(prefix="pipelegend-bench-") as name:
        work, caches = Path(name), Path(name) / "bytecode"
        good = report_commands(work, caches)
        warm = write_list(work / "warm.csv", 50)
        run(["-m", "tests.bench.pipeline_bench", "--list", str(warm), f"{name}/warm"], caches)
        for count in options.counts:
            good = report(count, work, caches, not options.no_peer) and good
    print("\nwithin the targets" if good else "\nOUTSIDE the targets")
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
