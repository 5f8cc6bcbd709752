"""Work on disk: one folder a piece of work, with a small state file; no database.

A folder is named by sixteen hexadecimal digits of our own making; a name that came from outside
is looked up among them and never becomes a path.
"""

from __future__ import annotations

import json
import re
import secrets
import shutil
import time
from collections.abc import Iterator, Mapping
from dataclasses import asdict, field, replace
from enum import StrEnum
from pathlib import Path

from layouts.terms.values import frozen
from render.files.atomic import write_file

STATE, TASK, PROGRESS, OUTCOME = "state.json", "task.json", "progress.json", "outcome.json"
ANSWERS = "answers.json"  # of a survey
_ID = re.compile(r"[0-9a-f]{16}")
# What a folder is started again from; all else was made of it and goes.
KEPT = frozenset({STATE, TASK, ANSWERS, "given", "edits.json", "mapping.toml"})
_VIEWS = {"check": "list", "survey": "survey_of"}


class Stage(StrEnum):
    """How far a piece of work has come."""

    WAITING = "waiting"
    RUNNING = "running"
    DONE = "done"
    FAILED = "failed"
    CANCELED = "canceled"

    @property
    def over(self) -> bool:
        """Whether nothing more happens to it."""
        return self in (Stage.DONE, Stage.FAILED, Stage.CANCELED)


@frozen
class Work:
    """A piece of work: what it is, and how far it has come.

    ``task`` names what its child process does, ``created`` is in seconds since 1970. ``source``
    is the work that it was made of. ``findings`` and ``message`` say why it failed.
    """

    folder: Path
    task: str
    title: str
    created: float
    stage: Stage = Stage.WAITING
    source: str = ""
    message: str = ""
    findings: tuple[Mapping[str, object], ...] = field(default=())

    @property
    def id(self) -> str:
        """The name of its folder."""
        return self.folder.name

    @property
    def is_list(self) -> bool:
        """Whether it is a list that is being worked on, and no job."""
        return self.task == "check"

    @property
    def view(self) -> str:
        """The route of its page."""
        return _VIEWS.get(self.task, "job")

    def read(self, name: str) -> dict[str, object]:
        """A JSON file of the folder; empty where there is none."""
        try:
            found = json.loads((self.folder / name).read_bytes())
        except (OSError, ValueError):
            return {}
        return found if isinstance(found, dict) else {}

    def progress(self) -> tuple[str, int, int]:
        """The hop at work, and how much of how much of it is done."""
        said = self.read(PROGRESS)
        done, total = said.get("done", 0), said.get("total", 0)
        assert isinstance(done, int)
        assert isinstance(total, int)
        return str(said.get("hop", "")), done, total


class Store:
    """The folders of all work under one private folder."""

    def __init__(self, home: Path) -> None:
        self._home = home
        home.mkdir(parents=True, exist_ok=True)
        home.chmod(0o700)

    def create(self, task: str, title: str, source: str = "") -> Work:
        """A new folder. Its work is not told to anybody until it is saved."""
        folder = self._home / secrets.token_hex(8)
        folder.mkdir(mode=0o700)
        (folder / "given").mkdir(mode=0o700)
        return Work(folder, task, title, time.time(), source=source)

    def save(self, work: Work) -> Work:
        """Write its state, whole or not at all."""
        said = {name: value for name, value in asdict(work).items() if name != "folder"}
        write_file(work.folder / STATE, json.dumps(said).encode())
        return work

    def find(self, name: str) -> Work | None:
        """The work of that name; None for any name that is not one of ours."""
        if _ID.fullmatch(name) is None:
            return None
        folder = self._home / name
        try:
            said = json.loads((folder / STATE).read_bytes())
            said["stage"], said["findings"] = Stage(said["stage"]), tuple(said["findings"])
            return Work(folder, **said)
        except (OSError, ValueError, TypeError, KeyError):
            return None

    def every(self) -> list[Work]:
        """All work, the newest first."""
        found = [self.find(folder.name) for folder in self._home.iterdir()]
        return sorted((each for each in found if each), key=lambda each: (-each.created, each.id))

    def remove(self, work: Work) -> None:
        """Its folder and all in it."""
        shutil.rmtree(work.folder, ignore_errors=True)

    def clear(self, work: Work) -> None:
        """Everything that was made of what was given."""
        for path in list(work.folder.iterdir()):
            if path.name in KEPT:
                continue
            if path.is_dir():
                shutil.rmtree(path, ignore_errors=True)
            else:
                path.unlink(missing_ok=True)

    def sweep(self, days: float) -> Iterator[str]:
        """Remove what is older, and folders that were never saved; the name of each.

        A survey stays until somebody removes it: what was seen is written nowhere else.
        """
        oldest = time.time() - days * 86_400
        for folder in list(self._home.iterdir()):
            if _ID.fullmatch(folder.name) is None:
                continue
            work = self.find(folder.name)
            aged = work and work.task != "survey" and work.created < oldest and work.stage.over
            if work is None or aged:
                shutil.rmtree(folder, ignore_errors=True)
                yield folder.name


def moved(work: Work, stage: Stage, **values: object) -> Work:
    """The work at another stage, without what the last one said."""
    kept: dict[str, object] = {"message": "", "findings": (), **values}
    return replace(work, stage=stage, **kept)  # type: ignore[arg-type]
