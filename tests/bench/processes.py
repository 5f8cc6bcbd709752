"""Runs a command in a process of its own and says what it took, all its children included.

CPU seconds are user and system time. Memory is told twice: the largest resident set of any process,
as the system counts it, and what all of them held together at the worst moment, shared pages
counted once (PSS, looked at a few times a second; Linux). A run that passes its budget of seconds
or memory is ended and says so.
"""

from __future__ import annotations

import json
import os
import resource
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

TOP = Path(__file__).resolve().parents[2]
_TICKS = os.sysconf("SC_CLK_TCK")
_PATIENCE = 6  # seconds of clock for each CPU second of a budget
_MEMORY_SHARE = 0.6  # of the machine's memory, above which a run is ended


@dataclass(frozen=True, slots=True)
class Run:
    """What a command took; ``stopped`` says why it was ended, and is empty where it was not."""

    seconds: float
    cpu: float
    largest: float  # MB of the largest process
    together: float  # MB of all processes at the worst moment
    code: int
    output: str
    stopped: str = ""

    @property
    def told(self) -> Mapping[str, Any]:
        """What the command printed as its last line, where that is JSON."""
        lines = self.output.splitlines()
        told: Mapping[str, Any] = {}
        if lines and lines[-1].startswith("{"):
            told = json.loads(lines[-1])
        return told


@dataclass(frozen=True, slots=True)
class Budget:
    """What a command may take at most: CPU seconds, and the share of memory above.

    The clock may run longer, since other work can share the machine.
    """

    cpu: float

    @property
    def seconds(self) -> float:
        """Seconds of clock after which a command that waits for something is ended."""
        return _PATIENCE * self.cpu

    @property
    def megabytes(self) -> float:
        """The most that its processes may hold together."""
        pages, size = os.sysconf("SC_PHYS_PAGES"), os.sysconf("SC_PAGE_SIZE")
        return _MEMORY_SHARE * pages * size / 1e6


def run(
    arguments: Sequence[str],
    caches: Path,
    budget: Budget,
    more: Mapping[str, str] | None = None,
    cores: int | None = None,
) -> Run:
    """Run Python with the arguments as an installed program runs: compiled once, kept.

    ``more`` are further environment variables; ``cores`` limits the processor cores it sees.
    """
    environment = {**os.environ, "PYTHONPYCACHEPREFIX": str(caches), "PYTHONPATH": str(TOP)}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    with tempfile.TemporaryFile() as output:
        start = time.perf_counter()
        child = subprocess.Popen(
            [*_on(cores), sys.executable, *arguments],
            cwd=TOP,
            env={**environment, **(more or {})},
            stdout=output,
            stderr=subprocess.STDOUT,
            start_new_session=True,
        )
        try:
            watched = _watched(child.pid, start, budget)
        except BaseException:
            os.killpg(child.pid, signal.SIGKILL)
            raise
        output.seek(0)
        text = output.read().decode(errors="replace")
    child.returncode = watched.code
    return Run(**{**watched.figures(), "output": text})


def _on(cores: int | None) -> list[str]:
    """A prefix that leaves a command the first so many of the cores that this process may use."""
    if cores is None:
        return []
    free = sorted(os.sched_getaffinity(0))[:cores]
    return ["taskset", "--cpu-list", ",".join(map(str, free))]


@dataclass(slots=True)
class _Watched:
    """What is known of a running command."""

    seconds: float = 0.0
    cpu: float = 0.0
    largest: float = 0.0
    together: float = 0.0
    code: int = 0
    stopped: str = ""

    def figures(self) -> dict[str, Any]:
        return {name: getattr(self, name) for name in self.__dataclass_fields__}


def _watched(leader: int, start: float, budget: Budget) -> _Watched:
    """Watch a process group until its leader ends, and end it where it passes its budget."""
    seen = _Watched()
    while True:
        done, status, usage = os.wait4(leader, os.WNOHANG)
        seen.seconds = time.perf_counter() - start
        if done:
            break
        cpu, high, held = _held(leader)
        seen.cpu, seen.largest = max(seen.cpu, cpu), max(seen.largest, high)
        seen.together = max(seen.together, held)
        if cpu > budget.cpu:
            seen.stopped = f"did not end within {budget.cpu:,g} s CPU"
        elif seen.seconds > budget.seconds:
            seen.stopped = f"did not end within {budget.seconds:,g} s"
        elif held > budget.megabytes:
            seen.stopped = f"ended at {held:,.0f} MB"
        if seen.stopped:
            os.killpg(leader, signal.SIGKILL)
            _, status, usage = os.wait4(leader, 0)
            break
        time.sleep(min(1.0, 0.01 + seen.seconds / 50))  # often at first, seldom in a long run
    seen.code = os.waitstatus_to_exitcode(status)
    seen.cpu = max(seen.cpu * bool(seen.stopped), usage.ru_utime + usage.ru_stime)
    # What the system counts starts with what this process held when it started the command.
    if usage.ru_maxrss > resource.getrusage(resource.RUSAGE_SELF).ru_maxrss:
        seen.largest = usage.ru_maxrss / 1024
    seen.together = max(seen.together, seen.largest)
    return seen


def _held(group: int) -> tuple[float, float, float]:
    """CPU seconds of a process group, the most MB that one of it had, what all hold: proc(5)."""
    cpu, high, kilobytes = 0, 0, 0
    for path in Path("/proc").glob("[0-9]*"):
        with suppress(OSError, ValueError):
            fields = (path / "stat").read_text().rpartition(")")[2].split()
            if int(fields[2]) != group:
                continue
            cpu += sum(map(int, fields[11:15]))  # its own and its ended children's
            kilobytes += _kilobytes(path / "smaps_rollup", "Pss:")
            high = max(high, _kilobytes(path / "status", "VmHWM:"))
    return cpu / _TICKS, high / 1024, kilobytes / 1024


def _kilobytes(path: Path, key: str) -> int:
    """A value of a file of proc(5); 0 where it is not there."""
    lines = path.read_text().splitlines()
    return sum(int(line.split()[1]) for line in lines if line.startswith(key))
