"""One order of a batch: its job folder, written whole or not at all, and what was counted.

The same function does it on this machine and on a worker of a cluster.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path

from layouts.terms.errors import BlockedError, InputError, OutputError
from layouts.terms.findings import Finding
from render.batch.counts import Counts, count_findings, count_job
from render.batch.made_from import (
    MADE_FROM,
    MadeFrom,
    from_home,
    hashes_of,
    kept_counts,
    options_of,
    own_file,
)
from render.files.atomic import manifest, write_folder
from render.files.intake import reads_noted
from render.files.overwrite import MANIFEST, refuse_taken
from render.lists import Given, Lists, make_job


class State(StrEnum):
    """What became of an order."""

    MADE = "made"
    KEPT = "kept"
    BLOCKED = "blocked"
    UNREADABLE = "unreadable"
    FAILED = "failed"


@dataclass(frozen=True, slots=True)
class Task:
    """One order to be made: its files and options, and the folder to write."""

    name: str
    lists: Lists
    given: Given
    folder: Path
    force: bool

    @property
    def home(self) -> Path:
        """The folder of the order's file, from which its record names other files."""
        return self.lists.path.parent

    def options(self) -> Mapping[str, str]:
        """Every option that decides the bytes."""
        return options_of(self.given, self.lists.mapping, self.home)

    def kept(self) -> Counts | None:
        """What the folder holds if nothing is to be done."""
        return kept_counts(self.folder, self.home, self.options())


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of an order: counts, and what kept it from being made."""

    name: str
    path: Path
    state: State
    counts: Counts = field(default_factory=Counts)
    faults: tuple[Finding, ...] = ()
    message: str = ""


def make_order(task: Task) -> Outcome:
    """Make one order and write its folder; every fault of it is in the outcome."""
    try:
        return _make(task)
    except InputError as error:
        return _stopped(task, State.UNREADABLE, error.findings)
    except BlockedError as error:
        return _stopped(task, State.BLOCKED, error.findings)
    except OutputError as error:
        counts = task.kept()  # another process was first
        if counts is not None:
            return Outcome(task.name, task.lists.path, State.MADE, counts)
        return failed(task, str(error))


def failed(task: Task, message: str) -> Outcome:
    """The outcome of an order that could not be made or written."""
    return Outcome(task.name, task.lists.path, State.FAILED, message=message)


def _stopped(task: Task, state: State, findings: tuple[Finding, ...]) -> Outcome:
    faults = tuple(each for each in findings if each.blocks)
    return Outcome(task.name, task.lists.path, state, count_findings(findings), faults)


def _make(task: Task) -> Outcome:
    if not task.folder.parent.is_dir():
        raise OutputError(
            f"{task.folder.parent} is not there; a worker must see it under the same path",
            "cannot-write",
        )
    refuse_taken(task.folder, task.force, (*task.lists.files, *task.given.files))
    inputs = hashes_of((*task.lists.files, *task.given.files))
    with reads_noted() as noted:
        job = make_job(task.lists, task.given)
    counts = count_job(job.findings, job.markers, job.groups)
    record = record_of({**noted, **inputs}, task.home, task.options(), counts)
    files = {name: data for name, data in job.files.items() if name != MANIFEST}
    files[MADE_FROM] = record.data()
    files[MANIFEST] = manifest(files)
    write_folder(task.folder, files, task.force)
    return Outcome(task.name, task.lists.path, State.MADE, counts)


def record_of(
    inputs: Mapping[Path, str], home: Path, options: Mapping[str, str], counts: Counts
) -> MadeFrom:
    """The record of a folder."""
    from pipelegend import __version__

    named = {from_home(path, home): sha for path, sha in inputs.items() if not own_file(path)}
    return MadeFrom(program=__version__, options=options, inputs=named, counts=counts)
