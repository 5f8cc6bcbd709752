"""The walk through a plant: every position of an order by area, numbered as a crew meets it.

The number is the position's name: installation packs list it, and markers kept together by area
carry it beside them.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from layouts.marker import Marker, Placing
from layouts.terms.tags import natural_key

NO_AREA = "no area given"


@dataclass(frozen=True, slots=True)
class Stop:
    """One position of an area's walk; numbers start at 1 in each area."""

    number: int
    marker: Marker
    placing: Placing


def walks(markers: Iterable[Marker]) -> Mapping[str, tuple[Stop, ...]]:
    """Every placing of every marker, once, by its area; areas by name, that of none last.

    Within an area in the order of the list, which is that of a walk; else by line and location.
    """
    areas: dict[str, list[tuple[Marker, Placing]]] = defaultdict(list)
    for marker in markers:
        for placing in marker.placings:
            areas[placing.position.area or NO_AREA].append((marker, placing))
    return {
        area: tuple(
            Stop(number, marker, placing)
            for number, (marker, placing) in enumerate(_walked(areas[area]), start=1)
        )
        for area in sorted(areas, key=lambda name: (name == NO_AREA, natural_key(name)))
    }


def _walked(found: list[tuple[Marker, Placing]]) -> list[tuple[Marker, Placing]]:
    """Where each has a row of its own, the row decides; the rest of the key is dear."""
    rows = [placing.position.row or 0 for _, placing in found]
    if 0 not in rows and len(set(rows)) == len(rows):
        return [found[index] for index in sorted(range(len(rows)), key=rows.__getitem__)]
    return sorted(found, key=_key)


def _key(each: tuple[Marker, Placing]) -> tuple[object, ...]:
    marker, placing = each
    position = placing.position
    return (
        position.row is None,
        position.row or 0,
        natural_key(position.line),
        position.at or 0.0,
        natural_key(position.location),
        marker.plan.name,
        marker.plan.hand,
        marker.id,
    )
