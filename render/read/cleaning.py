"""Cleans all incoming text: cells, the tables of an order, words of a command."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import cast

from layouts.terms.findings import Finding, Place
from layouts.terms.signs import cleaned, is_plain, unfit_sign
from render.files.intake import clean_values, unfit_values
from render.read.cells import Cell, CellFault, Merged
from render.read.codes import fault

CODE = "bad-character"
_RIGHT = "type the text again; it was broken where it was exported or pasted"


def clean_rows(rows: Iterable[tuple[int, list[Cell]]]) -> Iterator[tuple[int, list[Cell]]]:
    """The rows with each cell cleaned; a cell with broken text becomes a fault."""
    for number, cells in rows:
        try:
            plain = is_plain("".join(cast(list[str], cells)))
        except TypeError:  # a fault among them
            plain = False
        if not plain:
            cells[:] = map(_clean_cell, cells)
        yield number, cells


def _clean_cell(cell: Cell) -> Cell:
    if isinstance(cell, CellFault) or is_plain(cell):
        return cell
    if sign := unfit_sign(cell):
        return CellFault(CODE, f"the cell holds {sign}", _RIGHT)
    text = cleaned(cell)
    text = text if text.strip() else ""
    return Merged(text) if isinstance(cell, Merged) else text


def clean_tables(
    tables: Mapping[str, object], file: str
) -> tuple[dict[str, object], tuple[Finding, ...]]:
    """The tables of an order with every text cleaned, and the texts that cannot be used."""
    faults = tuple(_fault(file, where, why) for where, why in unfit_values(tables, finite=False))
    found = clean_values(dict(tables))
    assert isinstance(found, dict)
    return found, faults


def _fault(file: str, where: str, why: str) -> Finding:
    place = Place(file, field=where)
    if "U+" in why:
        return fault(CODE, why, _RIGHT, place)
    return fault("bad-value", why, "write a usual value", place)


def clean_words(cells: Mapping[str, str]) -> tuple[dict[str, str], tuple[Finding, ...]]:
    """Cleaned words of a command or a caller, without those that are empty."""
    found, faults = clean_tables(cells, "")
    words = {name: str(text) for name, text in found.items() if str(text).strip()}
    return words, faults
