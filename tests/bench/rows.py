"""What a row of the benchmarks is, and how it is told as a row of a Markdown table."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from tests.bench.job_check import CheckError, Made
from tests.bench.processes import Budget, Run, run

_HEADS = ("row", "what", "CPU s", "s", "MB, largest process", "MB, all processes", "goal")


@dataclass(frozen=True, slots=True)
class Place:
    """Where a benchmark works: lists and job folders, and compiled Python code."""

    work: Path
    caches: Path


@dataclass(frozen=True, slots=True)
class Goal:
    """What a row may take at most; None where nothing is set."""

    cpu: float | None = None
    seconds: float | None = None
    megabytes: float | None = None

    def told(self, took: Run) -> str:
        """The goal in words and whether it is met."""
        limits = (
            (self.cpu, took.cpu, "s CPU"),
            (self.seconds, took.seconds, "s"),
            (self.megabytes, took.largest, "MB"),
        )
        set_ones = [(limit, value, unit) for limit, value, unit in limits if limit is not None]
        if not set_ones:
            return ""
        text = ", ".join(f"{limit:,g} {unit}" for limit, _, unit in set_ones)
        missed = [unit for limit, value, unit in set_ones if value > limit]
        return f"{text}: {'missed in ' + ' and '.join(missed) if missed else 'met'}"


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a row brought: the command's run, what it made in words, and further tables."""

    took: Run
    what: str
    goal: str = ""
    made: Made | None = None
    tables: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Row:
    """A row by its name; ``seconds`` is what it needs on two quiet cores, about."""

    name: str
    about: str
    seconds: float
    make: Callable[[Place, Budget], Outcome] = field(repr=False)

    @property
    def budget(self) -> Budget:
        """What each of its commands may take before it is ended."""
        return Budget(60 + 5 * self.seconds)


class RunError(Exception):
    """A command was ended at its budget, or ended wrong by itself."""

    def __init__(self, took: Run, why: str) -> None:
        super().__init__(why)
        self.took = took


def program(
    arguments: Sequence[str], place: Place, budget: Budget, code: int = 0, **more: object
) -> Run:
    """A run that must end with a code, by itself.

    Raises:
        RunError: it did not.
    """
    took = run(arguments, place.caches, budget, **more)  # type: ignore[arg-type]
    if took.stopped:
        raise RunError(took, took.stopped)
    if took.code != code:
        last = took.output.strip().splitlines()[-1:] or ["nothing said"]
        raise RunError(took, f"ended with {took.code}: {last[0]}")
    return took


def heading() -> str:
    """The head of the table of rows."""
    return f"| {' | '.join(_HEADS)} |\n{'|---' * len(_HEADS)}|"


def measured(row: Row, place: Place) -> tuple[str, Outcome | None]:
    """The row as a line of Markdown, and what it brought; None where it failed.

    Files that cannot be read as what they should be are a failure as well.
    """
    try:
        found = row.make(place, row.budget)
    except RunError as fault:
        return _line(row, fault.took, f"**{fault}**", ""), None
    except (CheckError, OSError, KeyError, ValueError) as fault:
        return f"| {row.name} | **wrong: {fault!r}** |{' |' * (len(_HEADS) - 2)}", None
    return _line(row, found.took, found.what, found.goal), found


def _line(row: Row, took: Run, what: str, goal: str) -> str:
    digits = 2 if took.cpu < 3 else 1
    figures = (f"{took.cpu:.{digits}f}", f"{took.seconds:.{digits}f}")
    memory = (f"{took.largest:,.0f}", f"{took.together:,.0f}")
    return f"| {' | '.join((row.name, what, *figures, *memory, goal))} |"
