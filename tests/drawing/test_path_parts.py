"""Lettering as glyphs at their places: the same box, area and points as its contours have."""

from __future__ import annotations

import pytest

from layouts.drawing import Affine, Path
from layouts.drawing.lettering import outline
from layouts.papers.materials.ink_area import enclosed_area
from render.read.fonts import default_typefaces
from tests.helpers.raw_outlines import raw

MAPS = (
    Affine.move(12.5, -3.0),
    Affine.quarter_turns(1).then(Affine.move(40.0, 7.0)),
    Affine(-1.0, 0.0, 0.0, 1.0, 80.0, 0.0),
    Affine(0.8, 0.6, -0.6, 0.8, 1.0, 2.0),
)


def lettering() -> Path:
    return outline(default_typefaces().dark, "LT REC 8", 25.4).path


@pytest.mark.parametrize("by", MAPS)
def test_an_image_is_that_of_every_contour(by: Affine) -> None:
    path = lettering().mapped(by)
    flat = Path(path.contours)
    assert path.parts
    assert path.count == len(flat.contours) > 7
    box, expected = path.bounds(), flat.bounds()
    assert (box.x, box.y) == pytest.approx((expected.x, expected.y), abs=1e-9)
    assert (box.right, box.bottom) == pytest.approx((expected.right, expected.bottom), abs=1e-9)
    assert abs(path.area()) == pytest.approx(enclosed_area(flat), rel=1e-9)
    whole = Path(tuple(each.mapped(by) for each in lettering().contours))
    for one, other in zip(path.contours, whole.contours, strict=True):
        assert one.start.distance(other.start) < 1e-9


def test_letters_are_as_high_as_the_font_file_says() -> None:
    font = raw("dark")
    low, high = font.bounds("8")[1], font.bounds("8")[3]
    box = lettering().bounds()
    assert box.height == pytest.approx((high - min(low, 0)) / font.cap * 25.4, rel=0.02)


def test_maps_in_a_row_are_one_map() -> None:
    first, second = MAPS[0], MAPS[1]
    twice, once = lettering().mapped(first).mapped(second), lettering().mapped(first.then(second))
    assert twice.bounds().x == pytest.approx(once.bounds().x, abs=1e-9)
    assert len(twice.parts) == 1


def test_nothing_is_nothing() -> None:
    empty = Path.of(())
    assert (empty.count, empty.contours) == (0, ())
    with pytest.raises(ValueError, match="nothing"):
        empty.bounds()
