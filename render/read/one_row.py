"""Reads one marker as one row of a list, from the words of a command or a caller.

Every word, unit and synonym of a list is therefore read in the same way.
"""

from __future__ import annotations

from collections.abc import Mapping

from pydantic import ValidationError

from layouts.order.order import Item, Order, OrderHead, Position
from layouts.schemes.loader import load_scheme, scheme_keys
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place
from render.read.cleaning import clean_words
from render.read.codes import fault
from render.read.columns import POSITION_COLUMNS, SPEC_COLUMNS, Heading
from render.read.faults import faults_of
from render.read.ordersheet import CHOICES
from render.read.positions import AS_POSITION
from render.read.rowspec import Habits, specify

_SPEC_NAMES = frozenset(column.name for column in SPEC_COLUMNS)
_PLACE_NAMES = frozenset(column.name for column in POSITION_COLUMNS) - {"qty"}


def order_of_row(
    cells: Mapping[str, str], choices: Mapping[str, str], accepted: Mapping[str, str]
) -> tuple[Order, tuple[Finding, ...]]:
    """An order of the one marker that the cells describe, each by its heading in a list.

    ``choices`` are those that an order makes for all its markers: ``scheme``, ``face``, and
    ``color`` and ``cutoff`` for the contents of this one; ``accepted`` gives the reason by the code
    of each finding that is accepted.

    The findings about the cells come with the order. If one of them blocks, the order holds only
    what the other cells ask for: it may be judged further but never printed.

    Raises:
        InputError: nothing can be judged; the error holds every fault, with its heading as the
        field. ValueError: a heading is not one of a list's.
    """
    cells, broken = clean_words(cells)
    if broken:
        raise InputError(broken)
    unknown = cells.keys() - _SPEC_NAMES - _PLACE_NAMES
    if unknown:
        raise ValueError(f"no headings of a list: {', '.join(sorted(unknown))}")
    columns = [column for column in SPEC_COLUMNS if column.name in cells]
    headings = [Heading(at, column, column.unit) for at, column in enumerate(columns)]
    habits = Habits(services=_services(choices.get("scheme", "")))
    row = specify(headings, [cells[column.name] for column in columns], {}, habits)
    findings = [
        fault(each.code, each.what, each.right, Place(field=each.field)) for each in row.findings
    ]
    position = _position(cells, findings)
    head = _head(choices, accepted, cells.get("contents", ""), findings)
    if not row.specs or position is None or head is None:
        raise InputError(findings)
    if len(row.specs) != 1:
        what = f"{cells['tag']!r} is {len(row.specs)} tags"
        raise InputError([fault("bad-tag", what, "give one tag", Place(field="tag"))])
    fields = {key: getattr(head, key) for key in OrderHead.model_fields}
    return Order(**fields, items=(Item(row.specs[0], (position,)),)), tuple(findings)


def _services(key: str) -> Mapping[str, str]:
    """Meanings by code of a built-in scheme; none of a plant's own file."""
    if key and key not in scheme_keys():
        return {}
    scheme = load_scheme(key) if key else load_scheme()
    return {code: service.meaning for code, service in scheme.services.items()}


def _head(
    choices: Mapping[str, str],
    accepted: Mapping[str, str],
    contents: str,
    findings: list[Finding],
) -> OrderHead | None:
    """The order's choices, or None with the faults added to the findings."""
    table: dict[str, object] = {key: choices[key] for key in ("scheme", "face") if key in choices}
    table["accept"] = [{"code": code, "reason": reason} for code, reason in accepted.items()]
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
    """The marker's position, or None with the faults added to the findings."""
    fields = {name: " ".join(text.split()) for name, text in cells.items() if name in _PLACE_NAMES}
    try:
        return AS_POSITION.validate_python(fields)
    except ValidationError as error:
        for path, code, what, right in faults_of(error):
            findings.append(fault(code, what, right, Place(field=str(path[-1]))))
    return None
