"""Valves: unique numbers, and emergency valves that can be identified."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator

from layouts.order.order import Item, Position, ValveTag
from layouts.order.position import first_place
from layouts.review.lines import rows_text
from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.words import NormalPosition

EMERGENCY_SOURCE = (
    "IIAR 2-2021 5.14.4 and 13.3.2.8, IIAR 9-2020 7.2.9.3 (trade-body text): emergency shut-off "
    "valves clearly and uniquely identified at the valve and on the schematic"
)
NUMBER_SOURCE = "common practice, no source: a schedule tells valves apart by their number"
# What people write where a valve has no number yet: our own list.
_CLOSED = frozenset(
    {
        NormalPosition.NORMALLY_CLOSED,
        NormalPosition.LOCKED_CLOSED,
        NormalPosition.CAR_SEALED_CLOSED,
    }
)
_NO_NUMBER = frozenset({"", "TBD", "TBA", "NA", "NONE", "UNKNOWN", "X", "XX", "XXX", "NEW", "TAG"})


def valve_numbers(items: Iterable[Item]) -> Iterator[Finding]:
    """A number that two rows of the list give to a valve."""
    places: dict[str, list[tuple[ValveTag, Position]]] = defaultdict(list)
    for item in items:
        spec = item.spec
        if isinstance(spec, ValveTag) and not _has_no_number(spec):
            number = "".join(spec.tag.upper().split())
            places[number] += [(spec, position) for position in item.positions]
    for found in places.values():
        if len(found) < 2:
            continue
        emergency = any(spec.emergency for spec, _ in found)
        rows = sorted((each.source, each.row) for _, each in found if each.row is not None)
        tag = found[0][0].tag.upper()
        where = f" in {_places_text(rows)}" if rows else f" {len(found)} times"
        source, row = rows[1] if len(rows) > 1 else ("", None)
        yield Finding(
            "valve-number-twice",
            Severity.BLOCKING,
            f"the valve number {tag} stands{where}",
            "give each valve its own number; for two tags on one valve write qty or sides",
            EMERGENCY_SOURCE if emergency else NUMBER_SOURCE,
            Place(row=row, field="tag", marker=tag, sheet=source),
        )


def _places_text(rows: Iterable[tuple[str, int]]) -> str:
    """``rows 3 and 9``; with the sheet or file of each where the order has several lists."""
    by_source: dict[str, list[int]] = defaultdict(list)
    for source, row in rows:
        by_source[source].append(row)
    texts = [
        f"{rows_text(found)} of {source}" if source else rows_text(found)
        for source, found in by_source.items()
    ]
    return " and ".join(texts)


def emergency_valves(items: Iterable[Item]) -> Iterator[Finding]:
    """Emergency valves without a number, or without the drawing that shows them."""
    for item in items:
        spec = item.spec
        if not isinstance(spec, ValveTag) or not spec.emergency:
            continue
        if _has_no_number(spec):
            yield Finding(
                "emergency-valve-unnumbered",
                Severity.BLOCKING,
                f"an emergency valve has {spec.tag!r} in place of a number",
                "give it the number that the P&ID shows",
                EMERGENCY_SOURCE,
                _place(item.positions, "tag", spec),
            )
        if spec.normal_position in _CLOSED:
            yield Finding(
                "emergency-valve-closed",
                Severity.WARNING,
                f"the emergency valve {spec.tag.upper()} is {spec.normal_position.phrase}",
                "check whether it is one: an emergency shut-off is a valve to be closed",
                EMERGENCY_SOURCE,
                _place(item.positions, "normal_position", spec),
            )
        lacking = [position for position in item.positions if not position.drawing]
        if lacking:
            yield Finding(
                "emergency-valve-no-drawing",
                Severity.WARNING,
                f"no drawing is named for the emergency valve {spec.tag.upper()}",
                "give the P&ID sheet that shows it in the column 'drawing'",
                EMERGENCY_SOURCE,
                _place(lacking, "drawing", spec),
            )


def _has_no_number(spec: ValveTag) -> bool:
    return re.sub(r"[\W_]+", "", spec.tag.upper()) in _NO_NUMBER


def _place(positions: Iterable[Position], field: str, spec: ValveTag) -> Place:
    return first_place(positions, field, spec.tag.upper())
