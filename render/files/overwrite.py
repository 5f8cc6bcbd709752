"""Allows overwriting only of this program's own output, and only when asked to.

A folder is ours when its manifest is, and names every file in it with the content it still has.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import stat
import tomllib
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import islice
from pathlib import Path

from layouts.terms.errors import OutputError

MANIFEST = "manifest.json"
# What a file manager leaves in every folder that it shows; nobody misses it.
_LITTER = frozenset({".DS_Store", "Thumbs.db", "desktop.ini"})
_LARGEST_MANIFEST = 64 << 20  # bytes
_SHA256 = re.compile(r"[0-9a-f]{64}")
_NAMED = 4  # files that a sentence names
_TAKEN, _EXISTS, _CANNOT = "folder-taken", "file-exists", "cannot-write"


def place_of(target: Path) -> Path:
    """Where a target really is, or would be: what a link points to is written, the link stays.

    Raises:
        OutputError: nothing can be there.
    """
    try:
        place = target.resolve()
        for folder in place.parents:
            if folder.exists() and not folder.is_dir():
                raise OutputError(
                    f"{target} cannot be written: {folder} is a file and no folder", _CANNOT
                )
        target.stat()
    except FileNotFoundError:
        pass
    except (OSError, RuntimeError) as error:  # a name too long, links in a circle
        why = getattr(error, "strerror", None) or "its links go in a circle"
        raise OutputError(f"{target} cannot be written: {why}", _CANNOT) from error
    return place


def refuse_taken(target: Path, replace: bool, inputs: Iterable[Path | None] = ()) -> None:
    """Say before any work is done that the folder may not be written.

    ``inputs`` are the files that the work reads; none of them may be in the folder.

    Raises:
        OutputError: the target is taken, holds a file that is not the program's own or an input,
            or is the folder that the user is in.
    """
    place = place_of(target)
    if place in (Path.cwd(), *Path.cwd().parents):
        raise OutputError(
            f"{target} is the folder you are in; name a new folder with -o, such as job", _TAKEN
        )
    for each in inputs:
        if each is not None and place in (each.resolve(), *each.resolve().parents):
            raise OutputError(
                f"{each} is in {target} and would be deleted with it; give another folder with -o",
                _TAKEN,
            )
    if not target.exists():
        return
    if not target.is_dir():
        raise OutputError(f"{target} is a file; give another folder with -o", _TAKEN)
    if not any(target.iterdir()):
        return
    if not replace:
        raise OutputError(
            f"{target} already exists; give another folder with -o, or --force to replace a job "
            "folder",
            _TAKEN,
        )
    _refuse_strangers(target)


def is_as_made(folder: Path) -> bool:
    """Whether a folder of ours holds every file that was written, as it was, and no other."""
    listed = _listed(folder / MANIFEST)
    if listed is None or any(_strangers(folder, listed)):
        return False
    return all((folder / name).is_file() for name in listed)


def _refuse_strangers(target: Path) -> None:
    listed = _listed(target / MANIFEST)
    if listed is None:
        raise OutputError(
            f"{target} exists and is not a job folder that this program wrote; give another "
            "folder with -o",
            _TAKEN,
        )
    strangers = list(islice(_strangers(target, listed), _NAMED + 1))
    if strangers:
        more = " and more" if len(strangers) > _NAMED else ""
        raise OutputError(
            f"{target} holds what this program did not write: {', '.join(strangers[:_NAMED])}"
            f"{more}; move that out of it, or give another folder with -o",
            _TAKEN,
        )


def _listed(path: Path) -> Mapping[str, tuple[int, str]] | None:
    """Size and SHA-256 of each file that a manifest of ours lists; None if it is not ours."""
    try:
        if not stat.S_ISREG(path.lstat().st_mode) or path.lstat().st_size > _LARGEST_MANIFEST:
            return None
        table = json.loads(path.read_bytes())
        files = table["files"] if table.keys() == {"version", "files"} else {}
        found = {name: (entry["bytes"], entry["sha256"]) for name, entry in files.items()}
    except (OSError, ValueError, RecursionError, AttributeError, TypeError, KeyError):
        return None
    sound = all(
        type(size) is int and isinstance(sha, str) and _SHA256.fullmatch(sha)
        for size, sha in found.values()
    )
    return found if found and sound else None


def _strangers(target: Path, listed: Mapping[str, tuple[int, str]]) -> Iterator[str]:
    """Files that the manifest does not list, and those that no longer match it."""
    for folder, folders, names in os.walk(target):
        here = Path(folder)
        links = [name for name in folders if (here / name).is_symlink()]
        for name in sorted((*names, *links)):
            path = here / name
            inner = path.relative_to(target).as_posix()
            if inner == MANIFEST or name in _LITTER:
                continue
            if inner not in listed:
                yield inner
            elif not _is_as_written(path, *listed[inner]):
                yield f"{inner} (changed since it was made)"


def _is_as_written(path: Path, size: int, sha256: str) -> bool:
    about = path.lstat()
    if not stat.S_ISREG(about.st_mode) or about.st_size != size:
        return False
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest() == sha256


def refuse_existing(
    path: Path,
    force: bool,
    suffixes: Sequence[str],
    is_kind: Callable[[bytes], bool] | None = None,
) -> None:
    """Say before any work that a file may not be written.

    ``is_kind`` checks by content whether an old file is of the kind to be written;
    without it the suffix decides.

    Raises:
        OutputError: the name ends otherwise, or a file is there and ``force`` is not given or the
            file is of another kind.
    """
    suffix = path.suffix.lower()
    if suffix not in suffixes:
        right = f"name it {path.with_suffix(suffixes[0])}" if path.name else "name a file"
        raise OutputError(f"{path} does not end in {' or '.join(suffixes)}; {right}", "bad-suffix")
    if not place_of(path).exists():
        return
    if not path.is_file():
        raise OutputError(f"{path} is not a file; give another name", _EXISTS)
    if not force:
        raise OutputError(
            f"{path} already exists; give another name, or --force to replace it", _EXISTS
        )
    if not (is_kind or _KINDS.get(suffix, _is_any))(_content(path)):
        raise OutputError(
            f"{path} is not the kind of file that would be written; give another name", _EXISTS
        )


def _content(path: Path) -> bytes:
    try:
        with path.open("rb") as stream:
            return stream.read(_LARGEST_MANIFEST)
    except OSError as error:
        raise OutputError(f"{path} cannot be read: {error.strerror or error}", _EXISTS) from error


def _is_any(data: bytes) -> bool:
    return True


def _is_toml(data: bytes) -> bool:
    try:
        tomllib.loads(data.decode("utf-8-sig"))
    except (ValueError, RecursionError):
        return False
    return True


_KINDS: Mapping[str, Callable[[bytes], bool]] = {
    ".pdf": lambda data: data.startswith(b"%PDF-"),
    ".png": lambda data: data.startswith(b"\x89PNG"),
    ".svg": lambda data: b"<svg" in data[:4096],
    ".dxf": lambda data: b"SECTION" in data[:4096],
    ".xlsx": lambda data: data.startswith(b"PK") and b"xl/workbook.xml" in data,
    ".toml": _is_toml,
}
