"""The order of cuts: inside before outside, with short travel.

A nearest-neighbor walk improved by 2-opt (G. A. Croes, "A method for solving traveling-salesman
problems", Operations Research 6, 1958) and by moves of single places, the least case of Or-opt;
both try new legs only to near places (J. L. Bentley, "Fast algorithms for geometric traveling
salesman problems", ORSA Journal on Computing 4, 1992).
Nothing is random: the same contours give the same order.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from layouts.drawing import IDENTITY, Contour, Point
from layouts.pages.cuts.contour_pieces import Cut, Form, encloses

HOME = Point(0.0, 0.0)
_ROUNDS = 6  # over one list
_NEAR = 8  # places that are tried for a leg
_HAIR = 1e-6  # of the way to the middle
_PAYS = 1e-9  # mm of travel; less is rounding
_CROWD = 2.0  # places in one square of the map that finds them, on average


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
        """Whether most of the other contour lies inside this one, which is closed.

        Its points are taken a hair nearer to its middle, so that a shared edge is inside.
        """
        mine, ring, middle = self.cut.ring, other.cut.ring, other.cut.box.center
        inside = sum(
            encloses(
                mine,
                Point(at.x + _HAIR * (middle.x - at.x), at.y + _HAIR * (middle.y - at.y)),
            )
            for at in ring
        )
        return 2 * inside > len(ring)


def _nest_cuts(cuts: Sequence[Cut]) -> list[_Node]:
    """A forest: each contour below the smallest one around it."""
    by_size = sorted(cuts, key=lambda cut: cut.form.area if cut.form.contour.closed else 0.0)
    nodes = [_Node(cut) for cut in by_size]
    around = _boxed_in(by_size)
    roots: list[_Node] = []
    for node, larger in zip(nodes, around, strict=True):
        parent = next((nodes[n] for n in larger if nodes[n].holds(node)), None)
        (parent.inner if parent else roots).append(node)
    return roots


def _boxed_in(by_size: Sequence[Cut]) -> list[list[int]]:
    """For each contour the larger closed ones whose box is around its own, smallest first.

    A sweep from left to right: boxes that begin further left and are not past.
    """
    sides = [(cut.box.x, cut.box.y, cut.box.right, cut.box.bottom) for cut in by_size]
    around: list[list[int]] = [[] for _ in by_size]
    open_now: list[int] = []
    for n in sorted(range(len(sides)), key=lambda n: (sides[n][0], -sides[n][2], -n)):
        left, top, right, bottom = sides[n]
        open_now = [each for each in open_now if sides[each][2] >= left]
        for each in open_now:
            _, its_top, its_right, its_bottom = sides[each]
            if each > n and its_right >= right and its_top <= top and its_bottom >= bottom:
                around[n].append(each)
        around[n].sort()
        if by_size[n].form.contour.closed:
            open_now.append(n)
    return around


def _walk(nodes: list[_Node], at: Point) -> list[Contour]:
    cuts: list[Contour] = []
    for node in _find_tour(nodes, at):
        if node.inner:
            cuts += _walk(node.inner, leaving(cuts[-1]) if cuts else at)
        cuts.append(node.cut.contour)
    return cuts


def _find_tour(nodes: list[_Node], home: Point) -> list[_Node]:
    """Neighbors by nearest start, then 2-opt; the way back home does not count."""
    if len(nodes) < 2:
        return nodes
    places = [complex(node.cut.start.x, node.cut.start.y) for node in nodes]
    places.append(complex(home.x, home.y))
    near = _near_places(places)
    tour = [len(nodes)]
    left = dict.fromkeys(range(len(nodes)))
    while left:
        at = tour[-1]
        nearest = next((n for n in near[at] if n in left), None)
        if nearest is None:
            here = places[at]
            nearest = min(left, key=lambda n: abs(places[n] - here))
        del left[nearest]
        tour.append(nearest)
    _untangle(tour, places, near)
    return [nodes[n] for n in tour[1:]]


def _near_places(places: Sequence[complex]) -> list[list[int]]:
    """The nearest places of each, nearest first, found on a map of squares.

    The last place is home, to which nothing goes.
    """
    xs, ys = [place.real for place in places], [place.imag for place in places]
    wide, high = max(xs) - min(xs), max(ys) - min(ys)
    side = max(math.sqrt(wide * high / len(places) * _CROWD), (wide + high) / len(places), 1e-6)
    squares = [(int(x // side), int(y // side)) for x, y in zip(xs, ys, strict=True)]
    there: dict[tuple[int, int], list[int]] = {}
    for n, square in enumerate(squares[:-1]):
        there.setdefault(square, []).append(n)
    blocks: dict[tuple[int, int], list[int]] = {}
    near: list[list[int]] = []
    for at, square in enumerate(squares):
        block = blocks.get(square)
        if block is None:
            column, row = square
            block = blocks[square] = [
                n
                for x in (column - 1, column, column + 1)
                for y in (row - 1, row, row + 1)
                for n in there.get((x, y), ())
            ]
        here = places[at]
        ways = sorted([(abs(places[n] - here), n) for n in block if n != at])
        near.append([n for _, n in ways[:_NEAR]])
    return near


def _untangle(tour: list[int], places: Sequence[complex], near: Sequence[Sequence[int]]) -> None:
    """Reverse a stretch of the tour or move one place wherever that shortens it.

    ``tour`` begins at home, which stays where it is.
    """
    ranks = [0] * len(tour)
    for rank, n in enumerate(tour):
        ranks[n] = rank
    for _ in range(_ROUNDS):
        shortened = False
        for n in list(tour):
            while _shorten(n, tour, ranks, places, near[n]) or (
                n != tour[0] and _move_one(n, tour, ranks, places, near[n])
            ):
                shortened = True
        if not shortened:
            return


def _shorten(
    n: int, tour: list[int], ranks: list[int], places: Sequence[complex], near: Sequence[int]
) -> bool:
    """Reverse the first stretch from a place on whose reversal leads to a near place and pays.

    The stretch begins behind the place, where its leg ahead is replaced, or with the place itself.
    """
    at = ranks[n]
    for other in near:
        rank = ranks[other]
        if rank <= at + 1:
            continue
        if _gain(tour, places, at + 1, rank) > _PAYS:
            _reverse(tour, ranks, at + 1, rank)
            return True
        if at and _gain(tour, places, at, rank - 1) > _PAYS:
            _reverse(tour, ranks, at, rank - 1)
            return True
    return False


def _move_one(
    n: int, tour: list[int], ranks: list[int], places: Sequence[complex], near: Sequence[int]
) -> bool:
    """Move a place behind or before the first of its near places where that pays."""
    at, here, end = ranks[n], places[n], len(tour) - 1
    before, after = places[tour[at - 1]], places[tour[at + 1]] if at < end else None
    saved = abs(here - before)
    if after is not None:
        saved += abs(after - here) - abs(after - before)
    for other in near:
        there, rank = places[other], ranks[other]
        way = abs(there - here)
        if way >= saved - _PAYS:
            return False
        for first in (rank - 1, rank):  # the leg that the place is put into
            if first in (at - 1, at):
                continue
            one = places[tour[first]]
            more = abs(here - one)
            if first < end:
                two = places[tour[first + 1]]
                more += abs(two - here) - abs(two - one)
            if saved - more > _PAYS:
                _shift(tour, ranks, at, first if first > at else first + 1)
                return True
    return False


def _shift(tour: list[int], ranks: list[int], at: int, to: int) -> None:
    tour.insert(to, tour.pop(at))
    for rank in range(min(at, to), max(at, to) + 1):
        ranks[tour[rank]] = rank


def _gain(tour: Sequence[int], places: Sequence[complex], first: int, last: int) -> float:
    """How much shorter the tour is with a stretch of it reversed; its end leads nowhere."""
    before, start, end = places[tour[first - 1]], places[tour[first]], places[tour[last]]
    gain = abs(before - start) - abs(before - end)
    if last + 1 < len(tour):
        after = places[tour[last + 1]]
        gain += abs(end - after) - abs(start - after)
    return gain


def _reverse(tour: list[int], ranks: list[int], first: int, last: int) -> None:
    tour[first : last + 1] = tour[first : last + 1][::-1]
    for rank in range(first, last + 1):
        ranks[tour[rank]] = rank
