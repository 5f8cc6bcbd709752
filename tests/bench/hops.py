"""`pipelegend order` with its time told by hop, run as a process of its own.

    python -m tests.bench.hops LIST FOLDER [--no-papers]

The command's own reports of progress are taken as marks on the clock, and composing faces is taken
out of planning. Prints JSON. ``--no-papers`` leaves out proof, ticket, packs, chart and all other
papers and their inspection, so that the rest can be compared with a program that has none.
"""

from __future__ import annotations

import gc
import json
import resource
import sys
import time
from collections import defaultdict
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import Any


class Hops:
    """Clock and CPU seconds by hop: what passes belongs to the hop entered last.

    ``peak`` is the largest resident set until the hop was left last, in MB.
    """

    def __init__(self) -> None:
        self.seconds: dict[str, float] = defaultdict(float)
        self.cpu: dict[str, float] = defaultdict(float)
        self.peak: dict[str, float] = {}
        self._hop = "load"
        self._at = time.perf_counter(), 0.0

    def enter(self, hop: str) -> str:
        """Close the hop in hand, and return its name."""
        left, now = self._hop, (time.perf_counter(), _cpu())
        self.seconds[left] += now[0] - self._at[0]
        self.cpu[left] += now[1] - self._at[1]
        who = (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
        self.peak[left] = max(resource.getrusage(each).ru_maxrss for each in who) / 1024
        self._hop, self._at = hop, now
        return left

    def within(self, hop: str, call: Callable[..., Any]) -> Callable[..., Any]:
        """The same call, with its time given to the hop."""

        def timed(*arguments: Any, **named: Any) -> Any:
            before = self.enter(hop)
            try:
                return call(*arguments, **named)
            finally:
                self.enter(before)

        return timed


def _cpu() -> float:
    """CPU seconds of this process and of those that it started and that have ended."""
    usages = map(resource.getrusage, (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return sum(usage.ru_utime + usage.ru_stime for usage in usages)


def _replace(module: Any, name: str, by: Callable[[Any], Any]) -> None:
    """Put what ``by`` makes of it in a name's place; an error where the name is no more."""
    setattr(module, name, by(getattr(module, name)))


def main(path: Path, folder: Path, papers: bool) -> None:
    """Make the job folder and print seconds, CPU seconds and peak memory by hop."""
    hops = Hops()
    gc.disable()  # as the command does
    import render.cli.terminal
    import render.decide
    import render.job
    from render.cli import orders

    @contextmanager
    def progress(quiet: bool) -> Iterator[Callable[..., str]]:
        yield lambda hop, *counted: hops.enter(hop)

    _replace(render.cli.terminal, "progress", lambda _: progress)
    _replace(render.decide, "compose_faces", partial(hops.within, "faces"))
    if not papers:
        _replace(render.job, "paper_pieces", lambda _: lambda work: [])
    hops.enter("reading")
    orders.order(path, folder, quiet=True)
    hops.enter("end")
    print(json.dumps({"seconds": hops.seconds, "cpu": hops.cpu, "peak": hops.peak}))


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]), "--no-papers" not in sys.argv)
