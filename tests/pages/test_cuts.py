"""The knife's way: clean contours, their order and entries. What cannot be read from a standard is
compared with exhaustive search; limits are common practice, no source."""

import itertools
import math
import random
from collections.abc import Iterator

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layouts.drawing import (
    Affine,
    Contour,
    Cubic,
    Line,
    Point,
    polyline,
)
from layouts.pages.cuts import choose_entries, order_cuts, prepare_cuts, tidy_contours, travel
from layouts.pages.cuts.contour_pieces import (
    area,
    distance_to,
    outline,
    reversed_contour,
    started_in,
)
from tests.helpers.forms import box, corners, hole


def is_inside(inner: Contour, outer: Contour) -> bool:
    a, b = inner.bounds(), outer.bounds()
    return a != b and b.contains(a)


# -- tidy ---------------------------------------------------------------------------------------


def test_the_same_cut_twice_goes_once() -> None:
    """Another start, another direction, half arcs elsewhere: still the same cut."""
    ring = box(10, 10, 50, 20, 3)
    again = reversed_contour(started_in(ring, 4, 0.3))
    ball = hole(100, 100)
    turned = ball.mapped(Affine(0, 1, -1, 0, 200, 0))
    assert tidy_contours([ring, again, ball, turned]) == tidy_contours([ring, ball])
    assert len(tidy_contours([ring, ball])) == 2


def test_close_neighbors_are_not_the_same() -> None:
    ring = box(10, 10, 50, 20)
    assert (
        len(tidy_contours([ring, ring.mapped(Affine.move(0.02, 0)), box(10, 10, 50, 20, 1)])) == 3
    )


def test_a_square_and_its_round_neighbor_in_one_box_differ() -> None:
    assert len(tidy_contours([box(0, 0, 6, 6), hole(3, 3, 6)])) == 2


def test_slivers_and_crumbs_go() -> None:
    thread = box(0, 0, 80, 0.05)
    speck = hole(5, 5, 0.05)
    stub = polyline([Point(0, 0), Point(0.05, 0)]).contours[0]
    nothing = Contour(Point(1, 1), ())
    narrow = box(0, 10, 80, 0.5)
    kept = tidy_contours([thread, speck, stub, nothing, narrow])
    assert [each.bounds() for each in kept] == [narrow.bounds()]


def test_a_crumb_inside_a_contour_goes() -> None:
    ring = corners((0, 0), (10, 0), (10, 10), (10, 10.0004), (0, 10))
    (kept,) = tidy_contours([ring])
    assert len(kept.segments) == 4
    assert kept.segments[-1].end == kept.start


def test_straight_edges_become_whole() -> None:
    """The start in an edge's middle is not a corner."""
    (kept,) = tidy_contours([box(0, 0, 40, 20)])
    assert sorted(each.length() for each in edges_of(kept)) == [20, 20, 40, 40]


def edges_of(contour: Contour) -> Iterator[Contour]:
    at = contour.start
    for segment in contour.segments:
        yield Contour(at, (segment,), closed=False)
        at = segment.end


# -- order --------------------------------------------------------------------------------------

square = st.builds(
    lambda x, y, side: box(x, y, side, side),
    st.integers(0, 300),
    st.integers(0, 300),
    st.integers(2, 90),
)


@given(st.lists(square, min_size=1, max_size=25))
@settings(max_examples=60, deadline=None, derandomize=True)
def test_inside_comes_before_outside(rings: list[Contour]) -> None:
    cuts = order_cuts(rings)
    assert sorted(map(repr, cuts)) == sorted(map(repr, rings))
    for early, late in itertools.combinations(cuts, 2):
        assert not is_inside(late, early)


