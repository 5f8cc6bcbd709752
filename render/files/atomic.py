"""The job folder: written beside its place first, moved there whole, or not at all."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path

from layouts.terms.errors import OutputError

MANIFEST = "manifest.json"


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
    refuse_taken(target, replace)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        fresh = Path(tempfile.mkdtemp(prefix=f".{target.name}-", dir=target.parent))
    except OSError as error:
        raise OutputError(
            f"{target} cannot be written: {error.strerror or error}", "cannot-write"
        ) from error
    try:
        for name, data in files.items():
            file = fresh / name
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_bytes(data)
        fresh.chmod(0o755)
        _swap(fresh, target)
    except OSError as error:
        raise OutputError(
            f"{target} cannot be written: {error.strerror or error}", "cannot-write"
        ) from error
    finally:
        shutil.rmtree(fresh, ignore_errors=True)


def refuse_taken(target: Path, replace: bool) -> None:
    """Say before any work is done that the folder may not be written.

    Raises:
        OutputError: the target is taken, or is not a job folder of ours.
    """
    if target.exists() and not _may_replace(target, replace):
        raise OutputError(
            f"{target} already exists; give another folder with -o, or --force to replace a job "
            "folder",
            "folder-taken",
        )


def write_file(target: Path, data: bytes) -> None:
    """Write one file whole or not at all.

    Raises:
        OutputError: it cannot be written.
    """
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(prefix=f".{target.name}-", dir=target.parent)
    except OSError as error:
        raise OutputError(
            f"{target} cannot be written: {error.strerror or error}", "cannot-write"
        ) from error
    fresh = Path(name)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
        fresh.chmod(0o644)
        fresh.replace(target)
    except OSError as error:
        raise OutputError(
            f"{target} cannot be written: {error.strerror or error}", "cannot-write"
        ) from error
    finally:
        fresh.unlink(missing_ok=True)


def _may_replace(target: Path, replace: bool) -> bool:
    """An empty folder may be filled; a job folder may be replaced when asked, nothing else."""
    if not target.is_dir():
        return False
    return not any(target.iterdir()) or (replace and (target / MANIFEST).is_file())


def _swap(fresh: Path, target: Path) -> None:
    """Put the new folder in the old one's place; the old one goes only when the new one is in."""
    if not target.exists():
        fresh.rename(target)
        return
    old = Path(tempfile.mkdtemp(prefix=f".{target.name}-old-", dir=target.parent))
    target.rename(old / "job")
    try:
        fresh.rename(target)
    except OSError:
        (old / "job").rename(target)
        raise
    finally:
        shutil.rmtree(old, ignore_errors=True)
