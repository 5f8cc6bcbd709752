"""What a child can be asked to do, and what it is told in its folder's ``task.json``."""

from __future__ import annotations

import importlib
import json
from collections.abc import Callable, Mapping
from dataclasses import field
from pathlib import Path

from layouts.terms.values import frozen
from render.files.atomic import write_file
from render.options import Progress
from render.web.store import TASK, Work


@frozen
class Task:
    """A task by its name; ``words`` are what it was given, all of it plain JSON."""

    name: str
    words: Mapping[str, object] = field(default_factory=dict)

    def text(self, key: str) -> str:
        """A word that is a text; empty where it was not given."""
        return str(self.words.get(key, "") or "")

    def texts(self, key: str) -> tuple[str, ...]:
        """A word that is a list of texts."""
        found = self.words.get(key, ())
        return tuple(map(str, found)) if isinstance(found, list | tuple) else ()

    def path(self, key: str) -> Path | None:
        """A word that is a path of the server's own choosing."""
        return Path(text) if (text := self.text(key)) else None


Doer = Callable[[Path, Task, Progress], None]


def write_task(work: Work, words: Mapping[str, object]) -> None:
    """Tell the child what to do."""
    said = {"task": work.task, "words": dict(words)}
    write_file(work.folder / TASK, json.dumps(said).encode())


def read_task(folder: Path) -> Task:
    """What the child is told."""
    said = json.loads((folder / TASK).read_bytes())
    return Task(said["task"], said["words"])


def _in(module: str, name: str) -> Doer:
    """A function that is loaded when it is called: no child needs all of them."""

    def do(folder: Path, task: Task, progress: Progress) -> None:
        done: Doer = getattr(importlib.import_module(f"render.web.{module}"), name)
        done(folder, task, progress)

    return do


TASKS: Mapping[str, Doer] = {
    "check": _in("checking", "check_list"),
    "order": _in("making", "make_order"),
    "reprint": _in("making", "make_reprint"),
    "diff": _in("making", "make_diff"),
    "survey": _in("walking", "plan_walk"),
    "found": _in("walking", "judge_walk"),
    "preflight": _in("making", "judge_print_file"),
}
