"""Where the knife enters: in the middle of a straight edge, chosen for short travel."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from layouts.drawing import IDENTITY, Arc, Contour, Line, Point
from layouts.drawing.memo import Kept
from layouts.pages.cuts.contour_pieces import (
    origin_of,
    point_at,
    reversed_contour,
    segment_length,
    started_in,
    with_starts,
)
from layouts.pages.cuts.cut_order import HOME, leaving

_WAYS = 8  # entries weighed for one contour
_SHORT = 0.25  # an edge below this share of the longest one is not an entry


def choose_entries(
    contours: Sequence[Contour], home: Point = HOME, entries: "Entries | None" = None
) -> tuple[Contour, ...]:
    """The contours in the given order, each started where travel altogether is shortest.

    Closed ones start in the middle of a straight edge, or of an arc where none is straight; open
    ones at either end. Straight edges must be whole, as `tidied` leaves them. The choice is the
    best there is for the order and the places weighed (dynamic programming). ``entries`` is what
    sheets with the same contours share.
    """
    entries = entries or Entries()
    steps: list[list[_Step]] = []
    before = [_Step(_Way(home, home), 0.0, 0)]
    for contour in contours:
        before = [_reach(way, before) for way in entries.ways(contour)]
        steps.append(before)
    chosen: list[Contour] = []
    at = min(range(len(before)), key=lambda n: before[n].cost)
    for contour, choice in zip(reversed(contours), reversed(steps), strict=True):
        chosen.append(entries.taken(contour, choice[at].way))
        at = choice[at].came_from
    return tuple(reversed(chosen))


@dataclass(frozen=True, slots=True)
class _Way:
    """One way to cut a contour; ``index`` is the edge entered, None for the start as it is."""

    enter: Point
    leave: Point
    index: int | None = None
    backward: bool = False


@dataclass(frozen=True, slots=True)
class _Step:
    way: _Way
    cost: float  # travel so far
    came_from: int  # the way of the contour before


class Entries:
    """Ways to cut contours, worked out once for all images of one."""

    def __init__(self) -> None:
        self._ways = Kept(_ways)
        self._taken: dict[tuple[int, int | None, bool], Contour] = {}

    def ways(self, contour: Contour) -> list[_Way]:
        """The ways that are weighed for a contour."""
        origin, at = origin_of(contour)
        ways = self._ways.of(origin)
        if at == IDENTITY:
            return ways
        return [
            _Way(at.point(way.enter), at.point(way.leave), way.index, way.backward) for way in ways
        ]

    def taken(self, contour: Contour, way: _Way) -> Contour:
        """The contour cut in one of its ways."""
        origin, at = origin_of(contour)
        # Its ways hold the origin, so that its identity stays its own.
        key = (id(origin), way.index, way.backward)
        known = self._taken.get(key)
        if known is None:
            known = self._taken[key] = _start_at(origin, way)
        return known if at == IDENTITY else known.mapped(at)


def _reach(way: _Way, before: list[_Step]) -> _Step:
    x, y = way.enter.x, way.enter.y
    costs = [step.cost + math.hypot(x - step.way.leave.x, y - step.way.leave.y) for step in before]
    came_from = min(range(len(costs)), key=costs.__getitem__)
    return _Step(way, costs[came_from], came_from)


def _ways(contour: Contour) -> list[_Way]:
    if not contour.closed:
        start, end = contour.start, leaving(contour)
        return [_Way(start, end), _Way(end, start, backward=True)]
    starts = list(with_starts(contour))
    for kind in (Line, Arc):
        edges = {
            n: segment_length(start, segment)
            for n, (start, segment) in enumerate(starts)
            if isinstance(segment, kind)
        }
        if edges:
            floor = _SHORT * max(edges.values())
            good = sorted((n for n in edges if edges[n] >= floor), key=lambda n: (-edges[n], n))
            middles = ((n, point_at(*starts[n], 0.5)) for n in good[:_WAYS])
            return [_Way(middle, middle, n) for n, middle in middles]
    return [_Way(contour.start, contour.start)]


def _start_at(contour: Contour, way: _Way) -> Contour:
    if way.backward:
        return reversed_contour(contour)
    return contour if way.index is None else started_in(contour, way.index, 0.5)
