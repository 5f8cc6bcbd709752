"""How far a batch is: a line that changes on a terminal, else a line for each order."""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from render.batch.batch_run import BatchStep, OnStep


@contextmanager
def batch_progress(quiet: bool) -> Iterator[OnStep]:
    """Reports each order as it ends, on a terminal with the time that is left."""
    from render.batch.batch_run import ignore_steps
    from render.cli.terminal import print_lines

    if quiet:
        yield ignore_steps
        return

    def line_of(step: BatchStep) -> str:
        last = step.last
        ended = f": {last.name} {last.state}" if last is not None else ""
        return f"{step.done} of {step.total} orders{ended}"

    if not sys.stderr.isatty():
        yield lambda step: print_lines(line_of(step), err=True)
        return
    from rich.console import Console

    start = time.monotonic()
    with Console(stderr=True).status("reading") as status:

        def told(step: BatchStep) -> None:
            left = time_left(time.monotonic() - start, step.share)
            status.update(f"{line_of(step)}{left}")

        yield told


def time_left(seconds: float, share: float) -> str:
    """The time that the rest takes at the pace so far; empty before anything is done."""
    if not 0.0 < share < 1.0:
        return ""
    left = seconds * (1.0 - share) / share
    if left < 90:
        return f", about {left:.0f} s left"
    return f", about {left / 60:.0f} min left"
