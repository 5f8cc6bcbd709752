"""The small tools of cut paths, against geometry worked out by hand."""

import math

import pytest

from layouts.drawing import Arc, Contour, Cubic, Line, Path, Point, Rect, Size, polyline
from layouts.drawing.document import Layer, Page, Step
from layouts.pages.cuts import order_cuts, prepared_page
from layouts.pages.cuts.contour_pieces import (
    area,
    closed_up,
    distance_to,
    outline,
    part,
    perimeter,
    point_at,
    reversed_contour,
)
from render.write import dxf
from tests.helpers import dxf_reader
from tests.helpers.drawing_sample import cut
from tests.helpers.forms import box, hole

CUBIC = Cubic(Point(0, 8), Point(8, 8), Point(8, 0))


def test_places_along_segments() -> None:
    origin = Point(0, 0)
    assert point_at(origin, Line(Point(4, 8)), 0.25) == Point(1, 2)
    # Half way along (0,0) (0,8) (8,8) (8,0): x = 4, y = 3/4 of 8 (de Casteljau by hand).
    assert point_at(origin, CUBIC, 0.5) == Point(4, 6)
    quarter = point_at(Point(1, 0), Arc(Point(-1, 0), 1.0), 0.5)
    assert (quarter.x, quarter.y) == pytest.approx((0, 1))


def test_a_part_of_an_arc_keeps_its_circle() -> None:
    start, piece = part(Point(1, 0), Arc(Point(-1, 0), 1.0), 0.25, 0.75)
    assert (start.x, start.y) == pytest.approx((math.cos(math.pi / 4), math.sin(math.pi / 4)))
    assert isinstance(piece, Arc)
    assert piece.bulge == pytest.approx(math.tan(math.pi / 8))  # a quarter turn
    with pytest.raises(TypeError, match="cubic"):
        part(Point(0, 0), CUBIC, 0, 0.5)


def test_walking_back_visits_the_same_places() -> None:
    way = Contour(Point(0, 0), (CUBIC, Arc(Point(12, 0), 0.4), Line(Point(20, 3))), closed=False)
    back = reversed_contour(way)
    assert back.start == Point(20, 3)
    assert back.segments[-1] == Cubic(Point(8, 8), Point(0, 8), Point(0, 0))
    assert reversed_contour(back) == way
    assert back.bounds() == way.bounds()


def test_distances() -> None:
    ring = box(0, 0, 10, 4)
    assert distance_to(ring, Point(5, 2)) == 2
    assert distance_to(ring, Point(13, 8)) == 5  # from the corner, 3-4-5
    assert distance_to(hole(0, 0, 6), Point(0, 1)) == pytest.approx(2)
    half = Contour(Point(1, 0), (Arc(Point(-1, 0), 1.0),), closed=False)
    assert distance_to(half, Point(0, -1)) == pytest.approx(math.sqrt(2))  # from its ends
    still = Contour(Point(3, 4), (Line(Point(3, 4)),))
    assert distance_to(still, Point(0, 0)) == 5
    with pytest.raises(TypeError, match="cubic"):
        distance_to(Contour(Point(0, 0), (CUBIC,)), Point(0, 0))


def test_polygons_close_to_their_contours() -> None:
    assert area(outline(hole(5, 5, 20))) == pytest.approx(math.pi * 100, rel=0.03)
    assert perimeter(outline(hole(5, 5, 20)), closed=True) == pytest.approx(math.pi * 20, rel=0.01)
    arch = Contour(Point(0, 0), (CUBIC,))
    # The integral of 24 t (1 - t) over x = 24 t^2 - 16 t^3 is 1152 / 30.
    assert area(outline(arch)) == pytest.approx(38.4, rel=0.03)
    assert perimeter([Point(0, 0), Point(3, 4)], closed=False) == 5


def test_a_ring_is_closed_once() -> None:
    ring = Contour(Point(0, 0), (Line(Point(4, 0)), Line(Point(4, 4))))
    assert closed_up(ring).segments[-1] == Line(Point(0, 0))
    assert closed_up(closed_up(ring)) == closed_up(ring)


@pytest.mark.parametrize(
    "inner", [box(20, 10, 10, 10), polyline([Point(20, 10), Point(30, 20)]).contours[0]]
)
def test_an_open_cut_holds_nothing(inner: Contour) -> None:
    """A wide open line round another cut is not an outline: short travel alone decides."""
    line = polyline([Point(0, 0), Point(60, 0), Point(60, 40), Point(0, 40)]).contours[0]
    assert order_cuts([inner, line]) == (line, inner)
    assert order_cuts([line, inner]) == (line, inner)


def test_an_empty_cut_layer_stays() -> None:
    whole = Rect(0, 0, 100, 100)
    page = Page("p", "p", Size(100, 100), whole, whole, (Layer("k", (), Step.KISS_CUT),))
    assert prepared_page(page, {}) == page


def test_the_cut_file_holds_no_place_twice_and_no_lone_place() -> None:
    whole = Rect(0, 0, 100, 100)
    here = Point(10, 10)
    ring = Contour(here, (Line(here), Line(Point(40, 10)), Line(Point(40, 30)), Line(here)))
    paths = [ring, Contour(here, (Line(here),))]
    layers = tuple(
        Layer(f"k{n}", (cut(Step.KISS_CUT, Path((each,))),), Step.KISS_CUT)
        for n, each in enumerate(paths)
    )
    page = Page("p", "p", Size(100, 100), whole, whole, layers)
    (entity,) = dxf_reader.entities(dxf.write(page, {}))
    assert dxf_reader.value(entity, 90) == "3"
