"""Where the pieces of a marker go, in words."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from layouts.markers.gather import Placing
from layouts.terms.counts import counted

_MOST_PLACES = 3


def place_texts(placings: Sequence[Placing]) -> Iterator[str]:
    """Pieces and places, those of one line or room together; the first few of many."""
    listed = _by_place(placings)
    for placing, count in listed[:_MOST_PLACES]:
        yield f"{count} x {place_text(placing)}"
    rest = listed[_MOST_PLACES:]
    if rest:
        left = sum(count for _, count in rest)
        yield f"and {counted(len(rest), 'more place')}, {counted(left, 'piece')}"


def _by_place(placings: Sequence[Placing]) -> list[tuple[Placing, int]]:
    """The first piece at each place, and how many go there."""
    rows = {placing.position.row for placing in placings}
    if None not in rows and len(rows) == len(placings):
        # Each has its row, which its text names, so no two texts are equal.
        return [(placing, placing.count) for placing in placings]
    first: dict[str, Placing] = {}
    pieces = Counter[str]()
    for placing in placings:
        text = place_text(placing)
        first.setdefault(text, placing)
        pieces[text] += placing.count
    return [(first[text], count) for text, count in pieces.items()]


def place_text(placing: Placing) -> str:
    """Area, line, location and the rest of a place, as ``Dock, line HPL-1, row 4``."""
    position = placing.position
    way = " to ".join(part for part in (position.from_, position.to) if part)
    if position.to and not position.from_:
        way = f"to {position.to}"
    elif position.from_ and not position.to:
        way = f"from {position.from_}"
    parts = (
        position.area,
        f"line {position.line}" if position.line else "",
        position.location,
        way,
        f"drawing {position.drawing}" if position.drawing else "",
        f"row {position.row}" if position.row is not None else "",
    )
    return ", ".join(part for part in parts if part) or "no place given"
