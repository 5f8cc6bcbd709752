"""Boxes and areas of contours against fontTools' pens, and against circles worked by hand."""

from __future__ import annotations

import math
import random

import pytest
from fontTools.pens.areaPen import AreaPen
from fontTools.pens.boundsPen import BoundsPen

from layouts.drawing import Arc, Contour, Cubic, Line, Point

SEEDS = range(40)


def some_contour(seed: int) -> Contour:
    """A closed contour of lines and curves, many of them with controls outside of their ends."""
    chance = random.Random(seed)

    def spot() -> Point:
        return Point(chance.uniform(-50, 50), chance.uniform(-50, 50))

    segments = [
        Line(spot()) if chance.random() < 0.4 else Cubic(spot(), spot(), spot()) for _ in range(7)
    ]
    return Contour(spot(), tuple(segments))


def drawn(contour: Contour, pen: AreaPen | BoundsPen) -> None:
    pen.moveTo((contour.start.x, contour.start.y))
    for segment in contour.segments:
        if isinstance(segment, Cubic):
            points = (segment.control_1, segment.control_2, segment.end)
            pen.curveTo(*((each.x, each.y) for each in points))
        else:
            pen.lineTo((segment.end.x, segment.end.y))
    pen.closePath()


@pytest.mark.parametrize("seed", SEEDS)
def test_the_area_is_that_of_the_area_pen(seed: int) -> None:
    contour, pen = some_contour(seed), AreaPen()
    drawn(contour, pen)
    assert contour.area() == pytest.approx(pen.value, abs=1e-6)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_box_is_that_of_the_bounds_pen(seed: int) -> None:
    contour, pen = some_contour(seed), BoundsPen(None)
    drawn(contour, pen)
    box = contour.bounds()
    assert (box.x, box.y, box.right, box.bottom) == pytest.approx(pen.bounds, abs=1e-6)


@pytest.mark.parametrize("bulge", [1.0, -1.0])
def test_two_half_circles_have_the_area_and_the_box_of_a_disc(bulge: float) -> None:
    disc = Contour(Point(13, 5), (Arc(Point(7, 5), bulge), Arc(Point(13, 5), bulge)))
    assert disc.area() == pytest.approx(math.copysign(math.pi * 9, bulge))
    box = disc.bounds()
    assert (box.x, box.y, box.right, box.bottom) == pytest.approx((7, 2, 13, 8))


@pytest.mark.parametrize("turn", range(0, 360, 15))
def test_three_quarters_of_a_circle_reach_as_far_as_the_circle_does(turn: int) -> None:
    """Sampled a thousand times; the box lies at most the sagitta of a sample outside."""

    def at(degrees: float) -> Point:
        angle = math.radians(degrees)
        return Point(10 * math.cos(angle), 10 * math.sin(angle))

    arc = Contour(at(turn), (Arc(at(turn + 270), math.tan(math.radians(270) / 4)),), closed=False)
    spots = [at(turn + 270 * share / 1000) for share in range(1001)]
    box = arc.bounds()
    sampled = (
        *(min(spot.x for spot in spots), min(spot.y for spot in spots)),
        *(max(spot.x for spot in spots), max(spot.y for spot in spots)),
    )
    assert (box.x, box.y, box.right, box.bottom) == pytest.approx(sampled, abs=1e-3)
