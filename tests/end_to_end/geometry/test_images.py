"""Images of contours: what is known of the first one says the same as working it out anew."""

from __future__ import annotations

from functools import reduce

import pytest

from layouts.drawing import Affine, Contour, Rect, circle, rectangle
from layouts.pages.cuts import CutOptions, Known, prepare_cuts, travel
from tests.helpers.drawing_sample import LEAF, turned

FIRST = (
    LEAF.contours[0],
    rectangle(Rect(1.5, -2.25, 30.0, 8.0), 2.38125).contours[0],
    circle(LEAF.contours[0].start, 7.7).contours[0],
)
MAPS = (
    (Affine.move(12.7, -3.3),),
    (Affine.quarter_turns(1), Affine.move(0.1, 0.2), Affine.quarter_turns(3)),
    (Affine.scale(-1.0, 1.0), Affine.move(5.0, 5.0)),
    (Affine.scale(2.5), Affine.quarter_turns(2), Affine.move(1.0, 0.0)),
    (turned(33.0), Affine.move(4.0, 4.0)),
)


@pytest.mark.parametrize("maps", MAPS)
@pytest.mark.parametrize("first", FIRST)
def test_box_and_length_of_an_image_are_those_of_the_contour_itself(
    first: Contour, maps: tuple[Affine, ...]
) -> None:
    image = reduce(Contour.mapped, maps, first)
    anew = Contour(image.start, image.segments, image.closed)
    assert image == anew
    assert image.image_of is not None
    assert image.image_of[0] is first
    assert image.length() == pytest.approx(anew.length(), abs=1e-9)
    box, wanted = image.bounds(), anew.bounds()
    for mine, its in ((box.x, wanted.x), (box.y, wanted.y), (box.right, wanted.right)):
        assert mine == pytest.approx(its, abs=1e-9)
    assert box.bottom == pytest.approx(wanted.bottom, abs=1e-9)


def test_what_pages_share_changes_no_cut() -> None:
    known = Known()
    pages = [
        [
            contour.mapped(Affine.quarter_turns(turns).then(Affine.move(40.0 * n, 50.0 * turns)))
            for n, contour in enumerate(FIRST)
            for turns in range(page, page + 3)
        ]
        for page in range(3)
    ]
    for page in pages:
        assert prepare_cuts(page, CutOptions(), known) == prepare_cuts(page)


def test_equal_contours_are_cut_as_if_each_were_drawn_by_itself() -> None:
    """Of images and of the same contours drawn anew, travel and places are the same."""
    images = [
        FIRST[1].mapped(Affine.move(37.0 * column + 0.3 * row, 11.0 * row))
        for column in range(5)
        for row in range(6)
    ]
    anew = [Contour(each.start, each.segments) for each in images]
    cut, wanted = prepare_cuts(images), prepare_cuts(anew)
    assert travel(cut) == pytest.approx(travel(wanted), abs=1e-6)
    assert {corner(each) for each in cut} == {corner(each) for each in wanted}


def corner(contour: Contour) -> tuple[float, float]:
    return round(contour.bounds().x, 6), round(contour.bounds().y, 6)
