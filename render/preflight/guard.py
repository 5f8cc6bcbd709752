"""Inspection in a separate process, which the system stops at a limit of memory or time.

The budgets of `limits` stop nearly every file; this is for what they did not foresee. Windows has
no such limits: there only the budgets hold.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

from render.preflight.fresh_process import fresh_command, fresh_environment
from render.preflight.inspection import inspect
from render.preflight.limits import MEGABYTE
from render.preflight.report import Report, as_dict, report_from, too_large, unreadable
from render.preflight.rules import Rules

MEMORY_BYTES = 500 * MEGABYTE
CPU_SECONDS = 10  # for one file


def inspect_guarded(paths: Sequence[Path], rules: Rules) -> Iterator[Report]:
    """The reports on files, one after the other, whatever is in them."""
    waiting = list(paths)
    while waiting:
        done = 0
        for report in _from_child(waiting, rules):
            yield report
            done += 1
        waiting = waiting[done:]
        if waiting:  # the child ended on this one
            what = f"it takes more than {MEMORY_BYTES // MEGABYTE} MB or {CPU_SECONDS} CPU seconds"
            yield Report((too_large("limit-process", what),), rules=rules.name)
            waiting = waiting[1:]


def _from_child(paths: Sequence[Path], rules: Rules) -> Iterator[Report]:
    """The reports of one process, as many as it gets to."""
    with subprocess.Popen(
        [*fresh_command("render.preflight.guard", rules), *map(str, paths)],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,  # the PDF library speaks of its limits there
        env=fresh_environment(),
    ) as child:
        for line in child.stdout or ():
            if line.endswith(b"\n"):
                yield report_from(json.loads(line))


def _limit_memory() -> None:
    if sys.platform != "win32":
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))


def _limit_time() -> None:
    """Allow the next file its seconds, over those that have gone by."""
    if sys.platform != "win32":
        import resource

        used = resource.getrusage(resource.RUSAGE_SELF)
        most = int(used.ru_utime + used.ru_stime) + CPU_SECONDS
        _, hard = resource.getrlimit(resource.RLIMIT_CPU)
        if hard == resource.RLIM_INFINITY or most <= hard:
            resource.setrlimit(resource.RLIMIT_CPU, (most, hard))


def _report(path: Path, rules: Rules) -> Report:
    try:
        return inspect(path, rules=rules)
    except OSError as error:
        what = f"the file cannot be read ({error.strerror or error})"
        return Report((unreadable("file-missing", what, "check the path"),), rules=rules.name)


def main(arguments: Sequence[str]) -> None:
    """Print a line of JSON for each file, as soon as it is judged."""
    rules = Rules(**json.loads(arguments[0]))
    _limit_memory()
    for name in arguments[1:]:
        _limit_time()
        print(json.dumps(as_dict(_report(Path(name), rules))), flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
