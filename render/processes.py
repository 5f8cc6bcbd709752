"""Work in pieces that do not need each other, by as many processes as the machine has cores for.

The outcome is that of one process, byte for byte: every piece is done as it would be alone, and
what comes back stands in the order of the pieces.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Sequence
from typing import TypeVar

T = TypeVar("T")

_MOST = 4
# What the processes are to do: a forked one finds it here, since functions cannot be sent.
_pieces: Sequence[Callable[[], object]] = ()


def process_count() -> int:
    """How many processes pay here: the cores, where a process can be split in two safely."""
    if sys.platform != "linux":
        return 1
    return min(_MOST, len(os.sched_getaffinity(0)))


def run_all(pieces: Sequence[Callable[[], T]], count: int) -> list[T]:
    """What each piece gives, in their order. With more than one process they share the pieces.

    They are begun in their order, so that long ones should stand first. What a piece gives must
    be picklable. The error of the first piece that fails is raised here. Where a process is
    killed, as for want of memory, this one does all the work alone.
    """
    global _pieces
    if count < 2 or len(pieces) < 2:
        return [piece() for piece in pieces]
    from concurrent.futures import ProcessPoolExecutor
    from concurrent.futures.process import BrokenProcessPool
    from multiprocessing import get_context

    _pieces = pieces
    try:
        with ProcessPoolExecutor(min(count, len(pieces)), get_context("fork")) as pool:
            waiting = [pool.submit(_done, index) for index in range(len(pieces))]
            return [each.result() for each in waiting]  # type: ignore[misc]
    except BrokenProcessPool:
        return [piece() for piece in pieces]
    finally:
        _pieces = ()


def _done(index: int) -> object:
    return _pieces[index]()
