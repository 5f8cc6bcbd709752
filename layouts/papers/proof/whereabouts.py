"""Where the pieces of a marker go, in words."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator

from layouts.markers.gather import Placing
from layouts.terms.counts import counted

_MOST_PLACES = 3


def place_texts(placings: Iterable[Placing]) -> Iterator[str]:
    """Pieces and places, those of one line or room together; the first few of many."""
    pieces = Counter[str]()
    for placing in placings:
        pieces[place_text(placing)] += placing.count
    listed = [*pieces.items()]
    for place, count in listed[:_MOST_PLACES]:
        yield f"{count} x {place}"
    rest = listed[_MOST_PLACES:]
    if rest:
        left = sum(count for _, count in rest)
        yield f"and {counted(len(rest), 'more place')}, {counted(left, 'piece')}"


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
