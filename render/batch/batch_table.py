"""What a batch came to: a row for each order, as CSV and for the terminal."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import astuple
from pathlib import Path

from layouts.terms.counts import counted
from render.batch.one_order import Outcome, State
from render.batch.orders_found import GANG, TABLE
from render.write.tables import csv_file

COLUMNS = (
    *("order", "file", "state", "errors", "blocked", "accepted", "warnings", "notes"),
    *("markers", "distinct", "sheets", "film_m2", "film_m", "remark"),
)
_SHOWN = ("order", "state", "findings", "markers", "distinct", "sheets", "film m2", "m")
_WHOLE = (State.MADE, State.KEPT)
_MOST_FAULTS = 3  # of an order that the terminal shows


def batch_csv(outcomes: Iterable[Outcome]) -> bytes:
    """One row for each order and one for a gang, with the first fault or a remark."""
    rows = (
        (each.name, each.path.name, str(each.state), *astuple(each.counts), _first_fault(each))
        for each in outcomes
    )
    return csv_file((COLUMNS, *rows))


def is_batch_table(data: bytes) -> bool:
    """Whether a file is such a table."""
    return data.startswith(",".join(COLUMNS).encode())


def _first_fault(outcome: Outcome) -> str:
    return next(iter(fault_texts(outcome)), "")


def fault_texts(outcome: Outcome) -> list[str]:
    """Why an order was not made, a sentence for each fault."""
    found = [each.sentence() for each in outcome.faults]
    return [outcome.remark] if outcome.remark else found


def batch_lines(folder: Path, outcomes: Sequence[Outcome]) -> list[str]:
    """The table, the totals and what to do next."""
    orders = [each for each in outcomes if each.name != GANG]
    states = Counter(each.state for each in orders)
    made = [each.counts for each in outcomes if each.state in _WHOLE]
    told = ", ".join(f"{states[state]} {state}" for state in State if states[state])
    markers = sum(each.markers for each in made)
    area, length = sum(each.film_m2 for each in made), sum(each.film_m for each in made)
    remarked = [each for each in outcomes if each.remark and each.state in _WHOLE]
    lines = [
        *table_lines(outcomes),
        *(f"{each.name}: {each.remark}" for each in remarked),
        f"{counted(len(orders), 'order')}: {told}; {counted(markers, 'marker')}",
        f"{folder / TABLE} written",
    ]
    if area:
        lines.insert(-1, f"film: {area:.1f} m2, {length:.1f} m")
    if made:
        lines.append(f"next: read the proof.pdf in each folder of {folder} before you print")
    return lines


def table_lines(outcomes: Sequence[Outcome]) -> list[str]:
    """The orders in aligned columns."""
    cells = [_SHOWN, *(_shown_row(each) for each in outcomes)]
    widths = [max(len(row[column]) for row in cells) for column in range(len(_SHOWN))]
    right = frozenset(_SHOWN[3:])
    return [
        "  ".join(
            cell.rjust(width) if name in right else cell.ljust(width)
            for name, cell, width in zip(_SHOWN, row, widths, strict=True)
        ).rstrip()
        for row in cells
    ]


def _shown_row(outcome: Outcome) -> tuple[str, ...]:
    counts = outcome.counts
    weights = (
        (counts.errors, "error"),
        (counts.blocked, "blocked"),
        (counts.accepted, "accepted"),
        (counts.warnings, "warning"),
        (counts.notes, "note"),
    )
    found = ", ".join(
        f"{count} {word}" if word in ("blocked", "accepted") else counted(count, word)
        for count, word in weights
        if count
    )
    if outcome.state not in _WHOLE:
        return outcome.name, str(outcome.state), found or "–", *"–" * (len(_SHOWN) - 3)
    return (
        outcome.name,
        str(outcome.state),
        found or "none",
        *(str(count or "–") for count in (counts.markers, counts.distinct, counts.sheets)),
        *(f"{amount:.1f}" if amount else "–" for amount in (counts.film_m2, counts.film_m)),
    )


def fault_lines(outcomes: Iterable[Outcome]) -> Iterator[str]:
    """Every order that was not made, with its first faults."""
    for outcome in outcomes:
        texts = fault_texts(outcome) if outcome.state not in _WHOLE else []
        for text in texts[:_MOST_FAULTS]:
            yield f"{outcome.name} {outcome.state}: {text}"
        more = len(texts) - _MOST_FAULTS
        if more > 0:
            yield f"{outcome.name}: and {more} more; pipelegend check {outcome.path}"
