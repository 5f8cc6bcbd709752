"""The arrow and the registration marks, measured on pictures."""

import math

import numpy as np
import pytest

from layouts.drawing import Affine, Arc, Contour, Cubic, Line, Path, Point, arc_to_cubics
from layouts.drawing.symbols import (
    ARROW_LENGTH,
    HEAD_LENGTH,
    HEAD_WIDTH,
    SHAFT_THICKNESS,
    MarkShape,
    arrow_path,
    registration_mark,
)
from tests.helpers.contours import Points
from tests.helpers.raw_outlines import picture


def columns_of(path: Path, height: float = 100.0) -> Points:
    """Ink of each millimeter-wide column of an arrow beside letters 100 mm high, in mm."""
    width = path.bounds().width
    columns: Points = picture([path], (0, -height, width, height), 1).sum(axis=0)
    return columns


@pytest.mark.parametrize("right", [True, False])
def test_arrow_is_as_high_as_the_letters_and_stands_on_their_line(right: bool) -> None:
    box = arrow_path(31.75, pointing_right=right).bounds()
    assert (box.x, box.y, box.bottom) == pytest.approx((0, -31.75, 0), abs=1e-9)
    assert box.width == pytest.approx(ARROW_LENGTH * 31.75)


def test_arrow_proportions_on_a_picture() -> None:
    ink = columns_of(arrow_path(100, pointing_right=True))
    neck = round(100 * (ARROW_LENGTH - HEAD_LENGTH))
    assert ink[: neck - 1] == pytest.approx(100 * SHAFT_THICKNESS, abs=0.5)
    assert ink[neck + 1] == pytest.approx(100 * HEAD_WIDTH, abs=3)
    assert np.all(np.diff(ink[neck + 1 :]) < 0)
    assert ink[-1] < 2


def test_left_arrow_is_the_mirror_of_the_right_one() -> None:
    right = columns_of(arrow_path(100, pointing_right=True))
    left = columns_of(arrow_path(100, pointing_right=False))
    assert left == pytest.approx(right[::-1], abs=0.2)


def test_both_arrows_run_the_same_way_round() -> None:
    """Shoelace area, positive for clockwise with y down."""
    areas = []
    for right in (True, False):
        (contour,) = arrow_path(1, pointing_right=right).contours
        points = list(contour.points())
        pairs = zip(points, points[1:] + points[:1], strict=True)
        areas.append(sum(one.x * two.y - two.x * one.y for one, two in pairs) / 2)
    triangle, shaft = HEAD_LENGTH * HEAD_WIDTH / 2, (ARROW_LENGTH - HEAD_LENGTH) * SHAFT_THICKNESS
    assert areas == pytest.approx([triangle + shaft] * 2)


def test_the_head_is_told_from_the_shaft_at_reading_distance() -> None:
    """At 300 letter heights (ANSI Z535.2-2011, 9.2.3) the head's step beyond the shaft spans

    more than the one minute of arc that normal sight resolves (visual acuity 1.0, ISO 8596),
    with a margin of three.
    """
    step = (HEAD_WIDTH - SHAFT_THICKNESS) / 2
    assert math.degrees(math.atan(step / 300)) * 60 > 3


def test_direction_survives_a_blur_of_a_fifth_of_the_height() -> None:
    """Blurred until letters run together, the arrow still differs from its mirror image.

    Measure: root of the squared difference over that of the two pictures; a quarter is our own
    bar. A short fat arrow shows that the bar can be missed.
    """
    assert mirror_difference(arrow_path(40, pointing_right=True)) > 0.25
    fat = arrow_path(40, pointing_right=True).mapped(Affine.scale(0.6, 1))
    assert mirror_difference(fat) < 0.25


def mirror_difference(path: Path) -> float:
    width = path.bounds().width
    ink = picture([path], (-24, -64, width + 48, 88), 1)
    kernel = np.exp(-0.5 * (np.arange(-24, 25) / 8) ** 2)
    for axis in (0, 1):
        ink = np.apply_along_axis(np.convolve, axis, ink, kernel / kernel.sum(), "same")
    return math.sqrt(((ink - ink[:, ::-1]) ** 2).sum() / (2 * (ink**2).sum()))


@pytest.mark.parametrize(
    ("shape", "area"),
    [
        (MarkShape.DISC, math.pi * 36 / 4),
        (MarkShape.SQUARE, 36.0),
        (MarkShape.CROSS, 2 * 6 * 0.6 - 0.36),
    ],
)
def test_mark_area_and_center_on_a_picture(shape: MarkShape, area: float) -> None:
    mark = registration_mark(shape, Point(20, 30), 6)
    box = mark.bounds()
    assert (box.x, box.y, box.width, box.height) == pytest.approx((17, 27, 6, 6))
    ink = picture([without_arcs(mark)], (15, 25, 10, 10), 50)
    assert ink.sum() / 50**2 == pytest.approx(area, rel=0.002)
    assert np.abs(ink - ink[::-1]).max() < 0.1
    assert np.abs(ink - np.rot90(ink)).max() < 0.1


def without_arcs(path: Path) -> Path:
    """The path with its arcs as cubic curves."""
    contours = []
    for contour in path.contours:
        segments: list[Line | Cubic] = []
        at = contour.start
        for segment in contour.segments:
            segments += arc_to_cubics(at, segment) if isinstance(segment, Arc) else [segment]
            at = segment.end
        contours.append(Contour(contour.start, tuple(segments)))
    return Path(tuple(contours))
