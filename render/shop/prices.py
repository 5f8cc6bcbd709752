"""The shop's price file."""

from __future__ import annotations

import tomllib
from pathlib import Path

from layouts.papers.materials import Prices, build_prices
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, Severity


def load_prices(path: Path) -> Prices:
    """The shop's prices.

    Raises:
        InputError: the file cannot be read, or a row of it makes no sense; every fault is named.
    """
    try:
        tables = tomllib.loads(path.read_text("utf-8"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        what = f"the price file cannot be read ({error})"
        fault = Finding("price-file", Severity.UNREADABLE, what, place=Place(path.name))
        raise InputError([fault]) from error
    return build_prices(tables, path.name)
