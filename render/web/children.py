"""Runs each piece of work in a new child process; a few wait, and the rest are refused.

There are two lanes, so that a check does not wait for a job: each runs one child at a time. A
child has its own session and is ended with every process that it started. It also ends itself when
this process ends, and unfinished work runs again at the next start.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import signal
import subprocess
import sys
import threading
import time
from collections import deque
from collections.abc import Mapping

from starlette.exceptions import HTTPException
from starlette.requests import Request

from layouts.terms.errors import OutputError
from layouts.terms.values import frozen
from render.processes import child_environment
from render.web.settings import WebSettings
from render.web.store import OUTCOME, Stage, Store, Work, moved

_QUICK = frozenset({"check", "preflight", "survey", "found"})
_POLL = 0.02  # seconds


@frozen
class Limits:
    """A lane's limits: pieces of work that wait, and seconds and bytes of memory for each."""

    waiting: int
    seconds: float
    memory: int


QUICK = Limits(4, 180.0, 4 << 30)
LONG = Limits(4, 1800.0, 6 << 30)
_OUT_OF_TIME = -getattr(signal, "SIGXCPU", 0) or None  # as an exit code, where systems have it
_DAYS = 30.0  # that work is kept
_RETRY = "5"  # seconds after which a refused caller may ask again


class Lane:
    """Runs one child after another."""

    def __init__(self, store: Store, limits: Limits, warm: bool) -> None:
        self._store, self._limits, self._warm = store, limits, warm
        self._queue: deque[str] = deque()
        self._now = ""
        self._ended: set[str] = set()
        self._changed = threading.Condition()
        self._open = False
        self._thread = threading.Thread(target=self._work, daemon=True)
        self._spare: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        """Start to accept work."""
        self._open = True
        self._thread.start()

    def stop(self) -> None:
        """End the running child; unfinished work stays, to run again."""
        with self._changed:
            self._open = False
            self._changed.notify_all()
        self._thread.join()

    def add(self, name: str, must: bool = False) -> None:
        """Queue a piece of work; ``must`` exempts it from the limit.

        Raises:
            HTTPException: 503, the queue is full.
        """
        with self._changed:
            if not must and len(self._queue) >= self._limits.waiting:
                raise HTTPException(503, "busy", headers={"Retry-After": _RETRY})
            self._queue.append(name)
            self._changed.notify_all()

    def cancel(self, name: str) -> None:
        """End a piece of work, whether it waits or runs."""
        with self._changed:
            if name in self._queue:
                self._queue.remove(name)
                if work := self._store.find(name):
                    self._store.save(moved(work, Stage.CANCELED))
            elif name == self._now:
                self._ended.add(name)
            self._changed.notify_all()

    def place(self, name: str) -> int:
        """How many come before it; 0 if it is running or not in this lane."""
        with self._changed:
            return self._queue.index(name) + 1 if name in self._queue else 0

    def _work(self) -> None:
        while True:
            if self._warm and self._spare is None and self._open:
                self._spare = _child()
            with self._changed:
                while self._open and not self._queue:
                    self._changed.wait()
                if not self._open:
                    break
                self._now = self._queue.popleft()
            work = self._store.find(self._now)
            if work is not None:
                self._run(work)
            with self._changed:
                self._ended.discard(self._now)
                self._now = ""
        if self._spare is not None:
            _end(self._spare)

    def _run(self, work: Work) -> None:
        child, self._spare = self._spare or _child(), None
        self._store.clear(work)
        self._store.save(moved(work, Stage.RUNNING))
        began = time.monotonic()
        try:
            assert child.stdin is not None
            line = f"{self._limits.seconds:.0f} {self._limits.memory} {work.folder}\n"
            child.stdin.write(os.fsencode(line))
            child.stdin.flush()
        except OSError:
            pass  # it has already ended, with its outcome recorded
        why = ""
        while child.poll() is None:
            late = time.monotonic() - began > self._limits.seconds
            if not self._open or late or work.id in self._ended:
                why = "late" if late else "ended"
                break
            time.sleep(_POLL)
        _end(child)
        if child.returncode == _OUT_OF_TIME:  # its limit of processor time came before the clock's
            why = "late"
        if self._open or work.id in self._ended:
            self._settle(work, child.returncode, why)

    def _settle(self, work: Work, code: int | None, why: str) -> None:
        """Record how a child ended."""
        outcome = work.read(OUTCOME) if code == 0 else {}
        if work.id in self._ended:
            self._store.clear(work)
            self._store.save(moved(work, Stage.CANCELED))
        elif not outcome:
            self._store.clear(work)
            memory = self._limits.memory >> 20
            message = f"late {self._limits.seconds:.0f}" if why == "late" else f"died {memory}"
            self._store.save(moved(work, Stage.FAILED, message=message))
        else:
            self._store.save(
                moved(
                    work,
                    Stage(str(outcome["stage"])),
                    message=str(outcome.get("message", "")),
                    findings=tuple(outcome.get("findings", ())),  # type: ignore[arg-type]
                )
            )


