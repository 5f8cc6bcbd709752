"""Rows of short commands in fresh processes, of the PDF writer, and of the other programs here."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import partial
from pathlib import Path

import pikepdf

from tests.bench.job_check import CheckError
from tests.bench.order_rows import COMMAND, Listed
from tests.bench.processes import Budget, Run, run
from tests.bench.rows import Goal, Outcome, Place, Row, RunError, program

_TURNS = 6  # of each short command; the first is not counted, the quickest of the rest is
_MARKER = (
    *("marker", "HTRS", "--state", "both", "--psig", "30", "--pipe", "NPS 4"),
    *("--covering", "1.5in", "--flow", "left", "--force", "--quiet"),
)
_ROWS = 300
_GOALS = {0: "its own goals: met", 1: "its own goals: missed"}


def short_rows(instances: Path | None) -> Iterator[Row]:
    """The short commands first, then the writer, the nester and the page."""
    yield Row("help", "--help", 2, _help)
    yield Row("wrong-name", "an order of a list that is not there", 3, _wrong_name)
    yield Row("check300", f"check of {_ROWS} rows", 5, _check)
    yield Row("marker", "one marker to PDF", 4, _marker)
    yield Row("pdf", "10,000 placements of 500 faces to PDF", 5, _pdf)
    yield Row("pdf-peer", "the PDF writer beside svgwrite and cairosvg", 30, _pdf_peer)
    given = ["--instances", str(instances.resolve())] if instances else []
    yield _whole("nest", "the nester beside rectpack", 3_600 if instances else 120, given)
    yield _whole("page", "the page: first findings, eight clients", 120)
    yield _whole("preview", "the page: previews", 60)


def _quickest(
    arguments: Sequence[str], place: Place, budget: Budget, code: int, right: Callable[[Run], bool]
) -> Run:
    """The quickest of several runs, each of which must do its work.

    Raises:
        CheckError: one did not.
    """
    runs = []
    for _ in range(_TURNS):
        runs.append(program((*COMMAND, *arguments), place, budget, code))
        if not right(runs[-1]):
            raise CheckError(f"{arguments[0]} said {runs[-1].output.strip()[-200:]!r}")
    return min(runs[1:], key=lambda each: each.cpu)


def _help(place: Place, budget: Budget) -> Outcome:
    took = _quickest(("--help",), place, budget, 0, lambda each: "marker" in each.output)
    return Outcome(took, "every command named", Goal(cpu=0.3).told(took))


def _wrong_name(place: Place, budget: Budget) -> Outcome:
    name = "no-such-list.csv"
    arguments = ("order", str(place.work / name), "-o", str(place.work / "nothing"))
    took = _quickest(arguments, place, budget, 2, lambda each: name in each.output)
    if (place.work / "nothing").exists():
        raise CheckError("a folder was made for a list that is not there")
    return Outcome(took, "refused by name with code 2", Goal(cpu=0.3).told(took))


def _check(place: Place, budget: Budget) -> Outcome:
    arguments = ("check", str(Listed(_ROWS).written(place)))
    took = _quickest(arguments, place, budget, 0, lambda each: f"{_ROWS} markers" in each.output)
    return Outcome(took, f"{_ROWS} markers, nothing blocked", Goal(cpu=0.6).told(took))


def _marker(place: Place, budget: Budget) -> Outcome:
    drawn = place.work / "marker.pdf"

    def right(_: Run) -> bool:
        with pikepdf.open(drawn) as document:
            return len(document.pages) == 1

    took = _quickest((*_MARKER, "-o", str(drawn)), place, budget, 0, right)
    return Outcome(took, "a PDF of one page", Goal(cpu=0.4).told(took))


def _pdf(place: Place, budget: Budget) -> Outcome:
    told = program(("-m", "tests.bench.pdf_bench", "--job", "ours"), place, budget).told
    took = Run(told["first_seconds"], told["seconds"], told["whole_mb"], told["whole_mb"], 0, "")
    what = f"{told['bytes'] / 1e6:.2f} MB, {told['peak_mb']:.0f} MB above the program itself"
    size = "met" if told["bytes"] <= 1.385e6 else "missed"
    return Outcome(took, what, f"{Goal(cpu=0.2).told(took)}; 1.38 MB: {size}")


def _pdf_peer(place: Place, budget: Budget) -> Outcome:
    took = _judged("pdf", (), place, budget)
    return Outcome(took, took.output.strip().splitlines()[-2], _GOALS[took.code])


def _whole(name: str, about: str, seconds: float, given: Sequence[str] = ()) -> Row:
    return Row(name, about, seconds, partial(_whole_program, name, tuple(given)))


def _whole_program(name: str, given: Sequence[str], place: Place, budget: Budget) -> Outcome:
    """A program with lines of its own, which come after the table of rows."""
    took = _judged(name, given, place, budget)
    return Outcome(took, "see its own lines", _GOALS[took.code], tables=(took.output.strip(),))


def _judged(name: str, given: Sequence[str], place: Place, budget: Budget) -> Run:
    """The run of a program that ends with 1 where it misses its own goals.

    Raises:
        RunError: it ended in another way.
    """
    arguments = ("-m", f"tests.bench.{name}_bench", *given)
    took = run(arguments, place.caches, budget)
    if took.stopped or took.code not in _GOALS or "Traceback" in took.output:
        last = took.output.strip().splitlines()[-1:] or ["nothing said"]
        raise RunError(took, took.stopped or f"ended with {took.code}: {last[0]}")
    return took
