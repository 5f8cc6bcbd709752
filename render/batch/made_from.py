"""What a folder of a batch was made from: its files by their hashes, the options, the program.

The record lies in the folder, so it appears and goes with it. A folder that is as it was made,
from the files and options that are there now, is kept.
"""

from __future__ import annotations

import hashlib
import json
import os
import sys
from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import asdict
from pathlib import Path

from pydantic import BaseModel, ConfigDict, ValidationError

from render.batch.counts import Counts
from render.files.intake import bytes_of, opened
from render.files.overwrite import is_as_made
from render.lists import Given

MADE_FROM = "made_from.json"
_PROGRAM = Path(__file__).resolve().parents[1]


class MadeFrom(BaseModel):
    """The record: inputs by their path from the order's file, and what came of them."""

    model_config = ConfigDict(extra="forbid", frozen=True)
    version: int = 1
    program: str
    options: Mapping[str, str]
    inputs: Mapping[str, str]
    counts: Counts
    remark: str = ""

    def data(self) -> bytes:
        """The record as canonical JSON."""
        table = self.model_dump(mode="json")
        return json.dumps(table, indent=1, sort_keys=True).encode() + b"\n"


def options_of(
    given: Given, mapping: Path | None, home: Path, gang: Iterable[str] = ()
) -> dict[str, str]:
    """Every option that decides the bytes, in words; files by their path from ``home``."""
    files = dict(zip(("shop", "font", "profile", "prices", "approval"), given.files, strict=True))
    files["mapping"] = mapping
    found = {name: from_home(path, home) for name, path in files.items() if path is not None}
    found |= {name: str(value) for name, value in asdict(given.choices).items() if value}
    found |= {"previews": "yes"} if given.previews else {}
    epoch = os.environ.get("SOURCE_DATE_EPOCH")
    found |= {"SOURCE_DATE_EPOCH": epoch} if epoch else {}
    together = ", ".join(gang)
    return found | ({"gang": together} if together else {})


def from_home(path: Path, home: Path) -> str:
    """A path as seen from a folder, the same on every system."""
    try:
        return Path(os.path.relpath(path.absolute(), home.absolute())).as_posix()
    except ValueError:  # another drive
        return path.absolute().as_posix()


def hash_of(path: Path) -> str:
    """The SHA-256 of a file's bytes.

    Raises:
        OSError: it cannot be opened.
    """
    digest = hashlib.sha256()
    with opened(path, sys.maxsize) as stream:
        while data := stream.read(1 << 20):
            digest.update(data)
    return digest.hexdigest()


def hashes_of(paths: Iterable[Path | None]) -> dict[Path, str]:
    """The hashes of files; one that cannot be opened is left to its reader to report."""
    found = {}
    for path in paths:
        if path is not None:
            with suppress(OSError):
                found[path] = hash_of(path)
    return found


def own_file(path: Path) -> bool:
    """Whether a file is part of the program, such as its typefaces, and so of its version."""
    return _PROGRAM in path.resolve().parents


def kept_record(folder: Path, home: Path, options: Mapping[str, str]) -> MadeFrom | None:
    """The record of a folder that is whole and was made from what is there now; else None."""
    from pipelegend import __version__

    try:
        record = MadeFrom.model_validate_json(bytes_of(folder / MADE_FROM))
        if record.program != __version__ or record.options != dict(options):
            return None
        same = all(hash_of(home / name) == sha for name, sha in record.inputs.items())
        return record if same and is_as_made(folder) else None
    except (OSError, ValidationError):
        return None
