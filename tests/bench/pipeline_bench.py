"""`pipelegend order` on long lists, hop by hop, with a plain peer on the same list in the same run.

    python -m tests.bench.pipeline_bench [--counts 200 2000 ...] [--xlsx 200000] [--no-peer]
                                         [--own 2000 20000 ...]

Every job runs in a process of its own. Seconds are those of the clock; CPU seconds are the user
and system time of the process and of those that it starts, by which the targets are judged, as
other work on the machine changes them least. Memory is the largest resident set of any of them.
The hops are those that the command itself reports while it runs, and composing (faces and fits)
is taken out of planning. The tables at the end are Markdown; the peer's hops are CPU seconds, and
one that does not end is given up after two minutes. In the lists of ``--own`` every valve and
vessel has a name of its own, so that the distinct markers grow with the list: what each costs is
told by itself.
"""

from __future__ import annotations

import argparse
import gc
import json
import os
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from tests.bench.lists import write_list

TOP = Path(__file__).resolve().parents[2]
PEER_LIMIT = 120.0  # seconds of clock
COUNTS = (200, 2_000, 20_000, 200_000, 1_000_000)
WORKBOOKS = (200_000,)
OWN = (2_000, 20_000, 200_000)
MARKER = (
    *("marker", "HTRS", "--state", "both", "--psig", "30", "--pipe", "NPS 4"),
    *("--covering", "1.5in", "--flow", "left"),
)
# What 2,000 and 1,000,000 markers may take (a minute on two cores), and how much faster than the
# peer 20,000 must be.
SECONDS_2000, MEGABYTES_2000, TIMES_20000 = 3.0, 300.0, 15.0
SECONDS_MILLION, MEGABYTES_MILLION = 120.0, 1000.0
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
    lines = text.splitlines()
    told = json.loads(lines[-1]) if lines and lines[-1].startswith("{") else {}
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
    """Clock and CPU seconds by hop: what passes belongs to the hop entered last.

    ``peak`` is the largest resident set until the hop was left last, in MB.
    """

    def __init__(self) -> None:
        self.seconds: dict[str, float] = defaultdict(float)
        self.cpu: dict[str, float] = defaultdict(float)
        self.peak: dict[str, float] = {}
        self._hop = "start"
        self._at = time.perf_counter(), _cpu()

    def enter(self, hop: str) -> str:
        """Close the hop in hand, and return its name."""
        left, now = self._hop, (time.perf_counter(), _cpu())
        self.seconds[left] += now[0] - self._at[0]
        self.cpu[left] += now[1] - self._at[1]
        who = (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
        self.peak[left] = max(resource.getrusage(each).ru_maxrss for each in who) / 1024
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


def _cpu() -> float:
    """CPU seconds of this process and of those that it started and that have ended."""
    usages = map(resource.getrusage, (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return sum(usage.ru_utime + usage.ru_stime for usage in usages)


def ours(path: str, folder: str) -> None:
    """The command itself, with its own reports of progress taken as marks on the clock."""
    hops = Hops()
    from render.cli import orders

    gc.disable()  # as the command does
    hops.enter("load")
    import layouts.markers.gather
    import render.cli.terminal
    import render.files.atomic
    from render.job import build  # all modules that every job needs

    del build

    @contextmanager
    def progress(quiet: bool) -> Iterator[Callable[..., str]]:
        yield lambda hop, *counted: hops.enter(hop)

    render.cli.terminal.progress = progress  # type: ignore[assignment]
    render.files.atomic.write_folder = hops.within("folder", render.files.atomic.write_folder)
    for name in ("compose", "fitted"):
        used = getattr(layouts.markers.gather, name)
        setattr(layouts.markers.gather, name, hops.within("faces", used))
    hops.enter("reading")
    orders.order(Path(path), Path(folder), quiet=True)
    hops.enter("end")
    print(json.dumps({"hops": hops.seconds, "cpu": hops.cpu, "peak": hops.peak}))


def folder_figures(folder: Path) -> tuple[int, int, int]:
    """Files, bytes and sheets of a job folder."""
    files = [path for path in folder.rglob("*") if path.is_file()]
    nest = json.loads((folder / "nest.json").read_text())
    sheets = sum(group["copies"] for group in nest["groups"])
    return len(files), sum(path.stat().st_size for path in files), sheets


@dataclass(frozen=True, slots=True)
class Measured:
    """One list, done by us and, where asked for, by the peer."""

    count: int
    suffix: str
    mine: Run
    files: int
    size: int
    sheets: int
    theirs: Run | None = None
    own: bool = False
    distinct: int = 0

    @property
    def name(self) -> str:
        return f"{self.count:,} {self.suffix[1:].upper()}{', own names' if self.own else ''}"

    def times(self, mine: tuple[str, ...], theirs: tuple[str, ...]) -> float | None:
        """How many times our CPU seconds the peer takes over these hops; None: not known."""
        if self.theirs is None or not set(theirs) <= self.theirs.told.get("hops", {}).keys():
            return None
        own = sum(float(self.mine.told["cpu"][hop]) for hop in mine)
        return sum(float(self.theirs.told["hops"][hop]) for hop in theirs) / own

    @property
    def whole(self) -> str:
        """The ratio of the whole commands in words."""
        if self.theirs is None:
            return "–"
        ratio = f"{self.theirs.cpu / self.mine.cpu:.1f}"
        return ratio if self.theirs.ended else f"more than {ratio}"

    @property
    def good(self) -> bool:
        """Whether the list is within its targets."""
        if self.own:
            return True
        cpu, peak = self.mine.cpu, self.mine.megabytes
        if self.count == 2_000:
            return cpu <= SECONDS_2000 and peak < MEGABYTES_2000
        if self.count == 20_000 and self.theirs is not None:
            return self.theirs.cpu >= TIMES_20000 * cpu
        return self.count != 1_000_000 or (cpu <= SECONDS_MILLION and peak < MEGABYTES_MILLION)


def measured(
    count: int, suffix: str, work: Path, caches: Path, peer: bool, own: bool = False
) -> Measured:
    """Do one list, and say how it went."""
    path, folder = write_list(work / f"{count}{suffix}", count, own), work / f"job-{count}"
    mine = run(["-m", "tests.bench.pipeline_bench", "--list", str(path), str(folder)], caches)
    files, size, sheets = folder_figures(folder)
    distinct = len(json.loads((folder / "proof.json").read_text())["content"]["markers"])
    shutil.rmtree(folder)
    theirs = None
    if peer and suffix == ".csv":
        other = work / f"peer-{count}"
        theirs = run(["-m", "tests.bench.peer", str(path), str(other)], caches, PEER_LIMIT)
        shutil.rmtree(other, ignore_errors=True)
    path.unlink()
    found = Measured(count, suffix, mine, files, size, sheets, theirs, own, distinct)
    print(f"  {found.name}: {mine.seconds:.1f} s, {mine.cpu:.1f} s CPU, {found.whole}", flush=True)
    return found


def tables(all_measured: Sequence[Measured]) -> Iterator[str]:
    """What was measured, as Markdown."""
    heads = (
        *("markers", "s", "CPU s", "peak MB", "files", "MB", "sheets"),
        *("times the peer", "nest", "write"),
    )
    yield f"| {' | '.join(heads)} |"
    yield "|---" * len(heads) + "|"
    for each in all_measured:
        mine = each.mine
        ratios = (
            each.times(("nesting",), ("nest",)),
            each.times(("drawing", "writing"), ("write",)),
        )
        cells = (
            *(each.name, f"{mine.seconds:.1f}", f"{mine.cpu:.1f}", f"{mine.megabytes:.0f}"),
            *(str(each.files), f"{each.size / 1e6:.1f}", f"{each.sheets:,}", each.whole),
            *("–" if ratio is None else f"{ratio:.2f}" for ratio in ratios),
        )
        yield f"| {' | '.join(cells)} |"
    yield ""
    yield f"| CPU s (MB so far) | {' | '.join(each.name for each in all_measured)} |"
    yield "|---" * (len(all_measured) + 1) + "|"
    for hop in all_measured[0].mine.told["cpu"]:
        told = (each.mine.told for each in all_measured)
        took = (f"{one['cpu'][hop]:.2f} ({one['peak'][hop]:.0f})" for one in told)
        yield f"| {hop} | {' | '.join(took)} |"


def growth(found: Sequence[Measured]) -> Iterator[str]:
    """What a further distinct marker costs from one list to the next, as Markdown."""
    yield "| distinct markers | CPU s | peak MB | ms a further one | kB a further one |"
    yield "|---|---|---|---|---|"
    before: Measured | None = None
    for each in found:
        more = ["–", "–"]
        if before is not None and each.distinct > before.distinct:
            count = each.distinct - before.distinct
            more = [
                f"{(each.mine.cpu - before.mine.cpu) * 1000 / count:.1f}",
                f"{(each.mine.megabytes - before.mine.megabytes) * 1000 / count:.0f}",
            ]
        cells = (f"{each.distinct:,} of {each.count:,}", f"{each.mine.cpu:.1f}")
        yield f"| {' | '.join((*cells, f'{each.mine.megabytes:.0f}', *more))} |"
        before = each


def report_commands(work: Path, caches: Path) -> bool:
    """The short commands: the best of five runs, as the machine may be shared."""
    call = "from render.cli import main; main()"
    help_runs = [run(["-c", call, "--help"], caches) for _ in range(6)][1:]
    drawn = str(work / "marker.pdf")
    marker = [
        run(["-c", call, *MARKER, "-o", drawn, "--force", "--quiet"], caches) for _ in range(6)
    ][1:]
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
    parser.add_argument("--xlsx", type=int, nargs="*", default=list(WORKBOOKS))
    parser.add_argument("--own", type=int, nargs="*", default=list(OWN), help="names of their own")
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
        lists = [(count, ".csv") for count in options.counts]
        lists += [(count, ".xlsx") for count in options.xlsx]
        found = [measured(*each, work, caches, not options.no_peer) for each in lists]
        grown = [measured(each, ".csv", work, caches, False, own=True) for each in options.own]
    print("", *tables((*found, *grown)), "", *growth(grown), sep="\n")
    good = good and all(each.good for each in found)
    print("\nwithin the targets" if good else "\nOUTSIDE the targets")
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
