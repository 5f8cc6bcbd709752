"""The schemes that an order names: built in, or TOML files of the plant beside the order."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from itertools import chain
from pathlib import Path
from typing import Any

from layouts.order.order import Order
from layouts.order.position import first_place
from layouts.schemes.loader import load_scheme, scheme_from_tables, scheme_keys
from layouts.schemes.model import Scheme
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, Severity
from render.files.intake import TABLES, bytes_of, toml_of


def load_schemes(order: Order, folder: Path, file: str = "") -> dict[str, Scheme]:
    """Every scheme that the order names, by its name; ``file`` is that of the rows.

    Raises:
        InputError: a name is unknown, or its file has faults; the error holds all of them.
    """
    names = {order.scheme, *(item.spec.scheme for item in order.items if item.spec.scheme)}
    schemes: dict[str, Scheme] = {}
    faults: list[Finding] = []
    for name in sorted(names):
        try:
            schemes[name] = find_scheme(name, folder)
        except InputError as error:
            faults += (_in_its_row(each, name, order, file) for each in error.findings)
    if faults:
        raise InputError(faults)
    return schemes


def _in_its_row(finding: Finding, name: str, order: Order, file: str) -> Finding:
    """A fault outside a scheme's file, reported at the first row that names the scheme."""
    if finding.place.file or name == order.scheme:
        return finding
    asking = (item.positions for item in order.items if item.spec.scheme == name)
    place = first_place(chain.from_iterable(asking), "scheme", "")
    return replace(finding, place=replace(place, file=file))


def find_scheme(name: str, folder: Path) -> Scheme:
    """A scheme by its key, or by its file.

    Raises:
        InputError: the name is unknown, or its file has faults.
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
    """The plant's scheme files among the names, copied so that a job folder is complete."""
    return {
        name: bytes_of(folder / name, TABLES)
        for name in names
        if name not in scheme_keys() and not Path(name).is_absolute() and ".." not in name
    }
