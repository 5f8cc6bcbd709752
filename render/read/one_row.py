"""One marker as one row of a list: what a command or a caller says, under the list's headings.

So every word, unit and synonym that a list may hold is read here in the same way.
"""

from __future__ import annotations

from collections.abc import Mapping

from pydantic import TypeAdapter, ValidationError

from layouts.order.order import Item, Order, OrderHead, Position
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place
from render.read.cleaning import clean_words
from render.read.codes import fault
from render.read.columns import POSITION_COLUMNS, SPEC_COLUMNS, Heading
from render.read.faults import faults_of
from render.read.rowspec import specify

_POSITION = TypeAdapter(Position)
_SPEC_NAMES = frozenset(column.name for column in SPEC_COLUMNS)
_PLACE_NAMES = frozenset(column.name for column in POSITION_COLUMNS) - {"qty"}


def order_of_row(cells: Mapping[str, str], scheme: str = "") -> tuple[Order, tuple[Finding, ...]]:
    """An order of the one marker that the cells describe, each by its heading in a list.

    Beside the order comes what is worth knowing of the cells.

    Raises:
        InputError: every fault of the cells, each with its heading as the field.
        ValueError: a heading is not one of a list's.
    """
    cells, broken = clean_words(cells)
    if broken:
        raise InputError(broken)
    unknown = cells.keys() - _SPEC_NAMES - _PLACE_NAMES
    if unknown:
        raise ValueError(f"no headings of a list: {', '.join(sorted(unknown))}")
    columns = [column for column in SPEC_COLUMNS if column.name in cells]
    headings = [Heading(at, column, column.unit) for at, column in enumerate(columns)]
    row = specify(headings, [cells[column.name] for column in columns], {})
    findings = [
        fault(each.code, each.what, each.right, Place(field=each.field)) for each in row.findings
    ]
    position = _position(cells, findings)
    if any(each.blocks for each in findings) or position is None:
        raise InputError(findings)
    if len(row.specs) != 1:
        what = f"{cells['tag']!r} is {len(row.specs)} tags"
        raise InputError([fault("bad-tag", what, "give one tag", Place(field="tag"))])
    head = OrderHead(scheme=scheme) if scheme else OrderHead()
    fields = {key: getattr(head, key) for key in OrderHead.model_fields}
    return Order(**fields, items=(Item(row.specs[0], (position,)),)), tuple(findings)


def _position(cells: Mapping[str, str], findings: list[Finding]) -> Position | None:
    """Where the marker goes; None with the faults added to the findings."""
    fields = {name: " ".join(text.split()) for name, text in cells.items() if name in _PLACE_NAMES}
    try:
        return _POSITION.validate_python(fields)
    except ValidationError as error:
        for path, code, what, right in faults_of(error):
            findings.append(fault(code, what, right, Place(field=str(path[-1]))))
    return None
