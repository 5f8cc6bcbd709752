"""The child process: limits itself, does one job in its folder, and reports how it ended.

``python -m render.web.child`` reads one line from its input: seconds, bytes of memory, folder.
Its input stays open while the server runs; when it closes, the child ends with every process that
it started.
"""

from __future__ import annotations

import importlib
import json
import os
import shutil
import signal
import sys
import tempfile
import threading
import time
import traceback
from pathlib import Path

from layouts.terms.errors import BlockedError, InputError, OutputError
from render.cli.findings import finding_table, in_order
from render.files.atomic import write_file
from render.processes import collect_nothing
from render.web.store import OUTCOME, PROGRESS, Stage
from render.web.tasks import TASKS, read_task

_OFTEN = 0.1  # seconds between two notes of progress
_INPUT = 0
# Loaded before any work arrives, so that nobody waits for them.
_EARLY = ("render.lists", "render.read.workbook", "python_calamine", "render.web.checking")


def main() -> None:
    """Wait for the work, do it, and end."""
    collect_nothing()
    for name in _EARLY:
        importlib.import_module(name)
    line = _first_line()
    if not line:
        return
    seconds, memory, path = os.fsdecode(line).rstrip("\n").split(" ", 2)
    threading.Thread(target=_end_with_parent, daemon=True).start()
    _limit(int(seconds), int(memory))
    os.umask(0o077)
    folder = Path(path)
    private = folder / "tmp"
    private.mkdir()
    tempfile.tempdir = os.environ["TMPDIR"] = str(private)
    outcome = _outcome(folder)
    shutil.rmtree(private, ignore_errors=True)
    write_file(folder / OUTCOME, json.dumps(outcome).encode())


def _outcome(folder: Path) -> dict[str, object]:
    """The outcome of the work, in a form that the server records."""
    task = read_task(folder)
    try:
        TASKS[task.name](folder, task, _Told(folder))
    except (InputError, BlockedError) as error:
        findings = [finding_table(each) for each in in_order(error.findings)]
        return {"stage": Stage.FAILED, "findings": findings}
    except OutputError as error:
        return {"stage": Stage.FAILED, "message": str(error)}
    except MemoryError:
        os._exit(1)  # as if the system had ended it
    except Exception as error:  # its text may contain data of a list, so it is not kept
        last = traceback.extract_tb(error.__traceback__)[-1]
        where = f"{type(error).__name__} in {last.name}, line {last.lineno}"
        return {"stage": Stage.FAILED, "message": f"crash {where}"}
    return {"stage": Stage.DONE}


class _Told:
    """Progress as a small file, written periodically."""

    def __init__(self, folder: Path) -> None:
        self._path, self._hop, self._last = folder / PROGRESS, "", 0.0

    def __call__(self, hop: str, done: int = 0, total: int = 0) -> None:
        """Record the hop and its pieces, unless that was just done."""
        now = time.monotonic()
        if hop == self._hop and now - self._last < _OFTEN:
            return
        self._hop, self._last = hop, now
        write_file(self._path, json.dumps({"hop": hop, "done": done, "total": total}).encode())


def _first_line() -> bytes:
    """The first line of the input and no more; empty if the input was closed."""
    line = b""
    while not line.endswith(b"\n"):
        byte = os.read(_INPUT, 1)
        if not byte:
            return b""
        line += byte
    return line


def _end_with_parent() -> None:
    """End this process and every process that it started once the server is gone."""
    while os.read(_INPUT, 1):
        pass
    if sys.platform == "win32":
        os._exit(1)
    os.killpg(0, signal.SIGKILL)


def _limit(seconds: int, memory: int) -> None:
    """Let the system end this process if it exceeds its limits; not every system can."""
    if sys.platform == "win32":
        return
    import resource

    for kind, most in ((resource.RLIMIT_CPU, seconds), (resource.RLIMIT_AS, memory)):
        hard = resource.getrlimit(kind)[1]
        allowed = most if hard == resource.RLIM_INFINITY else min(most, hard)
        resource.setrlimit(kind, (allowed, hard))


if __name__ == "__main__":
    main()
