"""Work in a separate process, here or on a worker: what ends that process ends no other."""

from __future__ import annotations

import os
import pickle
import signal
import subprocess
import sys
import threading
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from pipelegend import __version__
from render.processes import child_environment

if TYPE_CHECKING:
    from render.batch.one_order import Outcome, Work

_PATIENCE = 10.0  # seconds that a stopped process has to remove what it has begun


class ChildEndedError(Exception):
    """A process ended before its work was done; says how."""


@dataclass(slots=True)
class Children:
    """The processes that are at work, so that they can be stopped together."""

    _running: set[subprocess.Popen[bytes]] = field(default_factory=set)
    _lock: threading.Lock = field(default_factory=threading.Lock)
    _stopped: bool = False

    def run(self, work: bytes, processes: int, epoch: str | None) -> bytes:
        """Work, pickled, in a child process; its outcomes, pickled.

        Raises:
            ChildEndedError: the process ended without an outcome.
        """
        environment = child_environment()
        environment.pop(_EPOCH, None)
        if epoch is not None:
            environment[_EPOCH] = epoch
        with self._lock:
            if self._stopped:
                raise ChildEndedError("it was stopped")
            child = subprocess.Popen(
                [
                    sys.executable,
                    "-m",
                    "render.batch.order_child",
                    str(processes),
                    str(os.getpid()),
                ],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.PIPE,
                env=environment,
            )
            self._running.add(child)
        try:
            out, told = child.communicate(work)
        finally:
            with self._lock:
                self._running.discard(child)
        if child.returncode:
            raise ChildEndedError(_why(child.returncode, told))
        return out

    def stop(self) -> None:
        """End every process, first by asking."""
        with self._lock:
            self._stopped = True
            running = tuple(self._running)
        for child in running:
            child.terminate()
        for child in running:
            try:
                child.wait(_PATIENCE)
            except subprocess.TimeoutExpired:
                child.kill()


_EPOCH = "SOURCE_DATE_EPOCH"


def _why(code: int, told: bytes) -> str:
    if code < 0:
        name = signal.Signals(-code).name
        return f"its process was ended by {name}; the memory may be too small for it"
    lines = told.decode(errors="replace").strip().splitlines()
    return lines[-1] if lines else f"its process ended with code {code}"


def packed(work: Work) -> bytes:
    """Work for a child process, with the version that it is for."""
    return pickle.dumps((__version__, pickle.dumps(work)))


def unpacked(outcomes: bytes) -> tuple[Outcome, ...]:
    """The outcomes from a child process that this program started."""
    found: tuple[Outcome, ...] = pickle.loads(outcomes)  # noqa: S301  its own child wrote it
    return found
