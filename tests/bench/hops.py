"""`pipelegend order` with its time told by hop, run as a process of its own.

    python -m tests.bench.hops LIST FOLDER [--no-papers]

The command's own reports of progress are taken as marks on the clock. Composing faces is taken out
of planning, and the last hop is divided by what it does. Prints JSON. ``--no-papers`` leaves out
proof, ticket, packs, chart and all other papers with their inspection, so that the rest can be
compared with a program that has none.
"""

from __future__ import annotations

import gc
import json
import os
import resource
import sys
import tempfile
from collections import defaultdict
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import Any

SHEETS, PAPERS, JUDGING, REST = "sheets", "papers", "judging faces", "writing"


class Hops:
    """CPU seconds by hop: what passes belongs to the hop entered last.

    A process that is forked keeps its own count of a piece of work and leaves it in ``spool``.
    ``peak`` is the largest resident set until the hop was left last, in MB.
    """

    def __init__(self, spool: Path) -> None:
        self.cpu: dict[str, float] = defaultdict(float)
        self.peak: dict[str, float] = {}
        self._spool, self._process = spool, os.getpid()
        self._hop, self._at = "load", 0.0

    def enter(self, hop: str) -> str:
        """Close the hop in hand, and return its name."""
        left, now = self._hop, _cpu()
        self.cpu[left] += now - self._at
        who = (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
        self.peak[left] = max(resource.getrusage(each).ru_maxrss for each in who) / 1024
        self._hop, self._at = hop, now
        return left

    def within(self, hop: str, call: Callable[..., Any], of: str = "") -> Callable[..., Any]:
        """The same call, with its time given to the hop; with ``of``, taken from that hop only."""

        def timed(*arguments: Any, **named: Any) -> Any:
            if of and self._hop != of:
                return call(*arguments, **named)
            before = self.enter(hop)
            try:
                return call(*arguments, **named)
            finally:
                self.enter(before)

        return timed

    def piece(self, call: Callable[..., Any]) -> Callable[..., Any]:
        """The same piece of work, which any process may do, with its time told by hop."""

        def timed(*arguments: Any) -> Any:
            if os.getpid() == self._process:
                return self.within(_kind(arguments[0]), call)(*arguments)
            self.cpu.clear()
            self._hop, self._at = _kind(arguments[0]), _cpu()
            try:
                return call(*arguments)
            finally:
                self.enter(REST)
                with self._spool.open("a", encoding="utf-8") as stream:
                    stream.write(json.dumps(self.cpu) + "\n")

        return timed

    def told(self) -> dict[str, float]:
        """CPU seconds by hop, those of forked processes taken out of the hop that waited."""
        cpu = dict(self.cpu)
        for line in self._spool.read_text("utf-8").splitlines():
            for hop, seconds in json.loads(line).items():
                cpu[hop] = cpu.get(hop, 0.0) + seconds
                cpu[REST] -= seconds
        return cpu


def _kind(work: Any) -> str:
    """What a piece of the last hop is, by what it is given: the maker of files, or markers."""
    if not callable(work):
        return JUDGING
    return SHEETS if getattr(work, "func", work).__name__ == "sheet_files" else PAPERS


def _cpu() -> float:
    """CPU seconds of this process and of those that it started and that have ended."""
    usages = map(resource.getrusage, (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return sum(usage.ru_utime + usage.ru_stime for usage in usages)


def _replace(place: Any, name: str, by: Callable[[Any], Any]) -> None:
    """Put what ``by`` makes of it in a name's place; an error where the name is no more."""
    setattr(place, name, by(getattr(place, name)))


def _divide(hops: Hops) -> None:
    """Mark what the last hop does: sheets, cut order, print and cut files, inspection, storing."""
    import render.release
    from render.files.atomic import JobFiles
    from render.write import dxf, pdf, sheetfiles, svg

    def inspected(failing: Callable[..., Iterator[str]]) -> Callable[..., Any]:
        return hops.within("inspection", lambda *given: list(failing(*given)))

    for name in ("_release", "_judge_faces"):
        _replace(render.release, name, hops.piece)
    _replace(render.release, "_failing_points", inspected)
    for kind in (JobFiles, *JobFiles.__subclasses__()):
        _replace(kind, "put", lambda put: hops.within("storing", put, of=SHEETS))
    _replace(sheetfiles, "prepared_page", lambda call: hops.within("cut order", call))
    for name in ("page", "save"):
        _replace(pdf.Writer, name, lambda call: hops.within("print files", call, of=SHEETS))
    for place, name in ((dxf, "write"), (svg, "write_page")):
        _replace(place, name, lambda call: hops.within("cut files", call, of=SHEETS))


def main(path: Path, folder: Path, papers: bool) -> None:
    """Make the job folder and print CPU seconds and peak memory by hop."""
    with tempfile.NamedTemporaryFile() as spool:
        hops = Hops(Path(spool.name))
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
        _divide(hops)
        if not papers:
            _replace(render.job, "paper_makers", lambda _: lambda *_work: ((), ()))
        hops.enter("reading")
        orders.order(path, folder, quiet=True)
        hops.enter("end")
        print(json.dumps({"cpu": hops.told(), "peak": hops.peak}))


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]), "--no-papers" not in sys.argv)
