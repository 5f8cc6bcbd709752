"""Finds the job folder of a piece by its id, scanned or typed, its tag or its line number."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path

from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.values import frozen
from render.files.overwrite import MANIFEST
from render.files.spreadsheet import plain_text
from render.folder.naming import counted_name
from render.folder.open import ORDER, Job, job_refusal, open_job

PIECES, MARKERS, REPRINT = "pieces.csv", "markers.csv", "reprint.json"
_MOST_NAMED = 5


@frozen
class Located:
    """A name in a job folder: its kind (``id``, ``tag`` or ``line``), and its words."""

    folder: Path
    name: str
    is_a: str
    words: str = ""


def job_folders(folders: Iterable[Path]) -> tuple[Path, ...]:
    """The job folders among the given folders and one level below, by name.

    Raises:
        InputError: one of them is not a job folder and does not contain one.
    """
    found: dict[Path, None] = {}
    faults = []
    for folder in folders:
        own = [folder] if (folder / MANIFEST).is_file() else _below(folder)
        found.update(dict.fromkeys(own))
        if not own:
            what = f"{folder} is not a job folder and there is none in it"
            faults.append(_fault("job-unreadable", what, "name job folders, or a folder of them"))
    if faults:
        raise InputError(faults)
    return tuple(found)


def _below(folder: Path) -> list[Path]:
    try:
        return sorted(path for path in folder.iterdir() if (path / MANIFEST).is_file())
    except OSError:
        return []


def locate(text: str, folders: Iterable[Path]) -> tuple[Located, ...]:
    """Every job folder with a given id, tag or line, ignoring spaces and case.

    Raises:
        InputError: a job folder was altered or is incomplete.
    """
    name, _ = counted_name(text)
    key = _folded(name)
    found = []
    for folder in folders:
        job = open_job(folder)
        hit = _names(job).get(key)
        if hit is not None:
            found.append(Located(folder, hit[1], hit[0], hit[2]))
    return tuple(found)


def job_holding(folder: Path, texts: Sequence[str]) -> Path:
    """The job folder that made everything named: the folder itself, or the one inside it.

    A reprint gives way to the job that it repeats.

    Raises:
        InputError: a name is in no job or in several, or no job has all of them.
    """
    folders = job_folders((folder,))
    if folders == (folder,) or not texts:
        return folders[0]
    known = {text: _originals(locate(text, folders)) for text in texts}
    faults = [_unknown(text, folder, folders) for text, where in known.items() if not where]
    if faults:
        raise InputError(faults)
    shared = set.intersection(*(set(where) for where in known.values()))
    if len(shared) == 1:
        return shared.pop()
    told = "; ".join(f"{text} in {_listed(where)}" for text, where in known.items())
    if shared:
        what = f"more than one job made what is named: {told}"
        raise InputError([_fault("reprint-job", what, "name the job folder itself")])
    what = f"no job made all that is named: {told}"
    raise InputError([_fault("reprint-job", what, "reprint from one job folder after another")])


def _originals(found: Sequence[Located]) -> list[Path]:
    firsts = [each.folder for each in found if not (each.folder / REPRINT).is_file()]
    return firsts or [each.folder for each in found]


def _listed(folders: Sequence[Path]) -> str:
    names = ", ".join(each.name for each in folders[:_MOST_NAMED])
    more = len(folders) - _MOST_NAMED
    return f"{names} and {more} more" if more > 0 else names


def _unknown(text: str, folder: Path, folders: Sequence[Path]) -> Finding:
    what = f"none of the {len(folders)} job folders in {folder} knows {text!r}"
    return _fault("reprint-id", what, "check the id; pieces.csv and markers.csv list them", text)


def _names(job: Job) -> Mapping[str, tuple[str, str, str]]:
    """The names of a job by their folded form: kind, name as written, words.

    Raises:
        InputError: a file of the job is missing or altered, or has unexpected content.
    """
    try:
        return {
            _folded(name): (is_a, name, said) for is_a, name, said in _listed_names(job) if name
        }
    except (ValueError, LookupError, TypeError, AttributeError, RecursionError, csv.Error) as error:
        what = f"{ORDER}, {MARKERS} or {PIECES} is not as a job writes it"
        raise job_refusal("job-altered", what, "make the job again", job) from error


def _listed_names(job: Job) -> Iterator[tuple[str, str, str]]:
    """Lines first and ids last, so that an id wins over a line of the same name."""
    markers = json.loads(job.file(ORDER))["markers"]
    for each in markers:
        tag = each.get("tag", "")
        lines = {position.get("line", "") for position in each["positions"]}
        if not tag:
            yield from (("line", line, each.get("service", "")) for line in sorted(lines))
        yield "tag", tag, each.get("function", each.get("name", ""))
    for table, is_a in ((MARKERS, "marker id"), (PIECES, "piece id")):
        if table in job.hashes:
            text = io.StringIO(job.file(table).decode(), newline="")
            yield from (
                (is_a, row["id"], plain_text(row["legend"])) for row in csv.DictReader(text)
            )


def _folded(name: str) -> str:
    return "".join(name.split()).casefold()


def _fault(code: str, what: str, right: str, marker: str = "") -> Finding:
    return Finding(code, Severity.UNREADABLE, what, right, place=Place(marker=marker))
