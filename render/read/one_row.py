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
from render.read.ordersheet import CHOICES
from render.read.rowspec import specify

_POSITION = TypeAdapter(Position)
_SPEC_NAMES = frozenset(column.name for column in SPEC_COLUMNS)
_PLACE_NAMES = frozenset(column.name for column in POSITION_COLUMNS) - {"qty"}


def order_of_row(
    cells: Mapping[str, str], choices: Mapping[str, str]
) -> tuple[Order, tuple[Finding, ...]]:
    """An order of the one marker that the cells describe, each by its heading in a list.

    ``choices`` are what an order chooses for all of its markers: ``scheme``, ``face``, and
    ``color`` and ``cutoff`` for the contents of this one.

    Beside the order comes what is worth knowing of the cells. Where one of those findings blocks,
    the order is what the other cells ask for: to be judged further, and never to be printed.

    Raises:
        InputError: nothing can be judged; every fault of the cells, with its heading as the field.
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
    head = _head(choices, cells.get("contents", ""), findings)
    if not row.specs or position is None or head is None:
        raise InputError(findings)
    if len(row.specs) != 1:
        what = f"{cells['tag']!r} is {len(row.specs)} tags"
        raise InputError([fault("bad-tag", what, "give one tag", Place(field="tag"))])
    fields = {key: getattr(head, key) for key in OrderHead.model_fields}
    return Order(**fields, items=(Item(row.specs[0], (position,)),)), tuple(findings)


def _head(choices: Mapping[str, str], contents: str, findings: list[Finding]) -> OrderHead | None:
    """What the order chooses; None with the faults added to the findings."""
    table: dict[str, object] = {key: choices[key] for key in ("scheme", "face") if key in choices}
    for word, key in CHOICES.items():
        if word not in choices:
            continue
        if not contents:
            what = f"a {word} is the plant's choice for other contents than the scheme's own"
            findings.append(
                fault("bad-value", what, "give the column 'contents' too", Place(field=word))
            )
        table[key] = {contents: choices[word]}
    try:
        return OrderHead.model_validate(table)
    except ValidationError as error:
        words = {key: word for word, key in CHOICES.items()}
        for path, code, what, right in faults_of(error):
            at = str(path[0])
            findings.append(fault(code, what, right, Place(field=words.get(at, at))))
    return None


def _position(cells: Mapping[str, str], findings: list[Finding]) -> Position | None:
    """Where the marker goes; None with the faults added to the findings."""
    fields = {name: " ".join(text.split()) for name, text in cells.items() if name in _PLACE_NAMES}
    try:
        return _POSITION.validate_python(fields)
    except ValidationError as error:
        for path, code, what, right in faults_of(error):
            findings.append(fault(code, what, right, Place(field=str(path[-1]))))
    return None
