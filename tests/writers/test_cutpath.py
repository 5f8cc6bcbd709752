"""The knife's way. What cannot be read from a standard is compared with exhaustive search or
with areas and lengths worked out by hand; limits are common practice, no source."""

import itertools
import math
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layouts.cutpath import (
    Bridges,
    CutOptions,
    bridged,
    entered,
    merged,
    ordered,
    prepared,
    tidied,
    travel,
    weeding_frame,
)
from layouts.cutpath.pieces import area, distance_to, outline, part, reversed_contour, started_in
from layouts.geometry import (
    Affine,
    Arc,
    Contour,
    Cubic,
    Line,
    Point,
    Rect,
    circle,
    polygon,
    polyline,
    rectangle,
)


def box(x, y, width, height, radius=0.0):
    return rectangle(Rect(x, y, width, height), radius).contours[0]


def hole(x, y, diameter=6.0):
    return circle(Point(x, y), diameter).contours[0]


def corners(*points):
    return polygon([Point(*each) for each in points]).contours[0]


def is_inside(inner, outer):
    a, b = inner.bounds(), outer.bounds()
    return a != b and b.contains(a)


# -- tidy ---------------------------------------------------------------------------------------


def test_the_same_cut_twice_goes_once():
    """Another start, another direction, half arcs elsewhere: still the same cut."""
    ring = box(10, 10, 50, 20, 3)
    again = reversed_contour(started_in(ring, 4, 0.3))
    ball = hole(100, 100)
    turned = ball.mapped(Affine(0, 1, -1, 0, 200, 0))
    assert tidied([ring, again, ball, turned]) == tidied([ring, ball])
    assert len(tidied([ring, ball])) == 2


def test_close_neighbors_are_not_the_same():
    ring = box(10, 10, 50, 20)
    assert len(tidied([ring, ring.mapped(Affine.move(0.02, 0)), box(10, 10, 50, 20, 1)])) == 3


def test_a_square_and_its_round_neighbor_in_one_box_differ():
    assert len(tidied([box(0, 0, 6, 6), hole(3, 3, 6)])) == 2


def test_slivers_and_crumbs_go():
    thread = box(0, 0, 80, 0.05)
    speck = hole(5, 5, 0.05)
    stub = polyline([Point(0, 0), Point(0.05, 0)]).contours[0]
    nothing = Contour(Point(1, 1), ())
    narrow = box(0, 10, 80, 0.5)
    kept = tidied([thread, speck, stub, nothing, narrow])
    assert [each.bounds() for each in kept] == [narrow.bounds()]


def test_a_crumb_inside_a_contour_goes():
    ring = corners((0, 0), (10, 0), (10, 10), (10, 10.0004), (0, 10))
    (kept,) = tidied([ring])
    assert len(kept.segments) == 4
    assert kept.segments[-1].end == kept.start


def test_straight_edges_become_whole():
    """The start in an edge's middle is no corner."""
    (kept,) = tidied([box(0, 0, 40, 20)])
    assert sorted(each.length() for each in edges_of(kept)) == [20, 20, 40, 40]


def edges_of(contour):
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
def test_inside_comes_before_outside(rings):
    cuts = ordered(rings)
    assert sorted(map(repr, cuts)) == sorted(map(repr, rings))
    for early, late in itertools.combinations(cuts, 2):
        assert not is_inside(late, early)


