"""Two revisions of a list, matched place by place: what to add, replace, remove and leave.

The rule, from sure to less sure; pieces are matched one by one, and each is matched once:

1. Same thing at the same place. The thing is the line of a pipe or the number of equipment and
   valves (its name where it has none); the place is area, location, from and to. An equal
   marker is unchanged, another one replaces it. How far along a run a marker hangs pairs the
   nearest first and decides nothing else.
2. Same number of a valve or a machine elsewhere: its marker hangs on it, so only the description of
the place changed.
3. Same line, and a place that does not contradict: an empty field in one list agrees with anything.
Places that are both named and differ are different places.
4. Same place by its names, and a line that one of the lists leaves empty.

What is left of the old list is removed and what is left of the new one is added. If the same marker
is both removed and added, each refers to the other, since a place may only have been renamed. They
remain a removal and an addition, because one marker too many is a smaller fault than one too few.
Rows, drawings and notes decide nothing.
"""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import TypeAlias

from layouts.markers.fingerprint import fingerprint
from layouts.markers.gather import build_key
from layouts.markers.positions import Hanging
from layouts.order.order import EquipmentMarker, PipeMarker, ValveTag
from layouts.terms.values import frozen
from layouts.terms.words import Kind

_NEAR = 1000.0  # mm along a run; closer than any two markers of a rule

Look: TypeAlias = tuple[str, ...]


class Action(StrEnum):
    """What is done at a place."""

    REPLACE = "replace"
    ADD = "add"
    REMOVE = "remove"
    UNCHANGED = "unchanged"


@frozen
class Change:
    """``count`` pieces at one place: existing and new marker.

    ``twin`` is where the same marker is added for a removal, or removed for an addition.
    """

    action: Action
    count: int
    old: Hanging | None
    new: Hanging | None
    twin: Hanging | None = None

    @property
    def at(self) -> Hanging:
        """The place by its newest description."""
        found = self.new or self.old
        assert found is not None
        return found


class Looks:
    """Key of markers that are the same work: drawn, cut and built alike."""

    def __init__(self) -> None:
        self._known: dict[str, Look] = {}

    def of(self, hanging: Hanging) -> Look:
        """The look of the installed piece."""
        marker = hanging.marker
        look = self._known.get(marker.id)
        if look is None:
            look = (fingerprint(marker.face), *build_key(marker.plan.build))
            self._known[marker.id] = look
        return look


def match(old: Iterable[Hanging], new: Iterable[Hanging]) -> tuple[Change, ...]:
    """Every piece of both lists in exactly one change, whatever the order of their rows."""
    looks = Looks()
    before, after = _open_places(old, looks), _open_places(new, looks)
    changes: list[Change] = []
    for key, compatible in _PASSES:
        changes += _pair_places(before, after, key, compatible)
    twins = _twins(before, after)
    return tuple(sorted((*changes, *twins), key=_rank))


@dataclass(slots=True)
class _Open:
    """A place with pieces not yet matched."""

    hanging: Hanging
    left: int
    thing: str
    place: tuple[str, str, str, str]
    at: float | None
    look: Look

    @property
    def kind(self) -> Kind:
        return self.hanging.marker.plan.kind

    @property
    def name(self) -> str:
        return _fold_case(self.hanging.marker.plan.name)

    @property
    def hand(self) -> str:
        return self.hanging.placing.plan.hand

    @property
    def is_named(self) -> bool:
        """Whether more than an area says where it is."""
        return any(self.place[1:])


_Key: TypeAlias = Callable[[_Open], Hashable | None]
_Compatible: TypeAlias = Callable[[_Open, _Open], bool]


def _open_places(listed: Iterable[Hanging], looks: Looks) -> list[_Open]:
    opened = []
    for each in listed:
        position = each.placing.position
        place = (position.area, position.location, position.from_, position.to)
        area, location, start, end = map(_fold_case, place)
        places = (area, location, start, end)
        opened.append(_Open(each, each.count, _thing(each), places, position.at, looks.of(each)))
    return sorted(opened, key=_open_rank)


def _open_rank(each: _Open) -> tuple[object, ...]:
    position = each.hanging.placing.position
    last = (position.drawing, position.note, each.left)
    return each.kind, each.thing, each.place, each.at or 0.0, each.name, each.hand, each.look, last


def _thing(hanging: Hanging) -> str:
    spec = hanging.spec
    match spec:
        case PipeMarker():
            return _fold_case(hanging.placing.position.line)
        case ValveTag():
            return _fold_case(spec.tag)
        case EquipmentMarker():
            return _fold_case(spec.tag or spec.name)


def _fold_case(text: str) -> str:
    return " ".join(text.casefold().split())