def test_a_part_is_finished_before_the_next_one() -> None:
    """The holes of a plate, then its outline, then the next plate."""
    plates = [box(x, 0, 80, 40) for x in (0, 100, 200)]
    holes = [hole(x + dx, 20) for x in (0, 100, 200) for dx in (10, 70)]
    cuts = order_cuts([*plates, *holes])
    whose = [int(each.bounds().x // 100) for each in cuts]
    assert whose == [0, 0, 0, 1, 1, 1, 2, 2, 2]
    assert [each in plates for each in cuts] == [False, False, True] * 3


def test_three_levels_deep() -> None:
    rings = [box(n, n, 100 - 2 * n, 100 - 2 * n) for n in (0, 10, 20, 30)]
    assert order_cuts(rings) == tuple(reversed(rings))


def test_travel_is_near_the_shortest() -> None:
    """Against every order of seven cuts, 20 times."""
    chance = random.Random(7)
    for _ in range(20):
        dots = [hole(chance.uniform(0, 900), chance.uniform(0, 600), 3) for _ in range(7)]
        best = min(travel(each) for each in itertools.permutations(dots))
        assert travel(order_cuts(dots)) <= 1.15 * best


def test_travel_over_a_grid_is_short() -> None:
    """A 20 x 10 grid at 30 mm asks for 199 steps of 30 mm; shuffled it takes eight times that."""
    dots = [hole(30 * x, 30 * y, 3) for x in range(20) for y in range(10)]
    random.Random(3).shuffle(dots)
    way = travel(order_cuts(dots))
    assert way < 1.1 * 199 * 30
    assert travel(dots) > 7 * way


def test_the_order_does_not_hang_on_chance() -> None:
    chance = random.Random(5)
    dots = [hole(chance.uniform(0, 900), chance.uniform(0, 600), 3) for _ in range(60)]
    assert prepare_cuts(dots) == prepare_cuts(list(dots))


# -- entry --------------------------------------------------------------------------------------


def test_the_knife_enters_in_the_middle_of_a_straight_edge() -> None:
    for cut in prepare_cuts(
        [box(10, 10, 120, 30, 3), box(10, 60, 50, 20), corners((0, 0), (9, 0), (0, 7))]
    ):
        first, last = cut.segments[0], cut.segments[-1]
        assert isinstance(first, Line)
        assert isinstance(last, Line)
        assert last.end == cut.start
        before = math.dist(
            (last.end.x, last.end.y), (cut.segments[-2].end.x, cut.segments[-2].end.y)
        )
        assert before == pytest.approx(
            math.dist((cut.start.x, cut.start.y), (first.end.x, first.end.y))
        )


def test_the_shape_does_not_change_with_the_entry() -> None:
    ring = box(10, 10, 120, 30, 3)
    (cut,) = prepare_cuts([ring])
    assert cut.bounds() == ring.bounds()
    assert cut.length() == pytest.approx(ring.length())
    assert area(outline(cut)) == pytest.approx(area(outline(ring)), rel=1e-4)
    assert max(distance_to(ring, each) for each in cut.points()) < 1e-9


def test_entries_are_the_best_of_all_combinations() -> None:
    """Dynamic programming against all 4^4 choices."""
    rings = tidy_contours(
        [box(0, 100, 40, 20), box(90, 20, 30, 60), box(150, 150, 20, 20), box(20, 200, 70, 40)]
    )
    found = travel(choose_entries(rings))
    sides = [[started_in(ring, n, 0.5) for n in range(4)] for ring in rings]
    # Every edge may be an entry here: none is shorter than a quarter of the longest.
    assert found == pytest.approx(min(travel(each) for each in itertools.product(*sides)))


def test_open_cuts_are_walked_from_the_nearer_end() -> None:
    near, far = polyline([Point(300, 0), Point(10, 0)]), polyline([Point(300, 5), Point(20, 5)])
    cuts = prepare_cuts([*near.contours, *far.contours])
    assert [each.start.x for each in cuts] == [10, 300]


def test_curves_only_enter_on_a_curve_without_corners() -> None:
    (cut,) = prepare_cuts([hole(50, 50)])
    assert cut.start.distance(Point(50, 50)) == pytest.approx(3)
    curve = Contour(Point(0, 0), (Cubic(Point(9, -9), Point(9, 9), Point(0, 0)),))
    assert prepare_cuts([curve])[0].start == Point(0, 0)
