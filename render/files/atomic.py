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
from collections.abc import Iterable, Iterator, Mapping
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path
from typing import Self

from layouts.terms.errors import OutputError
from layouts.terms.values import frozen
from render.files.exchange import claimed, exchange, is_claimed, sync_folder
from render.files.overwrite import MANIFEST, place_of, refuse_taken

# Parts of a temporary name: output being written, and an old folder replaced by a new one.
_FRESH, _ASIDE = "unfinished", "replaced"
_SYNCS = 8  # at once


@frozen
class Entry:
    """A finished file: its path in the folder, size in bytes, SHA-256, and content if held."""

    name: str
    size: int
    sha256: str
    data: bytes | None = None


class JobFiles(Mapping[str, bytes]):
    """The finished files of a folder by their path in it. This kind holds their content."""

    def __init__(self) -> None:
        self._entries: dict[str, Entry] = {}

    @property
    def sizes(self) -> Mapping[str, int]:
        """The size of every file in bytes."""
        return {name: entry.size for name, entry in self._entries.items()}

    def begin(self) -> None:
        """Make ready for files, before processes share the work."""

    def put(self, name: str, data: bytes) -> Entry:
        """Store a file. A forked process returns the entry to its parent, which adds it."""
        entry = Entry(name, len(data), hashlib.sha256(data).hexdigest(), data)
        self.add(entry)
        return entry

    def add(self, entry: Entry) -> None:
        """Take over a file that another process has put."""
        self._entries[entry.name] = entry

    def seal(self) -> str:
        """Write the manifest of all other files, again after further ones; its SHA-256."""
        self._entries.pop(MANIFEST, None)
        return self.put(MANIFEST, _manifest_of(self._entries.values())).sha256

    def __getitem__(self, name: str) -> bytes:
        data = self._entries[name].data
        assert data is not None
        return data

    def __contains__(self, name: object) -> bool:
        return name in self._entries

    def __iter__(self) -> Iterator[str]:
        return iter(self._entries)

    def __len__(self) -> int:
        return len(self._entries)


class StagedFiles(JobFiles):
    """Files that are written beside their folder's place at once, and moved there together.

    Nothing is on the disk before ``begin`` or the first file, and what is not moved is removed at
    the end of the ``with`` block. Content is read from the disk when asked for.

    Raises:
        OutputError: the target is taken, is not a job folder of ours, or cannot be written.
    """

    def __init__(self, target: Path, replace: bool) -> None:
        super().__init__()
        self.target = target
        self._replace = replace
        self._place = target
        self._fresh: Path | None = None
        self._moved = False
        self._held = ExitStack()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        # After a swap the temporary folder is the old one.
        if self._fresh is not None:
            shutil.rmtree(self._fresh, ignore_errors=True)
        self._held.close()

    def begin(self) -> None:
        """Make the temporary folder."""
        with _told(self.target):
            self._staged()

    def put(self, name: str, data: bytes) -> Entry:
        """Write a file into the temporary folder."""
        with _told(self.target):
            file = self._staged() / name
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_bytes(data)
        entry = Entry(name, len(data), hashlib.sha256(data).hexdigest())
        self.add(entry)
        return entry

    def move(self) -> None:
        """Put the folder in its place; an old job folder there is replaced if asked."""
        with _told(self.target):
            fresh = self._staged()
            _sync_files([fresh / name for name in self])
            for folder in {(fresh / name).parent for name in self} | {fresh}:
                sync_folder(folder)
            with claimed(self._place.parent):
                refuse_taken(self.target, self._replace)
                _swap(fresh, self._place)
            self._moved = True

    def _staged(self) -> Path:
        """The temporary folder, held by a lock from its first moment."""
        if self._fresh is None:
            self._place = _swept(self.target)
            refuse_taken(self.target, self._replace)
            fresh = _beside(self._place, _FRESH)
            with claimed(self._place.parent):
                fresh.mkdir()
                self._fresh = fresh
                self._held.enter_context(claimed(fresh))
        return self._fresh

    def __getitem__(self, name: str) -> bytes:
        folder = self._place if self._moved or self._fresh is None else self._fresh
        return (folder / self._entries[name].name).read_bytes()


def manifest(files: Mapping[str, bytes]) -> bytes:
    """Names, sizes and SHA-256 of every file, as canonical JSON."""
    return _manifest_of(
        Entry(name, len(data), hashlib.sha256(data).hexdigest()) for name, data in files.items()
    )


def _manifest_of(entries: Iterable[Entry]) -> bytes:
    table = {
        each.name: {"sha256": each.sha256, "bytes": each.size}
        for each in sorted(entries, key=lambda each: each.name)
    }
    return json.dumps({"version": 1, "files": table}, indent=1, sort_keys=True).encode() + b"\n"


def write_folder(target: Path, files: Mapping[str, bytes], replace: bool) -> None:
    """Write all files into ``target`` at once; an old job folder there is replaced if asked.

    Raises:
        OutputError: the target is taken, is not a job folder of ours, or cannot be written.
    """
    with StagedFiles(target, replace) as staged:
        for name, data in files.items():
            staged.put(name, data)
        staged.move()


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
                fresh.write_bytes(data)
                _sync(fresh)
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
    place = place_of(target)
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


def _sync(file: Path) -> None:
    """See to it that a file is on the disk, not only on its way there."""
    with file.open("rb+") as stream:
        os.fsync(stream.fileno())


def _sync_files(files: Iterable[Path]) -> None:
    """Sync many files at once: a disk takes as long for ten as for one."""
    from concurrent.futures import ThreadPoolExecutor  # one marker needs none

    with ThreadPoolExecutor(_SYNCS) as pool:
        for _ in pool.map(_sync, files):
            pass


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
