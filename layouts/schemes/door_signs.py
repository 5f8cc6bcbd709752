"""The heading, colors and size of each kind of sign beside the pipes."""

from __future__ import annotations

from collections.abc import Mapping

from layouts.schemes.rows import Faults, Row, Table
from layouts.terms.errors import InputError
from layouts.terms.values import frozen
from layouts.terms.words import SignKind


@frozen
class SignForm:
    """One kind of sign; lengths mm, inks by their name in the palette.

    ``words`` are used if the plant gives none. ``read_from`` is the distance of its large words,
    ``steps_from`` that of its steps.
    """

    title: str
    heading: str
    words: str
    field: str
    ink: str
    width: float
    height: float
    read_from: float
    steps_from: float
    source: str
    status: str


@frozen
class SignForms:
    """Every kind, and the side of a diamond's quarter in heights of its figures."""

    forms: Mapping[SignKind, SignForm]
    quarter: float
    quarter_source: str


def build_signs(values: Table, origin: str) -> SignForms:
    """The kinds that the tables describe. Raises ``InputError`` with every fault."""
    faults = Faults(origin, "signs")
    top = Row(values, "", faults)
    top.child("sources", needed=False)
    diamond = top.child("diamond")
    quarter, source = diamond.number("quarter_in_figures"), diamond.source()
    diamond.status()
    diamond.close()
    forms = dict(filter(None, map(_form, top.children("signs", "kind"))))
    for kind in SignKind:
        if kind not in forms:
            top.fault("missing", "signs", f"the kind {kind} is missing", "write its table")
    top.close()
    if faults.found:
        raise InputError(faults.found)
    return SignForms(forms, quarter, source)


def _form(row: Row) -> tuple[SignKind, SignForm] | None:
    kind = row.word("kind", SignKind)
    form = SignForm(
        row.text("title"),
        row.text("heading", ""),
        row.text("words", ""),
        row.text("field"),
        row.text("ink"),
        row.length("width"),
        row.length("height"),
        row.length("read_from"),
        row.length("steps_from", 0.0),
        row.source(),
        row.status(),
    )
    row.close()
    return None if kind is None else (kind, form)
