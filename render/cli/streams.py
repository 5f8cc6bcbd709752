"""Standard output and standard error as a command needs them: never the cause of its exit code.

A reader that closes the pipe (``| head -1``) has read enough; the command goes on and ends with
the code of what it found. A full disk behind the output is reported once, at the end.
"""

from __future__ import annotations

import io
import os
import signal
import sys
from types import FrameType
from typing import TextIO


class _Patient(io.RawIOBase):
    """Bytes to a file descriptor; what cannot be delivered is dropped, and why is kept."""

    def __init__(self, handle: int) -> None:
        self._handle = handle
        self.fault = ""

    def writable(self) -> bool:
        return True

    def fileno(self) -> int:
        return self._handle

    def write(self, data: object) -> int:
        view = memoryview(data)  # type: ignore[arg-type]
        if self.fault:
            return view.nbytes
        try:
            return os.write(self._handle, view)
        except BrokenPipeError:
            self.fault = "closed"
        except OSError as error:
            self.fault = error.strerror or str(error)
        return view.nbytes


def hold_streams() -> _Patient | None:
    """Replace streams that are not terminals with patient ones; returns the output's."""
    out = _patient(sys.stdout)
    if out is not None:
        sys.stdout = out[1]
    error = _patient(sys.stderr)
    if error is not None:
        sys.stderr = error[1]
    for stream in (sys.stdout, sys.stderr):  # a console's code page may lack a character
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")
    return out[0] if out is not None else None


def _patient(stream: TextIO) -> tuple[_Patient, io.TextIOWrapper] | None:
    if not isinstance(stream, io.TextIOWrapper) or stream.isatty():
        return None
    raw = _Patient(stream.fileno())
    buffered = io.BufferedWriter(raw)
    return raw, io.TextIOWrapper(buffered, encoding=stream.encoding, errors="replace")


def undelivered(out: _Patient | None) -> str:
    """Why the output could not be written; empty where it was, or where nobody read on."""
    sys.stdout.flush()
    return out.fault if out is not None and out.fault != "closed" else ""


def end_cleanly_when_stopped() -> None:
    """Let a request to stop (SIGTERM, SIGINT) unwind the work, so that its left-overs go with it.

    The exit code is the shell's own for a signal: 128 and its number.
    """

    def stop(number: int, _frame: FrameType | None) -> None:
        signal.signal(number, signal.SIG_IGN)  # once is enough
        raise SystemExit(128 + number)

    for each in (signal.SIGTERM, signal.SIGINT):
        signal.signal(each, stop)
