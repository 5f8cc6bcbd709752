"""The one door for files that are read: what is no file of a fit size is refused, not waited for.

Whatever is wrong is an ``OSError`` whose ``strerror`` is a clause for a person, so that a reader
tells it as it tells a missing file.
"""

from __future__ import annotations

import codecs
import errno
import hashlib
import math
import os
import stat
import tomllib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any, BinaryIO

from layouts.terms.signs import cleaned, unfit_sign

MB = 1 << 20
TABLES = 4 * MB  # a file of settings: a shop's, a scheme, prices, a mapping
RECORDS = 64 * MB  # what a program writes: an approval, readings, a job's own files, a font
_DEEPEST = 64  # tables within tables
_LONGEST_NUMBER = 30  # digits
_noted: dict[Path, str] | None = None  # what ``reads_noted`` collects


class UnfitFileError(OSError):
    """A file that is there and is not read; ``strerror`` says why."""

    def __init__(self, why: str) -> None:
        super().__init__(errno.EINVAL, why)


@contextmanager
def reads_noted() -> Iterator[Mapping[Path, str]]:
    """Collects every file that is opened here meanwhile, with the SHA-256 of its bytes."""
    global _noted
    outer, _noted = _noted, {}
    try:
        yield _noted
    finally:
        _noted = outer


def opened(path: Path, most: int) -> BinaryIO:
    """The file, open for its bytes.

    Raises:
        OSError: it cannot be opened, is a pipe, a device or a folder, or has more bytes.
    """
    # A pipe without a writer is waited for by a plain open, and for ever.
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    try:
        about = os.fstat(handle)
        if stat.S_ISDIR(about.st_mode):
            raise UnfitFileError("it is a folder")
        if not stat.S_ISREG(about.st_mode):
            raise UnfitFileError("it is a pipe or a device and not a file")
        if about.st_size > most:
            raise UnfitFileError(f"it is larger than {most // MB} MB")
        if _noted is not None and path not in _noted:
            with os.fdopen(os.dup(handle), "rb") as stream:
                _noted[path] = hashlib.file_digest(stream, "sha256").hexdigest()
            os.lseek(handle, 0, os.SEEK_SET)
        return os.fdopen(handle, "rb")
    except OSError:
        os.close(handle)
        raise


def bytes_of(path: Path, most: int = RECORDS) -> bytes:
    """All bytes of a file. Raises as ``opened``."""
    with opened(path, most) as stream:
        data = stream.read(most + 1)
    if len(data) > most:
        raise UnfitFileError(f"it is larger than {most // MB} MB")
    return data


def text_of(path: Path, most: int = TABLES) -> str:
    """The text of a file in UTF-8, or in UTF-16 where it says so.

    Raises:
        OSError: as ``opened``, or it is not such text.
    """
    data = bytes_of(path, most)
    wide = data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))
    try:
        return data.decode("utf-16" if wide else "utf-8-sig")
    except UnicodeDecodeError as error:
        raise UnfitFileError("it is not UTF-8 text; save it as UTF-8") from error


def toml_of(path: Path) -> dict[str, Any]:
    """The tables of a TOML file.

    Raises:
        OSError: as ``text_of``.
        ValueError: it is not TOML that can be used; says where and why.
    """
    return toml_tables(text_of(path))


def toml_tables(text: str) -> dict[str, Any]:
    """The tables of a TOML text, their texts cleaned of signs that nobody sees.

    Raises:
        ValueError: it is not TOML, is nested too deep, or a value of it is nothing that can be
            used; says where and why.
    """
    try:
        tables = tomllib.loads(text)
    except RecursionError as error:
        raise ValueError("its tables are nested too deep") from error
    except tomllib.TOMLDecodeError:
        raise
    except ValueError as error:  # a number of more digits than Python reads
        raise ValueError(f"a number has more than {_LONGEST_NUMBER} digits") from error
    for where, why in unfit_values(tables):
        raise ValueError(f"{where}: {why}")
    cleaned_tables = clean_values(tables)
    assert isinstance(cleaned_tables, dict)
    return cleaned_tables


def unfit_values(
    value: object, where: str = "", depth: int = 0, *, finite: bool = True
) -> Iterator[tuple[str, str]]:
    """Every value within tables that cannot be used, by the keys that lead to it, and why.

    Without ``finite`` a number that is not finite is left to whoever reads it.
    """
    if depth > _DEEPEST:
        yield where, "it is nested too deep"
    elif isinstance(value, Mapping):
        for key, inner in value.items():
            named = f"{where}, {key}" if where else str(key)
            if sign := unfit_sign(str(key)):
                yield where or "a key", f"a key holds {sign}"
            else:
                yield from unfit_values(inner, named, depth + 1, finite=finite)
    elif isinstance(value, list):
        for number, inner in enumerate(value, 1):
            yield from unfit_values(inner, f"{where} {number}", depth + 1, finite=finite)
    elif isinstance(value, str):
        if sign := unfit_sign(value):
            yield where, f"the text holds {sign}"
    elif finite and isinstance(value, float) and not math.isfinite(value):
        yield where, "the number is not one that can be measured"
    elif isinstance(value, int) and abs(value) >= 10**_LONGEST_NUMBER:
        yield where, f"the number has more than {_LONGEST_NUMBER} digits"


def clean_values(value: object) -> object:
    """The same tables with every text cleaned; keys stay as they are."""
    if isinstance(value, dict):
        return {key: clean_values(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [clean_values(inner) for inner in value]
    return cleaned(value) if isinstance(value, str) else value
