"""Runs independent pieces of work in as many processes as the machine has cores for.

The result is byte for byte that of one process: each piece is worked separately, and results come
back in the order of the pieces.
"""

from __future__ import annotations

import atexit
import gc
import os
import signal
import sys
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import TypeVar

T = TypeVar("T")

_LIBRARY = str(Path(__file__).resolve().parents[1])
_most = 4
_PR_SET_PDEATHSIG = 1  # Linux, prctl(2)
# The work for the processes: a forked one finds it here, because functions cannot be sent.
_pieces: Sequence[Callable[[], object]] = ()


def process_count() -> int:
    """How many processes to use: the cores, where a process can be forked safely."""
    if sys.platform != "linux":
        return 1
    return min(_most, core_count())


def core_count() -> int:
    """The cores that this process may use."""
    if sys.platform == "linux":
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def use_at_most(count: int) -> None:
    """Share the machine: this process works with no more than ``count`` processes."""
    global _most
    _most = max(1, count)


def _watch_nothing(done: int, total: int) -> None:
    pass


def run_all(
    pieces: Sequence[Callable[[], T]],
    count: int,
    watch: Callable[[int, int], None] = _watch_nothing,
) -> list[T]:
    """The result of each piece, in order. With more than one process they share the pieces.

    Pieces start in order, so long ones should come first. A piece's result must be picklable. The
    error of the first piece that fails is raised here. If a process is killed, for lack of memory
    for example, this one does all the work. ``watch`` receives how many of how many are done.
    """
    global _pieces
    if count < 2 or len(pieces) < 2:
        return _watch((piece() for piece in pieces), len(pieces), watch)
    from concurrent.futures import ProcessPoolExecutor
    from concurrent.futures.process import BrokenProcessPool
    from multiprocessing import active_children, get_context

    _pieces = pieces
    others = set(active_children())
    try:
        with ProcessPoolExecutor(
            min(count, len(pieces)), get_context("fork"), end_with_parent, (os.getpid(),)
        ) as pool:
            try:
                waiting = [pool.submit(_done, index) for index in range(len(pieces))]
                found = (each.result() for each in waiting)
                return _watch(found, len(pieces), watch)  # type: ignore[arg-type]
            except (KeyboardInterrupt, SystemExit):
                for child in set(active_children()) - others:
                    child.kill()  # nobody waits for their results
                raise
    except BrokenProcessPool:
        return _watch((piece() for piece in pieces), len(pieces), watch)
    finally:
        _pieces = ()


def _watch(found: Iterable[T], total: int, watch: Callable[[int, int], None]) -> list[T]:
    """The results in order as they arrive, each counted."""
    answers: list[T] = []
    for answer in found:
        answers.append(answer)
        watch(len(answers), total)
    return answers


def child_environment() -> dict[str, str]:
    """The environment in which a process started fresh finds our modules."""
    paths = filter(None, (_LIBRARY, os.environ.get("PYTHONPATH")))
    return {**os.environ, "PYTHONPATH": os.pathsep.join(paths)}


def collect_nothing() -> None:
    """Search for no cycles: a job's values contain none, and it takes a fifth of its time.

    The interpreter searches once more as it ends, whether it is told to or not: 0.07 s after one
    marker and 0.6 s after 20,000. With all values frozen it has nothing to look at.
    """
    gc.disable()
    atexit.register(gc.freeze)


def end_with_parent(parent: int) -> None:
    """Start a new process by tying its life to its parent's, however the parent ends."""
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # a terminal signals both; the parent handles it
    die_with_parent(parent)


def die_with_parent(parent: int) -> None:
    """Let the kernel end this process when its parent ends; only Linux can."""
    if sys.platform != "linux":
        return
    import ctypes

    try:
        ctypes.CDLL(None).prctl(_PR_SET_PDEATHSIG, signal.SIGKILL)
    except (OSError, AttributeError):
        return
    if os.getppid() != parent:  # it ended before the kernel knew
        os._exit(1)


def _done(index: int) -> object:
    return _pieces[index]()
