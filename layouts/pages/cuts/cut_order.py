"""The order of cuts: inside before outside, with short travel.

A nearest-neighbor walk improved by 2-opt (G. A. Croes, "A method for solving traveling-salesman
problems", Operations Research 6, 1958). Nothing is random: the same contours give the same order.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from layouts.drawing import IDENTITY, Contour, Point
from layouts.pages.cuts.contour_pieces import Cut, Form, encloses

HOME = Point(0.0, 0.0)
_ROUNDS = 6  # of 2-opt over one list
_WINDOW = 120  # how far apart in a list 2-opt looks


def order_cuts(contours: Sequence[Contour], home: Point = HOME) -> tuple[Contour, ...]:
    """The contours in cutting order from ``home``: each right after all that lie inside it."""
    return ordered_cuts([Cut.of(Form.of(each), IDENTITY) for each in contours], home)


def ordered_cuts(cuts: Sequence[Cut], home: Point) -> tuple[Contour, ...]:
    """The same for contours of which box and ring are known."""
    return tuple(_walk(_nest_cuts(cuts), home))


def travel(contours: Iterable[Contour], home: Point = HOME) -> float:
    """The travel with the knife up, in mm, from ``home`` to the start of the last cut."""
    total, at = 0.0, home
    for contour in contours:
        total += at.distance(contour.start)
        at = leaving(contour)
    return total


def leaving(contour: Contour) -> Point:
    """Where the knife is when the contour is cut."""
    open_end = not contour.closed and contour.segments
    return contour.segments[-1].end if open_end else contour.start


@dataclass(slots=True)
class _Node:
    cut: Cut
    inner: list["_Node"] = field(default_factory=list)

    def holds(self, other: "_Node") -> bool:
        """Whether most of the other contour lies inside this one."""
        mine, its = self.cut.box, other.cut.box
        if its.x < mine.x or its.y < mine.y or not mine.contains(its):
            return False
        if not self.cut.form.contour.closed:
            return False
        mine_ring, ring = self.cut.ring, other.cut.ring
        return 2 * sum(encloses(mine_ring, point) for point in ring) > len(ring)


def _nest_cuts(cuts: Sequence[Cut]) -> list[_Node]:
    """A forest: each contour below the smallest one around it."""
    by_size = sorted(cuts, key=lambda cut: cut.form.area if cut.form.contour.closed else 0.0)
    nodes = [_Node(cut) for cut in by_size]
    roots: list[_Node] = []
    for place, node in enumerate(nodes):
        larger = (nodes[n] for n in range(place + 1, len(nodes)))
        parent = next((each for each in larger if each.holds(node)), None)
        (parent.inner if parent else roots).append(node)
    return roots


def _walk(nodes: list[_Node], at: Point) -> list[Contour]:
    cuts: list[Contour] = []
    for node in _find_tour(nodes, at):
        if node.inner:
            cuts += _walk(node.inner, leaving(cuts[-1]) if cuts else at)
        cuts.append(node.cut.contour)
    return cuts


def _find_tour(nodes: list[_Node], home: Point) -> list[_Node]:
    """Neighbors by nearest start, then 2-opt; the way back home does not count."""
    places = [(node.cut.start.x, node.cut.start.y) for node in nodes]
    left = dict(enumerate(places))
    tour: list[int] = []
    at = (home.x, home.y)
    while left:
        # Of equally near ones the first: their numbers rise.
        nearest = min(left, key=lambda n: math.dist(at, left[n]))
        tour.append(nearest)
        at = left.pop(nearest)
    _untangle(tour, [complex(x, y) for x, y in places], complex(home.x, home.y))
    return [nodes[n] for n in tour]


def _untangle(tour: list[int], places: list[complex], home: complex) -> None:
    """2-opt in place: reverse a stretch of the tour wherever that shortens it."""
    for _ in range(_ROUNDS):
        shortened = False
        for i in range(len(tour) - 1):
            before = places[tour[i - 1]] if i else home
            for j in range(i + 1, min(len(tour), i + _WINDOW)):
                first, last = places[tour[i]], places[tour[j]]
                gain = abs(before - first) - abs(before - last)
                if j + 1 < len(tour):
                    after = places[tour[j + 1]]
                    gain += abs(last - after) - abs(first - after)
                if gain > 1e-9:
                    tour[i : j + 1] = tour[i : j + 1][::-1]
                    shortened = True
        if not shortened:
            return
