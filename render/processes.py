"""Work in pieces that do not need each other, by as many processes as the machine has cores for.

The outcome is that of one process, byte for byte: every piece is done as it would be alone, and
what comes back stands in the order of the pieces.
"""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Callable, Iterable, Sequence
from typing import TypeVar

T = TypeVar("T")

_MOST = 4
_PR_SET_PDEATHSIG = 1  # Linux, prctl(2)
# What the processes are to do: a forked one finds it here, since functions cannot be sent.
_pieces: Sequence[Callable[[], object]] = ()


def process_count() -> int:
    """How many processes pay here: the cores, where a process can be split in two safely."""
    if sys.platform != "linux":
        return 1
    return min(_MOST, len(os.sched_getaffinity(0)))


def _watch_nothing(done: int, total: int) -> None:
    pass


def run_all(
    pieces: Sequence[Callable[[], T]],
    count: int,
    watch: Callable[[int, int], None] = _watch_nothing,
) -> list[T]:
    """What each piece gives, in their order. With more than one process they share the pieces.

    They are begun in their order, so that long ones should stand first. What a piece gives must
    be picklable. The error of the first piece that fails is raised here. Where a process is
    killed, as for want of memory, this one does all the work alone. ``watch`` is told how many
    of how many are done.
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
            min(count, len(pieces)), get_context("fork"), _begin, (os.getpid(),)
        ) as pool:
            try:
                waiting = [pool.submit(_done, index) for index in range(len(pieces))]
                found = (each.result() for each in waiting)
                return _watch(found, len(pieces), watch)  # type: ignore[arg-type]
            except (KeyboardInterrupt, SystemExit):
                for child in set(active_children()) - others:
                    child.kill()  # nobody waits for what they would still find
                raise
    except BrokenProcessPool:
        return _watch((piece() for piece in pieces), len(pieces), watch)
    finally:
        _pieces = ()


def _watch(found: Iterable[T], total: int, watch: Callable[[int, int], None]) -> list[T]:
    """The answers as they come in their order, each counted."""
    answers: list[T] = []
    for answer in found:
        answers.append(answer)
        watch(len(answers), total)
    return answers


def _begin(parent: int) -> None:
    """What a new process does first: it ends with its parent, however that one ends."""
    import ctypes

    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # a terminal tells both; the parent sees to it
    try:
        ctypes.CDLL(None).prctl(_PR_SET_PDEATHSIG, signal.SIGKILL)
    except (OSError, AttributeError):
        return
    if os.getppid() != parent:  # it ended before the kernel was told
        os._exit(1)


def _done(index: int) -> object:
    return _pieces[index]()
