"""One order of a batch: its job folder, written whole or not at all, and what was counted.

The same code does it on this machine and on a worker of a cluster.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import field
from enum import StrEnum
from pathlib import Path
from typing import Protocol

from layouts.terms.errors import BlockedError, InputError, OutputError
from layouts.terms.findings import Finding
from layouts.terms.values import frozen
from render.batch.counts import Counts, count_findings, count_job
from render.batch.made_from import (
    MADE_FROM,
    MadeFrom,
    from_home,
    hashes_of,
    kept_record,
    options_of,
    own_file,
)
from render.files.atomic import StagedFiles
from render.files.intake import reads_noted
from render.files.overwrite import refuse_taken
from render.lists import Given, Lists, make_job


class State(StrEnum):
    """What became of an order."""

    MADE = "made"
    KEPT = "kept"
    BLOCKED = "blocked"
    UNREADABLE = "unreadable"
    FAILED = "failed"


@frozen
class Outcome:
    """What became of an order: counts, what kept it from being made, and a remark on it."""

    name: str
    path: Path
    state: State
    counts: Counts = field(default_factory=Counts)
    faults: tuple[Finding, ...] = ()
    remark: str = ""


class Work(Protocol):
    """A piece of a batch that one process does: an order, or a gang of orders."""

    @property
    def folder(self) -> Path:
        """The folder to write, beside those of all other work."""

    @property
    def paths(self) -> tuple[Path, ...]:
        """The files of its orders, whose size measures the work."""

    def kept(self) -> tuple[Outcome, ...]:
        """The outcomes if nothing is to be done; empty if there is something to do."""

    def run(self) -> tuple[Outcome, ...]:
        """Do the work; every fault is in an outcome."""

    def failed(self, why: str) -> tuple[Outcome, ...]:
        """The outcomes if the work could not be done."""


@frozen
class OrderWork:
    """One order to be made: its files and options, and the folder to write."""

    name: str
    lists: Lists
    given: Given
    folder: Path
    force: bool

    @property
    def paths(self) -> tuple[Path, ...]:
        """The order's file."""
        return (self.lists.path,)

    @property
    def files(self) -> tuple[Path | None, ...]:
        """Every file that the command names for it."""
        return (*self.lists.files, *self.given.files)

    def options(self, gang: Iterable[str] = ()) -> Mapping[str, str]:
        """Every option that decides the bytes; the names of the gang, if it is in one."""
        return options_of(self.given, self.lists.mapping, self.lists.path.parent, gang)

    def counts(self, gang: Iterable[str] = ()) -> Counts | None:
        """What the folder holds, if it is as it would be made now."""
        record = kept_record(self.folder, self.lists.path.parent, self.options(gang))
        return None if record is None else record.counts

    def outcome(self, state: State, counts: Counts, remark: str = "") -> Outcome:
        """The outcome of an order without a fault."""
        return Outcome(self.name, self.lists.path, state, counts, remark=remark)

    def kept(self) -> tuple[Outcome, ...]:
        """The outcome if its folder is as it would be made now."""
        counts = self.counts()
        return () if counts is None else (self.outcome(State.KEPT, counts),)

    def failed(self, why: str) -> tuple[Outcome, ...]:
        """The outcome if it could not be made or written."""
        return (self.outcome(State.FAILED, Counts(), why),)

    def stopped(self, error: InputError | BlockedError) -> Outcome:
        """The outcome if it cannot be read, or must not be printed."""
        state = State.BLOCKED if isinstance(error, BlockedError) else State.UNREADABLE
        faults = tuple(each for each in error.findings if each.blocks)
        return Outcome(self.name, self.lists.path, state, count_findings(error.findings), faults)

    def run(self) -> tuple[Outcome, ...]:
        """Make the order and write its folder."""
        try:
            return (self.outcome(State.MADE, self._make()),)
        except (InputError, BlockedError) as error:
            return (self.stopped(error),)
        except OutputError as error:
            counts = self.counts()  # another process may have been first
            made = () if counts is None else (self.outcome(State.MADE, counts),)
            return made or self.failed(str(error))

    def _make(self) -> Counts:
        refuse_unseen(self.folder.parent)
        refuse_taken(self.folder, self.force, self.files)
        inputs = hashes_of(self.files)
        with StagedFiles(self.folder, self.force) as files:
            with reads_noted() as noted:
                job = make_job(self.lists, self.given, files)
            counts = count_job(job.findings, job.markers, job.groups)
            inputs = {**noted, **inputs}
            finish(files, record_of(inputs, self.lists.path.parent, self.options(), counts))
        return counts


def refuse_unseen(folder: Path) -> None:
    """Write nothing on a worker that does not share the batch's folder.

    Raises:
        OutputError: it is not there.
    """
    if not folder.is_dir():
        what = f"{folder} is not there; a worker must see it under the same path"
        raise OutputError(what, "cannot-write")


def finish(files: StagedFiles, record: MadeFrom) -> None:
    """Move a folder to its place, with the record of what it was made from."""
    files.put(MADE_FROM, record.data())
    files.seal()
    files.move()


def record_of(
    inputs: Mapping[Path, str],
    home: Path,
    options: Mapping[str, str],
    counts: Counts,
    remark: str = "",
) -> MadeFrom:
    """The record of a folder."""
    from pipelegend import __version__

    named = {from_home(path, home): sha for path, sha in inputs.items() if not own_file(path)}
    return MadeFrom(
        program=__version__, options=options, inputs=named, counts=counts, remark=remark
    )
