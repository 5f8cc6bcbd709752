"""The file that is not there: told before anything heavy is loaded."""

from __future__ import annotations

from pathlib import Path

from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, Severity


def refuse_missing(path: Path) -> None:
    """Say at once that there is no such file.

    Raises:
        InputError: there is none.
    """
    if not path.exists():
        raise InputError([missing_file(path)])


def missing_file(path: Path) -> Finding:
    """What is wrong with a file that is not there."""
    name = "".join(sign if sign.isprintable() else " " for sign in path.name)
    what, right = "there is no such file", "check the name"
    return Finding("file-missing", Severity.UNREADABLE, what, right, place=Place(name))
