"""The walk in stretches: shared facts are stated once, and each position has its own box.

A run of one pipe takes the same marker again and again, a line marked on both sides takes two
markers at every entry, and valves of one kind are side by side. The order of the walk is kept:
only neighbors are put together.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from enum import Enum
from itertools import groupby

from layouts.papers.packs.position_entry import Entry, instructions, warnings
from layouts.terms.values import frozen
from layouts.terms.words import Kind


class Shared(Enum):
    """What the positions of a stretch have in common."""

    NOTHING = "one position"
    MARKER = "marker, line and mounting"
    SIDES = "the two markers of both sides, line and mounting"
    FIXING = "mounting: each has its own words on its marker"


@frozen
class Stretch:
    """Neighbors on the walk, at least one; with ``SIDES`` they come in pairs, side by side."""

    shared: Shared
    entries: tuple[Entry, ...]

    @property
    def first(self) -> Entry:
        """The position that represents all in what they share."""
        return self.entries[0]

    @property
    def pairs(self) -> tuple[tuple[Entry, Entry], ...]:
        """The positions two by two, as both sides of a line take them."""
        return tuple(zip(self.entries[::2], self.entries[1::2], strict=True))


def stretches(entries: Iterable[Entry]) -> Iterator[Stretch]:
    """The positions in order, with neighbors that share something grouped."""
    single: list[Stretch] = []
    for _, same in groupby(_pair_sides(tuple(entries)), _group_key):
        places = tuple(same)
        found = tuple(entry for place in places for entry in place)
        if len(found) == 1:
            single.append(Stretch(Shared.NOTHING, found))
            continue
        yield from _by_fixing(single)
        single = []
        yield Stretch(Shared.SIDES if len(places[0]) > 1 else Shared.MARKER, found)
    yield from _by_fixing(single)


def _pair_sides(entries: Sequence[Entry]) -> Iterator[tuple[Entry, ...]]:
    """Each position by itself, except that the two sides of one place stay together."""
    index = 0
    while index < len(entries):
        size = 2 if index + 1 < len(entries) and _is_pair(*entries[index : index + 2]) else 1
        yield tuple(entries[index : index + size])
        index += size


def _is_pair(one: Entry, other: Entry) -> bool:
    """Whether they are the near and the far side of one place."""
    same = one.placing.position == other.placing.position and one.spec is other.spec
    return same and bool(one.side) and {one.side, other.side} == {"near side", "far side"}


def _group_key(entries: tuple[Entry, ...]) -> tuple[object, ...]:
    return tuple(map(_marker_key, entries))


def _by_fixing(single: list[Stretch]) -> Iterator[Stretch]:
    """Group equipment and valves that are mounted the same way; leave others as they are."""
    for key, same in groupby(single, _fixing_key):
        found = list(same)
        if key and len(found) > 1:
            yield Stretch(Shared.FIXING, tuple(each.first for each in found))
        else:
            yield from found


def _marker_key(entry: Entry) -> tuple[object, ...]:
    """Equal where picture and all common words are; plans and specifications are shared."""
    position, placing = entry.placing.position, entry.placing
    return (
        *(entry.marker.id, id(placing.plan), id(placing.spec)),
        *(position.line, position.drawing, position.from_, position.to),
        *(position.height, position.distance),
    )


def _fixing_key(stretch: Stretch) -> tuple[object, ...]:
    entry = stretch.first
    if entry.marker.plan.kind is Kind.PIPE:
        return ()
    return (
        *(entry.marker.plan.kind, entry.method, entry.line, entry.ends),
        *(*warnings(entry), *instructions(entry, 0)),
    )