class Workshop:
    """All work of a server: its store and its lanes."""

    def __init__(
        self, settings: WebSettings, quick: Limits = QUICK, long: Limits = LONG, days: float = _DAYS
    ) -> None:
        self.settings, self.days = settings, days
        self.store = Store(settings.jobs)
        self._lanes = {
            True: Lane(self.store, quick, warm=True),
            False: Lane(self.store, long, warm=False),
        }

    def start(self) -> None:
        """Resume the work that an earlier server left, and start to accept work."""
        for _name in self.store.sweep(self.days):
            pass
        for work in reversed(self.store.every()):
            if not work.stage.over:
                self._lane(work).add(work.id, must=True)
        for lane in self._lanes.values():
            lane.start()

    def stop(self) -> None:
        """End all children; unfinished work runs again at the next start."""
        for lane in self._lanes.values():
            lane.stop()

    def submit(self, work: Work) -> Work:
        """Queue the work once its folder holds everything it needs.

        Raises:
            HTTPException: 503, the queue is full; the work is removed if it is new.
        """
        before = self.store.find(work.id)
        saved = self.store.save(moved(work, Stage.WAITING))
        try:
            self._lane(work).add(work.id)
        except HTTPException:
            if before is None:
                self.store.remove(work)
            else:
                self.store.save(before)
            raise
        return saved

    def cancel(self, work: Work) -> None:
        """End the work, and wait until it has ended."""
        self._lane(work).cancel(work.id)
        self.wait(work.id, 10.0)

    def place(self, work: Work) -> int:
        """How many pieces of work come before it."""
        return self._lane(work).place(work.id)

    def wait(self, name: str, seconds: float) -> Work | None:
        """The work when it is finished, or as it is when the seconds run out."""
        until = time.monotonic() + seconds
        while True:
            work = self.store.find(name)
            if work is None or work.stage.over or time.monotonic() > until:
                return work
            time.sleep(_POLL)

    def answer(
        self, task: str, files: Mapping[str, bytes], words: Mapping[str, object]
    ) -> dict[str, object]:
        """A child's result for some files, waited for and not kept; we choose the file names.

        Raises:
            HTTPException: 503, as many wait as may.
            OutputError: the child failed, or exceeded its time or memory.
        """
        from render.web.tasks import write_task

        work = self.store.create(task, task)
        try:
            for name, data in files.items():
                (work.folder / "given" / name).write_bytes(data)
            write_task(work, {"files": list(files), **words})
            self.submit(work)
            done = self.wait(work.id, QUICK.seconds * (QUICK.waiting + 2))
            if done is None or done.stage is not Stage.DONE:
                raise OutputError(done.message if done else task, "child-failed")
            return done.read("answer.json")
        finally:
            shutil.rmtree(work.folder, ignore_errors=True)

    def _lane(self, work: Work) -> Lane:
        return self._lanes[work.task in _QUICK]


def workshop_of(request: Request) -> Workshop:
    """The workshop of the server that received the request."""
    workshop = request.app.state.workshop
    assert isinstance(workshop, Workshop)
    return workshop


def _child() -> subprocess.Popen[bytes]:
    """Start a process that reads its work's folder from its input, and ends when that closes."""
    return subprocess.Popen(
        [sys.executable, "-m", "render.web.child"],
        stdin=subprocess.PIPE,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        env=child_environment(),
        start_new_session=True,
    )


def _end(child: subprocess.Popen[bytes]) -> None:
    """End a child and every process that it started."""
    if sys.platform == "win32":
        if child.poll() is None:
            command = ["taskkill", "/T", "/F", "/PID", str(child.pid)]
            subprocess.run(command, capture_output=True, check=False)
    else:
        with contextlib.suppress(ProcessLookupError):
            os.killpg(child.pid, signal.SIGKILL)
    child.wait()
    if child.stdin is not None:
        with contextlib.suppress(OSError):
            child.stdin.close()
