"""The sheet ``Signs`` of a workbook, one row per sign, with the order's keys as headings.

Steps share one cell, separated by line breaks or semicolons.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from pydantic import ValidationError

from layouts.order.order import Order
from layouts.order.safety_sign import SafetySign
from layouts.terms.findings import Finding, Place
from render.read.cells import Cell, CellFault
from render.read.cleaning import clean_tables
from render.read.codes import fault, nearest
from render.read.faults import faults_of

SIGN_SHEET = "Signs"
SIGN_KEYS = tuple(SafetySign.model_fields)
_STEPS = "steps"


def read_signs(
    rows: Sequence[Sequence[Cell]], file: str
) -> tuple[tuple[SafetySign, ...], tuple[Finding, ...]]:
    """The sound signs of the sheet's rows, and every fault of the others."""
    numbered = [(number, cells) for number, cells in enumerate(rows, 1) if any(cells)]
    at = next((i for i, (_, cells) in enumerate(numbered) if "kind" in _headings(cells)), None)
    if at is None:
        if not numbered:
            return (), ()
        what = "the sheet has no heading row with a column kind"
        right = f"head its columns {', '.join(SIGN_KEYS)}, or name the sheet otherwise"
        return (), (fault("no-headings", what, right, Place(file, sheet=SIGN_SHEET)),)
    heads = _headings(numbered[at][1])
    found = list(_unknown(heads, Place(file, numbered[at][0], sheet=SIGN_SHEET)))
    signs: list[SafetySign] = []
    for number, cells in numbered[at + 1 :]:
        sign, faults = _read_row(heads, cells, Place(file, number, sheet=SIGN_SHEET))
        found += faults
        if sign is not None:
            signs.append(sign)
    return tuple(signs), tuple(found)


def _headings(cells: Sequence[Cell]) -> list[str]:
    texts = (cell if isinstance(cell, str) else "" for cell in cells)
    return ["_".join(text.casefold().split()) for text in texts]


def _unknown(heads: Sequence[str], place: Place) -> Iterator[Finding]:
    """Refuse unknown columns, because a rating under a wrong heading would be lost."""
    for index, head in enumerate(heads):
        if head and head in heads[:index]:
            what, right = f"two columns are headed {head}", "keep one of them"
            yield fault("duplicate-column", what, right, replace(place, field=head))
        elif head and head not in SIGN_KEYS:
            near = nearest(head, SIGN_KEYS)
            right = f"did you mean {near}?" if near else f"the columns are {', '.join(SIGN_KEYS)}"
            what = f"'{head}' is not known here"
            yield fault("unknown-key", what, right, replace(place, field=head))


def _read_row(
    heads: Sequence[str], cells: Sequence[Cell], place: Place
) -> tuple[SafetySign | None, list[Finding]]:
    table: dict[str, object] = {}
    found: list[Finding] = []
    for head, cell in zip(heads, cells, strict=False):
        if isinstance(cell, CellFault):
            found.append(fault(cell.code, cell.what, cell.right, replace(place, field=head)))
        elif head in SIGN_KEYS and cell.strip():
            table[head] = _steps(cell) if head == _STEPS else cell.strip()
    clean, broken = clean_tables(table, place.file)
    found += (replace(each, place=replace(place, field=each.place.field)) for each in broken)
    if found or not clean:
        return None, found
    try:
        return SafetySign.model_validate(clean), []
    except ValidationError as error:
        return None, [
            fault(code, what, right, replace(place, field=str(path[0]) if path else ""))
            for path, code, what, right in faults_of(error, lambda _: SIGN_KEYS)
        ]


def _steps(text: str) -> list[str]:
    """One step per line; if the cell has only one line, semicolons separate the steps."""
    lines = text.splitlines()
    return lines if len(lines) > 1 else text.split(";")


def sign_cells(order: Order) -> list[tuple[str, ...]]:
    """The heading row and the rows that read back to the order's signs; empty without signs."""
    if not order.signs:
        return []
    rows = []
    for sign in order.signs:
        fields = sign.model_dump(mode="json", exclude_defaults=True)
        # A final line break keeps a single step with semicolons in one piece.
        fields |= {_STEPS: "\n".join((*sign.steps, ""))} if sign.steps else {}
        rows.append(tuple(str(fields.get(key, "")) for key in SIGN_KEYS))
    return [SIGN_KEYS, *rows]
