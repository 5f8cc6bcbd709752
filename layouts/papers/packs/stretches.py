"""The walk in stretches: what neighbors on it share is said once, and each is ticked by itself.

A run of one pipe takes the same marker again and again, and valves of one kind hang side by
side. The order of the walk is kept: only neighbors are put together.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import Enum
from itertools import groupby

from layouts.papers.packs.spot import Spot, instructions, warnings
from layouts.terms.words import Kind


class Shared(Enum):
    """What the positions of a stretch have in common."""

    NOTHING = "one position"
    MARKER = "marker, line and way of fixing"
    FIXING = "way of fixing: each has words of its own on its marker"


@dataclass(frozen=True, slots=True)
class Stretch:
    """Neighbors on the walk, at least one."""

    shared: Shared
    spots: tuple[Spot, ...]

    @property
    def first(self) -> Spot:
        """The position that speaks for all in what they share."""
        return self.spots[0]


def stretches(spots: Iterable[Spot]) -> Iterator[Stretch]:
    """The positions in their order, neighbors that share something together."""
    alone: list[Stretch] = []
    for _, same in groupby(spots, _marker_key):
        found = tuple(same)
        if len(found) > 1:
            yield from _by_fixing(alone)
            alone = []
            yield Stretch(Shared.MARKER, found)
        else:
            alone.append(Stretch(Shared.NOTHING, found))
    yield from _by_fixing(alone)


def _by_fixing(alone: list[Stretch]) -> Iterator[Stretch]:
    """Machines and valves that are put up in the same way, together; others as they are."""
    for key, same in groupby(alone, _fixing_key):
        found = list(same)
        if key and len(found) > 1:
            yield Stretch(Shared.FIXING, tuple(each.first for each in found))
        else:
            yield from found


def _marker_key(spot: Spot) -> tuple[object, ...]:
    """Equal where picture and all common words are; plans and specifications are shared."""
    position, placing = spot.placing.position, spot.placing
    return (
        *(spot.marker.id, id(placing.plan), id(placing.spec)),
        *(position.line, position.drawing, position.from_, position.to),
        *(position.height, position.distance),
    )


def _fixing_key(stretch: Stretch) -> tuple[object, ...]:
    spot = stretch.first
    if spot.marker.plan.kind is Kind.PIPE:
        return ()
    return (
        *(spot.marker.plan.kind, spot.method, spot.line, spot.ends),
        *(*warnings(spot), *instructions(spot, 0)),
    )
