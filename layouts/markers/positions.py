"""What hangs where: each marker at each of its places, with the specification that asks for it.

``part_of`` goes the other way: from some of them back to an order that makes just these.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from layouts.markers.gather import Marker, Placing
from layouts.order.order import Item, Order, PipeMarker, Position, Specification, ValveTag
from layouts.terms.tags import natural_key
from layouts.terms.words import Flow, Side

_HANDS = {"right-hand": Flow.RIGHT, "left-hand": Flow.LEFT}


NO_AREA = "no area given"


@dataclass(frozen=True, slots=True)
class Hanging:
    """A marker at one of its places; numbered from 1 along the walk of its area, else 0."""

    marker: Marker
    placing: Placing
    number: int = 0

    @property
    def spec(self) -> Specification:
        """The specification that asks for it."""
        return self.placing.spec

    @property
    def position(self) -> Position:
        """Where it hangs, as the list says."""
        return self.placing.position

    @property
    def count(self) -> int:
        """How many of the marker hang there."""
        return self.placing.count

    @property
    def area(self) -> str:
        """The area of its pack."""
        return self.placing.position.area or NO_AREA

    def counted(self, count: int) -> Hanging:
        """The same with another count."""
        return replace(self, placing=replace(self.placing, count=count))


def hangings(markers: Iterable[Marker]) -> tuple[Hanging, ...]:
    """Every place of every marker."""
    return tuple(Hanging(marker, placing) for marker in markers for placing in marker.placings)


def part_of(order: Order, wanted: Iterable[Hanging]) -> Order | None:
    """An order under the same head that makes the wanted pieces and no other; None for none.

    Where a line is read from both sides and one side alone is wanted, that side is asked for
    by its own flow.
    """
    counts: dict[tuple[Specification, Position], Counter[str]] = defaultdict(Counter)
    for each in wanted:
        key = (each.spec, replace(each.position, quantity=1))
        counts[key][each.placing.plan.hand] += each.count
    items: list[Item] = []
    for (spec, place), by_hand in counts.items():
        for made, quantity in _made(spec, by_hand):
            items.append(Item(made, (replace(place, quantity=quantity),)))
    return order.model_copy(update={"items": tuple(items)}) if items else None


def _made(spec: Specification, by_hand: Counter[str]) -> Sequence[tuple[Specification, int]]:
    """Specifications with quantities that give so many pieces of each hand."""
    if isinstance(spec, PipeMarker) and spec.side is Side.BOTH:
        if "" in by_hand:
            return _halved(spec, spec.model_copy(update={"side": Side.ONE}), by_hand[""])
        both = min(by_hand[hand] for hand in _HANDS)
        single = (
            (spec.model_copy(update={"side": Side.ONE, "flow": flow}), by_hand[hand] - both)
            for hand, flow in _HANDS.items()
        )
        return [each for each in ((spec, both), *single) if each[1]]
    if isinstance(spec, ValveTag) and spec.sides == 2:
        return _halved(spec, spec.model_copy(update={"sides": 1}), by_hand[""])
    return [(spec, by_hand[""])]


def _halved(
    double: Specification, single: Specification, pieces: int
) -> Sequence[tuple[Specification, int]]:
    """Two pieces a position as long as that goes, the odd one by itself."""
    pairs, odd = divmod(pieces, 2)
    return [each for each in ((double, pairs), (single, odd)) if each[1]]


def walks(markers: Iterable[Marker]) -> Mapping[str, tuple[Hanging, ...]]:
    """Every place of every marker, once, by its area; areas by name, that of none last.

    Within an area in the order of the list, which is that of a walk; else by line and location.
    """
    areas: dict[str, list[tuple[Marker, Placing]]] = defaultdict(list)
    for marker in markers:
        for placing in marker.placings:
            areas[placing.position.area or NO_AREA].append((marker, placing))
    return {
        area: tuple(
            Hanging(marker, placing, number)
            for number, (marker, placing) in enumerate(_walked(areas[area]), start=1)
        )
        for area in sorted(areas, key=lambda name: (name == NO_AREA, natural_key(name)))
    }


def _walked(found: list[tuple[Marker, Placing]]) -> list[tuple[Marker, Placing]]:
    """Where each has a row of its own, the row decides; other keys take longer to make."""
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
