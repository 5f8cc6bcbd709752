"""Reports a missing file before anything heavy is loaded."""

from __future__ import annotations

from pathlib import Path

from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, Severity


def refuse_missing(path: Path) -> None:
    """Report a missing file at once.

    Raises:
        InputError: there is none.
    """
    if not path.exists():
        raise InputError([missing_file(path)])


def missing_file(path: Path) -> Finding:
    """The finding for a missing file."""
    name = "".join(sign if sign.isprintable() else " " for sign in path.name)
    what, right = "there is no such file", "check the name"
    return Finding("file-missing", Severity.UNREADABLE, what, right, place=Place(name))
