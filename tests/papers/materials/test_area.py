"""Enclosed areas against textbook formulas."""

from __future__ import annotations

import math

import pytest

from layouts.drawing import (
    Affine,
    Arc,
    Contour,
    Cubic,
    Line,
    Path,
    Point,
    Rect,
    arc_to_cubics,
    circle,
    polygon,
    rectangle,
)
from layouts.papers.materials import enclosed_area


def test_rectangles_and_polygons() -> None:
    assert enclosed_area(rectangle(Rect(-3, 7, 20, 5))) == pytest.approx(100)
    # 3-4-5 triangle: half of 3 x 4
    assert enclosed_area(polygon([Point(1, 1), Point(4, 1), Point(1, 5)])) == pytest.approx(6)
    # Shoelace formula, worked: (0,0) (4,0) (4,3) (2,5) (0,3): 12 and a roof of 4 x 2 / 2
    house = polygon([Point(0, 0), Point(4, 0), Point(4, 3), Point(2, 5), Point(0, 3)])
    assert enclosed_area(house) == pytest.approx(16)


def test_circles() -> None:
    assert enclosed_area(circle(Point(50, -20), 10)) == pytest.approx(math.pi * 25)
    # A rectangle with rounded corners lacks the corners of a square that a circle leaves.
    rounded = rectangle(Rect(5, 5, 40, 30), 4)
    assert enclosed_area(rounded) == pytest.approx(40 * 30 - (4 - math.pi) * 16)


def test_an_arc_bulging_inward_takes_away() -> None:
    # A square of 10 with a half circle of diameter 10 cut out of its right side.
    right = Point(10, 10)
    notched = Contour(Point(0, 0), (Line(Point(10, 0)), Arc(right, -1.0), Line(Point(0, 10))))
    assert enclosed_area(Path((notched,))) == pytest.approx(100 - math.pi * 25 / 2)


def test_cubics() -> None:
    # The graph of x^2 from (0, 0) to (1, 1) as a cubic; below it lies a third.
    parabola = Cubic(Point(1 / 3, 0), Point(2 / 3, 1 / 3), Point(1, 1))
    under = Contour(Point(0, 0), (parabola, Line(Point(1, 0))))
    assert enclosed_area(Path((under,))) == pytest.approx(1 / 3)
    # and of x^3: a quarter
    cube = Cubic(Point(1 / 3, 0), Point(2 / 3, 0), Point(1, 1))
    assert enclosed_area(Path((Contour(Point(0, 0), (cube, Line(Point(1, 0)))),))) == (
        pytest.approx(1 / 4)
    )


def test_a_disc_of_cubics_is_nearly_the_disc() -> None:
    top = Point(0, -5)
    halves = (Arc(Point(0, 5), 1.0), Arc(top, 1.0))
    pieces = (*arc_to_cubics(top, halves[0]), *arc_to_cubics(Point(0, 5), halves[1]))
    assert enclosed_area(Path((Contour(top, pieces),))) == pytest.approx(math.pi * 25, rel=1e-5)


def test_a_counter_takes_its_area_off_wherever_it_lies() -> None:
    outer = circle(Point(8, 8), 10)
    inner = circle(Point(8, 8), 4).mapped(Affine(-1, 0, 0, 1, 16, 0))  # mirrored: other way
    ring = outer.joined(inner)
    assert enclosed_area(ring) == pytest.approx(math.pi * (25 - 4))
    moved = ring.mapped(Affine.quarter_turns(1).then(Affine.move(-300, 40)))
    assert enclosed_area(moved) == pytest.approx(math.pi * (25 - 4))
