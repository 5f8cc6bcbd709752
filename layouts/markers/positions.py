"""Markers by place: each marker at each of its places, with its specification.

``part_of`` goes the other way: from some of them back to an order that makes just these.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import TypeAlias

from layouts.markers.gather import Marker, Placing
from layouts.order.order import Item, Order, PipeMarker, Position, Specification, ValveTag
from layouts.terms.tags import natural_key
from layouts.terms.values import frozen
from layouts.terms.words import Flow, Side

_HANDS = {"right-hand": Flow.RIGHT, "left-hand": Flow.LEFT}


NO_AREA = "no area given"


@frozen
class Hanging:
    """A marker at one of its places; numbered from 1 along the walk of its area, else 0.

    ``pieces`` are the ids of the pieces there, if known.
    """

    marker: Marker
    placing: Placing
    number: int = 0
    pieces: tuple[str, ...] = ()

    @property
    def spec(self) -> Specification:
        """The specification that asks for it."""
        return self.placing.spec

    @property
    def position(self) -> Position:
        """Its place, as the list gives it."""
        return self.placing.position

    @property
    def count(self) -> int:
        """The number of pieces of the marker there."""
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
    """An order under the same head for only the requested pieces; None for none.

    If a line is read from both sides and only one side is requested, the order gives that side by
    its own flow.
    """
    counts: dict[tuple[Specification, Position, int], _ByHand] = defaultdict(_ByHand)
    for each in wanted:
        plan = each.placing.plan
        details = replace(each.position.details, pieces=())
        place = replace(each.position, quantity=1, details=details)
        counts[each.spec, place, plan.per_position].add(plan.hand, each.count, each.pieces)
    items: list[Item] = []
    for (spec, place, each_place), by_hand in counts.items():
        for made, quantity, pieces in _specs_by_hand(spec, each_place, by_hand):
            asked = replace(place, quantity=quantity, details=replace(place.details, pieces=pieces))
            items.append(Item(made, (asked,)))
    return order.model_copy(update={"items": tuple(items), "signs": ()}) if items else None


class _ByHand:
    """How many pieces of each hand a place takes, and their ids."""

    def __init__(self) -> None:
        self.counts: Counter[str] = Counter()
        self._ids: dict[str, list[str]] = defaultdict(list)

    def add(self, hand: str, count: int, ids: Iterable[str]) -> None:
        """Add pieces of a hand, with their ids."""
        self.counts[hand] += count
        self._ids[hand] += ids

    def take(self, hand: str, count: int) -> tuple[str, ...]:
        """The next ids of a hand."""
        taken, self._ids[hand] = self._ids[hand][:count], self._ids[hand][count:]
        return tuple(taken)


_Made: TypeAlias = tuple[Specification, int, tuple[str, ...]]


def _specs_by_hand(spec: Specification, each_place: int, by_hand: _ByHand) -> Sequence[_Made]:
    """Specifications with quantities and ids that give the requested count of each hand.

    ``each_place`` is how many the specification puts at a position.
    """
    counts = by_hand.counts
    if isinstance(spec, PipeMarker) and spec.side is Side.BOTH:
        if "" in counts:
            return _split_pairs(spec, spec.model_copy(update={"side": Side.ONE}), by_hand)
        both = min(counts[hand] for hand in _HANDS)
        shared = tuple(each for hand in _HANDS for each in by_hand.take(hand, both))
        single = (
            (
                spec.model_copy(update={"side": Side.ONE, "flow": flow}),
                counts[hand] - both,
                by_hand.take(hand, counts[hand] - both),
            )
            for hand, flow in _HANDS.items()
        )
        return [each for each in ((spec, both, shared), *single) if each[1]]
    if isinstance(spec, ValveTag) and each_place == 2:
        return _split_pairs(spec, spec.model_copy(update={"sides": 1}), by_hand)
    return [(spec, counts[""], by_hand.take("", counts[""]))]


def _split_pairs(double: Specification, single: Specification, by_hand: _ByHand) -> Sequence[_Made]:
    """Two pieces per position as far as possible, the odd one by itself."""
    pairs, odd = divmod(by_hand.counts[""], 2)
    paired = by_hand.take("", 2 * pairs)
    made = ((double, pairs, paired), (single, odd, by_hand.take("", odd)))
    return [each for each in made if each[1]]


def walks(markers: Iterable[Marker]) -> Mapping[str, tuple[Hanging, ...]]:
    """Every place of every marker, once, by its area; areas by name, places without an area last.

    Within an area in the order of the list, which is that of a walk; else by line and location.
    """
    areas: dict[str, list[tuple[Marker, Placing]]] = defaultdict(list)
    for marker in markers:
        for placing in marker.placings:
            areas[placing.position.area or NO_AREA].append((marker, placing))
    return {
        area: tuple(
            Hanging(marker, placing, number)
            for number, (marker, placing) in enumerate(_sort_walk(areas[area]), start=1)
        )
        for area in sorted(areas, key=lambda name: (name == NO_AREA, natural_key(name)))
    }


def _sort_walk(found: list[tuple[Marker, Placing]]) -> list[tuple[Marker, Placing]]:
    """If each has its own row, the row decides; other keys take longer to make."""
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
