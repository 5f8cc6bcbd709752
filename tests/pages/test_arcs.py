"""Cubic curves as arcs: checked point by point against the curve itself."""

import math
from collections.abc import Iterable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layouts.drawing import Arc, Contour, Cubic, Line, Path, Point, Segment, arc_to_cubics
from layouts.pages.cuts import TOLERANCE, cubic_to_arcs, without_cubics
from render.write.svg import path_data
from tests.helpers import svg_reader
from tests.helpers.contours import ReadContour, furthest

coordinate = st.integers(-4000, 4000).map(lambda n: n / 100)
point = st.builds(Point, coordinate, coordinate)


def read(start: Point, segments: Iterable[Segment]) -> ReadContour:
    contour = Contour(start, tuple(segments), closed=False)
    (found,) = svg_reader.contours(path_data(Path((contour,))), svg_reader.matrix_of(""))
    return found


@pytest.mark.slow
@given(point, point, point, point)
@settings(max_examples=150, deadline=None, derandomize=True)
def test_arcs_stay_within_tolerance(start: Point, one: Point, two: Point, end: Point) -> None:
    """Any cubic, loops and cusps too; read back through SVG, whose rounding takes 0.0002 mm."""
    cubic = Cubic(one, two, end)
    arcs = tuple(cubic_to_arcs(start, cubic))
    if start == one == two == end:
        assert arcs == ()
        return
    assert arcs[-1].end == end or arcs[-1].end.distance(end) < TOLERANCE
    assert furthest(read(start, [cubic]), read(start, arcs)) < TOLERANCE + 0.0004


def test_a_circle_needs_few_arcs() -> None:
    """A quarter circle as a cubic: two arcs, both of the circle's radius."""
    (piece, *_) = arc_to_cubics(Point(10, 0), Arc(Point(0, 10), math.tan(math.pi / 8)))
    arcs = list(cubic_to_arcs(Point(10, 0), piece))
    assert len(arcs) == 2


def test_a_straight_cubic_is_a_line() -> None:
    cubic = Cubic(Point(1, 1), Point(2, 2), Point(3, 3))
    assert list(cubic_to_arcs(Point(0, 0), cubic)) == [Line(Point(3, 3))]


def test_a_cubic_that_doubles_back_keeps_its_reach() -> None:
    """Control points beyond both ends on one line: the pen passes the ends and comes back."""
    cubic = Cubic(Point(20, 0), Point(-10, 0), Point(10, 0))
    xs = [each.end.x for each in cubic_to_arcs(Point(0, 0), cubic)]
    # x(t) = 60 t (1-t)^2 - 30 t^2 (1-t) + 10 t^3 = 60t - 150t^2 + 100t^3: turns at 0.276 and
    # 0.724, at x = 7.236 and 2.764 (differentiated by hand).
    assert max(xs) == pytest.approx(10)
    assert xs == sorted(xs) or max(x for x in xs[:-1]) >= 7.2355


@pytest.mark.parametrize("tolerance", [0.05, 0.005, 0.0005])
def test_a_finer_tolerance_costs_only_the_cube_root(tolerance: float) -> None:
    """Biarcs are of third order: a tenth of the tolerance takes about 2.2 times the arcs."""
    cubic = Cubic(Point(7.3, -6.1), Point(11.9, 8.8), Point(21.7, 0.4))
    count = len(list(cubic_to_arcs(Point(0, 0), cubic, tolerance)))
    assert count <= 9 * (0.05 / tolerance) ** (1 / 3) + 4


def test_lines_arcs_and_closing_are_left_alone() -> None:
    contour = Contour(Point(0, 0), (Line(Point(5, 0)), Arc(Point(5, 5), 0.3)), closed=True)
    assert without_cubics(contour) == contour


def test_the_measure_sees_a_wrong_curve() -> None:
    cubic = Cubic(Point(7.3, -6.1), Point(11.9, 8.8), Point(21.7, 0.4))
    moved = Cubic(Point(7.3, -6.11), Point(11.9, 8.8), Point(21.7, 0.4))
    one, other = read(Point(0, 0), [cubic]), read(Point(0, 0), [moved])
    assert isinstance(one, ReadContour)
    assert furthest(one, other) > 0.002
