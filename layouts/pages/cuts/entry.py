"""Where the knife enters: in the middle of a straight edge, chosen for short travel."""

from collections.abc import Sequence

from layouts.drawing import IDENTITY, Affine, Arc, Contour, Line, Point
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
from layouts.terms.values import frozen

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
    costs, leaves = [0.0], [complex(home.x, home.y)]
    came_from: list[list[int]] = []  # for each contour and way, the best way of the one before
    for contour in contours:
        enters, exits = entries.ends(contour)
        best: list[int] = []
        reached: list[float] = []
        for enter in enters:
            totals = [cost + abs(enter - leave) for cost, leave in zip(costs, leaves, strict=True)]
            least = min(totals)
            best.append(totals.index(least))
            reached.append(least)
        came_from.append(best)
        costs, leaves = reached, exits
    chosen: list[Contour] = []
    way = costs.index(min(costs))
    for contour, best in zip(reversed(contours), reversed(came_from), strict=True):
        chosen.append(entries.taken(contour, way))
        way = best[way]
    return tuple(reversed(chosen))


@frozen
class _Way:
    """One way to cut a contour; ``index`` is the edge entered, None for the start as it is."""

    enter: Point
    leave: Point
    index: int | None = None
    backward: bool = False


class Entries:
    """Ways to cut contours, worked out once for all images of one."""

    def __init__(self) -> None:
        self._ways = Kept(_ways)
        self._ends: dict[tuple[float, ...], tuple[list[complex], list[complex]]] = {}
        self._taken: dict[tuple[int, int], Contour] = {}

    def ends(self, contour: Contour) -> tuple[list[complex], list[complex]]:
        """Where the knife enters and leaves a contour in each way that is weighed."""
        origin, at = origin_of(contour)
        # Its ways are kept with the origin, so that its identity stays its own.
        ways = self._ways.of(origin)
        key = (id(origin), at.a, at.b, at.c, at.d)
        known = self._ends.get(key)
        if known is None:
            turn = Affine(at.a, at.b, at.c, at.d)
            enters, leaves = (
                [complex(point.x, point.y) for point in map(turn.point, points)]
                for points in ([way.enter for way in ways], [way.leave for way in ways])
            )
            known = self._ends[key] = enters, leaves
        move = complex(at.e, at.f)
        return [each + move for each in known[0]], [each + move for each in known[1]]

    def taken(self, contour: Contour, number: int) -> Contour:
        """The contour cut in one of its ways."""
        origin, at = origin_of(contour)
        key = (id(origin), number)
        known = self._taken.get(key)
        if known is None:
            known = self._taken[key] = _start_at(origin, self._ways.of(origin)[number])
        return known if at == IDENTITY else known.mapped(at)


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