def test_a_part_is_finished_before_the_next_one():
    """The holes of a plate, then its outline, then the next plate."""
    plates = [box(x, 0, 80, 40) for x in (0, 100, 200)]
    holes = [hole(x + dx, 20) for x in (0, 100, 200) for dx in (10, 70)]
    cuts = ordered([*plates, *holes])
    whose = [int(each.bounds().x // 100) for each in cuts]
    assert whose == [0, 0, 0, 1, 1, 1, 2, 2, 2]
    assert [each in plates for each in cuts] == [False, False, True] * 3


def test_three_levels_deep():
    rings = [box(n, n, 100 - 2 * n, 100 - 2 * n) for n in (0, 10, 20, 30)]
    assert ordered(rings) == tuple(reversed(rings))


def test_travel_is_near_the_shortest():
    """Against every order of seven cuts, 20 times."""
    chance = random.Random(7)
    for _ in range(20):
        dots = [hole(chance.uniform(0, 900), chance.uniform(0, 600), 3) for _ in range(7)]
        best = min(travel(each) for each in itertools.permutations(dots))
        assert travel(ordered(dots)) <= 1.15 * best


def test_travel_over_a_grid_is_short():
    """A 20 x 10 grid at 30 mm asks for 199 steps of 30 mm; shuffled it takes eight times that."""
    dots = [hole(30 * x, 30 * y, 3) for x in range(20) for y in range(10)]
    random.Random(3).shuffle(dots)
    way = travel(ordered(dots))
    assert way < 1.1 * 199 * 30
    assert travel(dots) > 7 * way


def test_the_order_does_not_hang_on_chance():
    chance = random.Random(5)
    dots = [hole(chance.uniform(0, 900), chance.uniform(0, 600), 3) for _ in range(60)]
    assert prepared(dots) == prepared(list(dots))


# -- entry --------------------------------------------------------------------------------------


def test_the_knife_enters_in_the_middle_of_a_straight_edge():
    for cut in prepared(
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


def test_the_shape_does_not_change_with_the_entry():
    ring = box(10, 10, 120, 30, 3)
    (cut,) = prepared([ring])
    assert cut.bounds() == ring.bounds()
    assert cut.length() == pytest.approx(ring.length())
    assert area(outline(cut)) == pytest.approx(area(outline(ring)), rel=1e-4)
    assert max(distance_to(ring, each) for each in cut.points()) < 1e-9


def test_entries_are_the_best_of_all_combinations():
    """Dynamic programming against all 4^4 choices."""
    rings = tidied(
        [box(0, 100, 40, 20), box(90, 20, 30, 60), box(150, 150, 20, 20), box(20, 200, 70, 40)]
    )
    found = travel(entered(rings))
    sides = [[started_in(ring, n, 0.5) for n in range(4)] for ring in rings]
    # Every edge may be an entry here: none is shorter than a quarter of the longest.
    assert found == pytest.approx(min(travel(each) for each in itertools.product(*sides)))


def test_open_cuts_are_walked_from_the_nearer_end():
    near, far = polyline([Point(300, 0), Point(10, 0)]), polyline([Point(300, 5), Point(20, 5)])
    cuts = prepared([*near.contours, *far.contours])
    assert [each.start.x for each in cuts] == [10, 300]


def test_curves_only_enter_on_a_curve_without_corners():
    (cut,) = prepared([hole(50, 50)])
    assert cut.start.distance(Point(50, 50)) == pytest.approx(3)
    curve = Contour(Point(0, 0), (Cubic(Point(9, -9), Point(9, 9), Point(0, 0)),))
    assert prepared([curve])[0].start == Point(0, 0)


# -- merge --------------------------------------------------------------------------------------


def total(contours):
    return sum(each.length() for each in contours)


def test_neighbors_share_one_cut():
    """Two by three boxes of 40 x 20 with no gap: seven inner edges are cut once, not twice.

    Outer ring 80 + 60 twice, one inner line of 60 and two of 80: 280 + 60 + 160 = 500 mm.
    """
    boxes = [box(40 * x, 20 * y, 40, 20) for x in range(2) for y in range(3)]
    cuts = merged(tidied(boxes))
    assert total(boxes) == 720
    assert total(cuts) == pytest.approx(500)
    for ring in boxes:  # every edge of every box is still cut
        for n in range(80):
            start, segment = list(zip(ring.points(), ring.segments, strict=False))[n % 5]
            spot, _ = part(start, segment, 0.37, 1)
            assert min(distance_to(cut, spot) for cut in cuts) < 1e-6


def test_edges_of_different_length_share_their_common_stretch():
    cuts = merged(tidied([box(0, 0, 100, 20), box(30, 20, 40, 20)]))
    assert total(cuts) == pytest.approx(240 + 80)
    assert [each.closed for each in cuts] == [True, False]
    assert {(each.start.x, each.start.y) for each in cuts[1:]} <= {(30, 20), (70, 20)}


def test_a_long_edge_is_cut_round_two_short_neighbors():
    cuts = merged(tidied([box(0, 20, 30, 20), box(70, 20, 30, 20), box(0, 0, 100, 20)]))
    assert [each.closed for each in cuts] == [True, True, False, False]
    assert total(cuts) == pytest.approx(100 + 100 + 240 - 60)


def test_shared_edges_may_lie_apart_by_the_tolerance_alone():
    for gap, shared in ((0.004, True), (0.02, False)):
        cuts = merged(tidied([box(0, 0, 50, 20), box(50 + gap, 0, 50, 20)]))
        assert all(each.closed for each in cuts) is not shared


def test_crossing_and_touching_edges_stay():
    rings = tidied([box(0, 0, 50, 20), box(25, 10, 50, 40), box(50, 20, 10, 10)])
    assert merged(rings) == rings


@given(st.floats(0, 360), st.floats(1, 49), st.floats(-19, 19))
@settings(max_examples=50, deadline=None, derandomize=True)
def test_merging_works_at_any_angle(degrees, width, shift):
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    turn = Affine(cos, sin, -sin, cos, 400, 300)
    rings = [each.mapped(turn) for each in (box(0, 0, 50, 20), box(50, shift, width, 20))]
    assert total(merged(tidied(rings))) == pytest.approx(total(rings) - (20 - abs(shift)), abs=0.02)


def test_a_neighbor_cut_whole_already_is_gone():
    """The middle box of three by three is ringed by its neighbors' edges."""
    around = [box(20 * x, 20 * y, 20, 20) for x in range(3) for y in range(3) if (x, y) != (1, 1)]
    cuts = merged(tidied([*around, box(20, 20, 20, 20)]))
    assert total(cuts) == pytest.approx(24 * 20)


# -- bridges ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "ring", [box(0, 0, 120, 40, 5), hole(50, 50, 60), corners((0, 0), (90, 0), (0, 70))]
)
def test_bridges_hold_the_part(ring):
    bridges = Bridges(width=0.8, spacing=60)
    pieces = bridged(ring, bridges)
    count = math.ceil(ring.length() / 60)
    assert len(pieces) == count
    assert not any(each.closed for each in pieces)
    assert total(pieces) == pytest.approx(ring.length() - count * 0.8, abs=1e-6)
    for one, other in itertools.pairwise([*pieces, pieces[0]]):
        gap = one.segments[-1].end.distance(other.start)
        assert gap == pytest.approx(0.8, abs=1e-3)  # a chord of an arc is a little shorter


def test_bridges_keep_off_corners():
    ring = box(0, 0, 100, 40)
    spots = [(x, y) for x in (0, 100) for y in (0, 40)]
    for width in (0.5, 1.0, 2.0):
        for spacing in (35, 40, 47, 56, 70):
            for piece in bridged(*tidied([ring]), Bridges(width, spacing)):
                for end in (piece.start, piece.segments[-1].end):
                    assert (
                        min(math.dist((end.x, end.y), spot) for spot in spots) >= width / 2 - 1e-9
                    )


def test_what_is_too_small_for_bridges_stays_whole():
    ring = hole(0, 0, 2)
    assert bridged(ring, Bridges(1.0, 50)) == (ring,)
    line = polyline([Point(0, 0), Point(500, 0)]).contours[0]
    assert bridged(line, Bridges(1.0, 50)) == (line,)


@pytest.mark.parametrize("wrong", [(0, 50), (5, 5), (-1, 50), (1, 50, 0)])
def test_senseless_bridges_are_refused(wrong):
    with pytest.raises(ValueError, match="width"):
        Bridges(*wrong)


# -- all together -------------------------------------------------------------------------------


def test_prepared_with_every_option():
    boxes = [box(40 * x, 20 * y, 40, 20) for x in range(2) for y in range(3)]
    cuts = prepared(
        [*boxes, *boxes, hole(20, 10)], CutOptions(merge=True, bridges=Bridges(0.5, 100))
    )
    gaps = 500 + math.pi * 6 - total(cuts)
    assert gaps == pytest.approx(2 * 0.5 + 2 * 0.5, abs=1e-6)  # the hole and the one closed box


def test_the_weeding_frame_goes_round_all():
    frame = weeding_frame([box(10, 10, 50, 20), hole(100, 40, 10)], 4, 2)
    assert frame.bounds() == Rect(6, 6, 103, 43)
    assert all(isinstance(each, Line | Arc) for each in frame.contours[0].segments)
