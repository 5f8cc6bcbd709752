"""Machines that a list names as an end of a line or beside a valve, and that have no marker."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from layouts.order.order import EquipmentMarker, Item, ValveTag
from layouts.terms.findings import Finding, Place, Severity

MACHINE_SOURCE = (
    "common practice, no source: vessels and machines are marked as the lines that end at them are"
)
# HSC-1, HSC-1/2 and FEU-1..4; HSD-8-103 is a line.
_NAMED = re.compile(r"(?<![\w-])([A-Z]{1,6}-?)(\d{1,4})((?:/\d{1,4})*|\s*\.\.\s*\d{1,4})(?![\w-])")
_MOST_IN_A_RANGE = 100
_FIELDS = ("from", "to", "function")


def unmarked_machines(items: Sequence[Item]) -> Iterator[Finding]:
    """Machines of a kind that the order marks (``HSC-``), each named and without a marker.

    An order for part of a plant says nothing about the rest.
    """
    if any(position.pieces for item in items for position in item.positions):
        return
    marked = {
        "".join(item.spec.tag.upper().split())
        for item in items
        if isinstance(item.spec, EquipmentMarker)
    }
    kinds = {tag.rstrip("0123456789") for tag in marked if tag[-1:].isdecimal()}
    if not kinds:
        return
    lacking = {text: found for text in _texts(items) if (found := _lacking(text, kinds, marked))}
    rows = _rows(items, lacking) if lacking else {}
    for tag, places in rows.items():
        (row, field), *others = sorted(places, key=lambda place: (place[0] or 0, place[1]))
        more = len({other for other, _ in others} - {row})
        yield Finding(
            "equipment-unmarked",
            Severity.WARNING,
            f"{tag} is named, and the order has no marker for it",
            "add a row of kind equipment for it, or correct the name",
            MACHINE_SOURCE,
            Place(row=row, field=field, marker=tag, more=more),
        )


def _texts(items: Sequence[Item]) -> set[str]:
    """Every text that may name a machine, once."""
    texts = {item.spec.function for item in items if isinstance(item.spec, ValveTag)}
    for item in items:
        texts.update(position.from_ for position in item.positions)
        texts.update(position.to for position in item.positions)
    return texts


def _lacking(text: str, kinds: set[str], marked: set[str]) -> tuple[str, ...]:
    """The machines of those kinds that a text names and nothing marks."""
    found: dict[str, None] = {}
    for prefix, first, rest in _NAMED.findall(text.upper()):
        if prefix in kinds:
            found |= dict.fromkeys(f"{prefix}{number}" for number in _numbers(first, rest))
    return tuple(tag for tag in found if tag not in marked)


def _numbers(first: str, rest: str) -> list[str]:
    """``1`` and ``/2`` are 1 and 2, ``1`` and ``..4`` are 1 to 4."""
    if ".." not in rest:
        return [first, *filter(None, rest.split("/"))]
    last = int(rest.strip(" ."))
    return [str(n) for n in range(int(first), min(last, int(first) + _MOST_IN_A_RANGE) + 1)]


def _rows(
    items: Sequence[Item], lacking: dict[str, tuple[str, ...]]
) -> dict[str, set[tuple[int | None, str]]]:
    """Rows and fields by the machine that they name."""
    found: dict[str, set[tuple[int | None, str]]] = {}
    for item in items:
        function = item.spec.function if isinstance(item.spec, ValveTag) else ""
        for position in item.positions:
            texts = (position.from_, position.to, function)
            for field, text in zip(_FIELDS, texts, strict=True):
                for tag in lacking.get(text, ()):
                    found.setdefault(tag, set()).add((position.row, field))
    return found
