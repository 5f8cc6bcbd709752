"""Files and job folders: written beside their place first, moved there whole, or not at all.

Output has a temporary name (``.job.unfinished-1a2b3c4d``) until it is complete, and
is held by a lock, so that the next run can tell what a killed one left behind and remove it.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import secrets
import shutil
from collections.abc import Iterator, Mapping
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path

from layouts.terms.errors import OutputError
from render.files.exchange import claimed, exchange, is_claimed, sync_folder
from render.files.overwrite import MANIFEST, refuse_taken

# Parts of a temporary name: output being written, and an old folder replaced by a new one.
_FRESH, _ASIDE = "unfinished", "replaced"


def manifest(files: Mapping[str, bytes]) -> bytes:
    """Names, sizes and SHA-256 of every file, as canonical JSON."""
    table = {
        name: {"sha256": hashlib.sha256(data).hexdigest(), "bytes": len(data)}
        for name, data in sorted(files.items())
    }
    return json.dumps({"version": 1, "files": table}, indent=1, sort_keys=True).encode() + b"\n"


def write_folder(target: Path, files: Mapping[str, bytes], replace: bool) -> None:
    """Write all files into ``target`` at once; an old job folder there is replaced if asked.

    Raises:
        OutputError: the target is taken, is not a job folder of ours, or cannot be written.
    """
    with _told(target):
        place = _swept(target)
        refuse_taken(target, replace)
        fresh = _beside(place, _FRESH)
        try:
            with ExitStack() as held:
                with claimed(place.parent):
                    fresh.mkdir()
                    held.enter_context(claimed(fresh))
                _fill(fresh, files)
                with claimed(place.parent):
                    refuse_taken(target, replace)
                    _swap(fresh, place)
        finally:
            shutil.rmtree(fresh, ignore_errors=True)


def write_file(target: Path, data: bytes) -> None:
    """Write one file whole or not at all.

    Raises:
        OutputError: it cannot be written.
    """
    with _told(target):
        place = _swept(target)
        fresh = _beside(place, _FRESH)
        with claimed(place.parent):
            try:
                _write(fresh, data)
                fresh.replace(place)
                sync_folder(place.parent)
            finally:
                fresh.unlink(missing_ok=True)


@contextmanager
def _told(target: Path) -> Iterator[None]:
    """What the system refuses, as a sentence."""
    try:
        yield
    except OSError as error:
        hint = "; close the program that has it open" if os.name == "nt" else ""
        raise OutputError(
            f"{target} cannot be written: {error.strerror or error}{hint}", "cannot-write"
        ) from error


def _swept(target: Path) -> Path:
    """Where the target really is, its folder made and cleared of what killed runs left there.

    An old folder that had made way when its run was killed is put back.
    """
    place = target.resolve()  # what a link points to is written, and the link stays
    place.parent.mkdir(parents=True, exist_ok=True)
    with claimed(place.parent):
        for aside in _left(place, _ASIDE):
            if not place.exists():
                aside.rename(place)
            elif (place / MANIFEST).is_file():
                shutil.rmtree(aside, ignore_errors=True)
        for fresh in _left(place, _FRESH):
            if not is_claimed(fresh):
                _remove(fresh)
    return place


def _left(place: Path, state: str) -> list[Path]:
    name = re.compile(rf"\.{re.escape(place.name)}\.{state}-[0-9a-f]{{8}}")
    return [each for each in place.parent.iterdir() if name.fullmatch(each.name)]


def _remove(path: Path) -> None:
    if path.is_dir() and not path.is_symlink():
        shutil.rmtree(path, ignore_errors=True)
    else:
        with suppress(OSError):
            path.unlink()


def _beside(place: Path, state: str) -> Path:
    return place.parent / f".{place.name}.{state}-{secrets.token_hex(4)}"


def _fill(folder: Path, files: Mapping[str, bytes]) -> None:
    """The files and every folder on the way to them, all of it on the disk."""
    folders = {folder}
    for name, data in files.items():
        file = folder / name
        file.parent.mkdir(parents=True, exist_ok=True)
        folders.add(file.parent)
        _write(file, data)
    for each in folders:
        sync_folder(each)


def _write(file: Path, data: bytes) -> None:
    """A new file on the disk, not only on its way there."""
    with file.open("xb") as stream:
        stream.write(data)
        stream.flush()
        os.fsync(stream.fileno())


def _swap(fresh: Path, place: Path) -> None:
    """Put the new folder in the old one's place, in one step where the system has it.

    Elsewhere the old one makes way first; a kill between the two renames leaves it beside its
    place, and the next run puts it back.
    """
    if not place.exists():
        fresh.rename(place)
    elif not exchange(fresh, place):
        aside = _beside(place, _ASIDE)
        place.rename(aside)
        try:
            fresh.rename(place)
        except OSError:
            aside.rename(place)
            raise
        shutil.rmtree(aside, ignore_errors=True)
    sync_folder(place.parent)
