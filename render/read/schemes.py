"""The schemes that an order names: built in, or TOML files of the plant beside the order."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from layouts.order.order import Order
from layouts.schemes.loader import load_scheme, scheme_from_tables, scheme_keys
from layouts.schemes.model import Scheme
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, Severity
from render.files.intake import TABLES, bytes_of, toml_of


def load_schemes(order: Order, folder: Path) -> dict[str, Scheme]:
    """Every scheme that the order names, by its name.

    Raises:
        InputError: there is none of that name, or its file has faults.
    """
    names = {order.scheme, *(item.spec.scheme for item in order.items if item.spec.scheme)}
    return {name: find_scheme(name, folder) for name in sorted(names)}


def find_scheme(name: str, folder: Path) -> Scheme:
    """A scheme by its key, or by its file.

    Raises:
        InputError: there is none of that name, or its file has faults.
    """
    if name in scheme_keys():
        return load_scheme(name)
    path = folder / name
    if path.suffix == ".toml" and path.is_file():
        return scheme_from_tables(_tables(path), path.name)
    raise InputError(
        [
            Finding(
                "scheme-unknown",
                Severity.UNREADABLE,
                f"there is no scheme {name!r}",
                f"use {', '.join(scheme_keys())}, or name a scheme file (.toml) beside the order",
                place=Place(field="scheme"),
            )
        ]
    )


def _tables(path: Path) -> dict[str, Any]:
    try:
        return toml_of(path)
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or f"it is not TOML: {error}"
        what, right = f"the scheme cannot be read: {why}", "compare it with pipelegend template"
        place = Place(path.name)
        raise InputError(
            [Finding("scheme-unreadable", Severity.UNREADABLE, what, right, place=place)]
        ) from error


def scheme_files(names: Iterable[str], folder: Path) -> Mapping[str, bytes]:
    """The scheme files of the plant among the names, so that a job folder stands on its own."""
    return {
        name: bytes_of(folder / name, TABLES)
        for name in names
        if name not in scheme_keys() and not Path(name).is_absolute() and ".." not in name
    }
