"""The shop's price file."""

from __future__ import annotations

from pathlib import Path

from layouts.papers.materials import Prices, build_prices
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, Severity
from render.files.intake import toml_of


def load_prices(path: Path) -> Prices:
    """The shop's prices.

    Raises:
        InputError: the file cannot be read, or a row is invalid; every fault is named.
    """
    try:
        tables = toml_of(path)
    except (OSError, ValueError) as error:
        what = f"the price file cannot be read ({getattr(error, 'strerror', None) or error})"
        fault = Finding("price-file", Severity.UNREADABLE, what, place=Place(path.name))
        raise InputError([fault]) from error
    return build_prices(tables, path.name)
