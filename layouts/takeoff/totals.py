"""How many markers an order comes to: by line, area, size and build."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from layouts.markers.gather import Marker, Placing
from layouts.terms.units import inches


@dataclass(frozen=True, slots=True)
class Totals:
    """Markers counted four ways, each in the order of its names; every way adds up to ``all``.

    A marker without a line or an area is counted under an empty name.
    """

    all: int
    by_line: tuple[tuple[str, int], ...]
    by_area: tuple[tuple[str, int], ...]
    by_size: tuple[tuple[str, int], ...]
    by_build: tuple[tuple[str, int], ...]


def totals(markers: Iterable[Marker]) -> Totals:
    """Count every marker of an order."""
    listed = list(markers)
    return Totals(
        sum(marker.quantity for marker in listed),
        _counted(listed, lambda _, placing: placing.position.line),
        _counted(listed, lambda _, placing: placing.position.area),
        _counted(listed, lambda marker, _: _size(marker)),
        _counted(listed, lambda _, placing: _build(placing)),
    )


def _counted(
    markers: Iterable[Marker], name: Callable[[Marker, Placing], str]
) -> tuple[tuple[str, int], ...]:
    counts: Counter[str] = Counter()
    for marker in markers:
        for placing in marker.placings:
            counts[name(marker, placing)] += placing.count
    return tuple(sorted(counts.items()))


def _size(marker: Marker) -> str:
    measures = marker.face.measures
    letters = inches(measures.letter_height)
    return f"{marker.plan.kind}, letters {letters}, {inches(measures.height)} high"


def _build(placing: Placing) -> str:
    build = placing.plan.build
    return f"{build.mount}: {build.film_text}"