def _pair_places(
    before: Sequence[_Open], after: Sequence[_Open], key: _Key, compatible: _Compatible
) -> Iterable[Change]:
    """Match what has the same key, in the order of the lists."""
    heaps: dict[Hashable, deque[_Open]] = defaultdict(deque)
    for one in before:
        if one.left and (found := key(one)) is not None:
            heaps[found].append(one)
    for other in after:
        if not other.left or (found := key(other)) is None:
            continue
        heap = heaps.get(found, deque[_Open]())
        while heap and not heap[0].left:
            heap.popleft()
        for one in heap:
            if not other.left:
                break
            count = min(one.left, other.left)
            if count and compatible(one, other):
                one.left -= count
                other.left -= count
                action = Action.UNCHANGED if one.look == other.look else Action.REPLACE
                yield Change(action, count, one.hanging, other.hanging)


def _agree(one: str, other: str) -> bool:
    return one == other or not one or not other


def _places_agree(one: _Open, other: _Open) -> bool:
    return all(map(_agree, one.place, other.place))


def _things_agree(one: _Open, other: _Open) -> bool:
    return _agree(one.thing, other.thing)


def _near(one: _Open, other: _Open) -> bool:
    """Whether both are at the same distance along a run, or neither is on one."""
    if one.at is None or other.at is None:
        return one.at is other.at
    return abs(one.at - other.at) <= _NEAR


def _always(_: _Open, __: _Open) -> bool:
    return True


def _known_place(each: _Open) -> Hashable | None:
    """Thing and place, where they say more than an area."""
    return (each.kind, each.thing, each.place) if each.thing or each.is_named else None


def _known_thing(each: _Open) -> Hashable | None:
    return (each.kind, each.thing) if each.thing else None


def _number_of(each: _Open) -> Hashable | None:
    """Equipment and valves with a number, which is unique in the plant."""
    spec = each.hanging.spec
    return None if isinstance(spec, PipeMarker) or not spec.tag else (each.kind, each.thing)


def _named_place(each: _Open) -> Hashable | None:
    return (each.kind, each.place) if each.kind is Kind.PIPE and each.is_named else None


def _also(key: _Key, more: Callable[[_Open], Hashable]) -> _Key:
    """The key with something more that must be equal."""

    def joined(each: _Open) -> Hashable | None:
        found = key(each)
        return None if found is None else (found, more(each))

    return joined


_PASSES: tuple[tuple[_Key, _Compatible], ...] = (
    # 1: same thing, same place; an equal marker first, then one of the same name and hand
    (lambda each: (each.kind, each.thing, each.place, each.look, each.hand), _near),
    (lambda each: (each.kind, each.thing, each.place, each.look, each.hand), _always),
    (lambda each: (each.kind, each.thing, each.place, each.look), _always),
    (lambda each: (each.kind, each.thing, each.place, each.name, each.hand), _near),
    (lambda each: (each.kind, each.thing, each.place, each.name, each.hand), _always),
    (lambda each: (each.kind, each.thing, each.place, each.name), _always),
    (_known_place, _always),
    # 2: valves and equipment by their number
    (_also(_number_of, lambda each: each.look), _always),
    (_number_of, _always),
    # 3: the same line at a place that does not contradict
    (_also(_known_thing, lambda each: (each.look, each.hand)), _places_agree),
    (_also(_known_thing, lambda each: each.look), _places_agree),
    (_also(_known_thing, lambda each: (each.name, each.hand)), _places_agree),
    (_known_thing, _places_agree),
    # 4: the same place, the line left empty in one list
    (_also(_named_place, lambda each: each.look), _things_agree),
    (_also(_named_place, lambda each: each.name), _things_agree),
)


def _twins(before: Sequence[_Open], after: Sequence[_Open]) -> Iterable[Change]:
    """Removals and additions; an equal marker of the same line or area is named with them."""
    keys: tuple[_Key, ...] = (
        lambda each: (each.kind, each.look, each.thing) if each.thing else None,
        lambda each: (each.kind, each.look, each.place[0]),
    )
    for key in keys:
        for pair in _pair_places(before, after, key, _always):
            yield Change(Action.REMOVE, pair.count, pair.old, None, pair.new)
            yield Change(Action.ADD, pair.count, None, pair.new, pair.old)
    for one in before:
        if one.left:
            yield Change(Action.REMOVE, one.left, one.hanging, None)
    for other in after:
        if other.left:
            yield Change(Action.ADD, other.left, None, other.hanging)


def _rank(change: Change) -> tuple[object, ...]:
    """Actions in the order of the work, then as one walks."""
    at = change.at
    position = at.placing.position
    return (
        list(Action).index(change.action),
        position.area,
        at.marker.plan.kind,
        position.line,
        position.location,
        position.from_,
        position.to,
        position.at or 0.0,
        at.marker.plan.name,
        at.placing.plan.hand,
        at.marker.id,
        change.old.marker.id if change.old else "",
        change.count,
    )
