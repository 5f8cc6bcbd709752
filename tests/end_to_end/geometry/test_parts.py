"""Holes, plates and wraps: what a drill or a knife must not touch."""

from __future__ import annotations

import itertools
import math

import pytest

from layouts.drawing.document import Fill
from layouts.drawing.inks import InkRole
from layouts.face import Face, Part
from layouts.terms.words import Outline, PartRole
from tests.helpers.matrix import EVERY, IN, PAIRWISE, Case, alone, drawn, flag
from tests.helpers.shapes import Points, gap, inside, polygons

EDGE = 2.0  # least material around a hole, mm; common practice, no source
CLEAR = 1.0  # least distance of letters from a hole or an edge, mm; our own choice
THIRD_OVER = 36 * IN  # a longer plate bows between two straps: from memory
TAG_HOLE = 5.0  # for a wire or a chain, mm; common practice, no source

TAGS = [
    {"tag": tag, "service": "HPL", "function": function, "emergency": emergency, "shape": shape}
    for (tag, function), emergency, shape in itertools.product(
        [("HV-1", ""), ("HV-118", "King valve"), ("PSV-2047", "Relief to the vent header")],
        [False, True],
        ["rectangle", "round"],
    )
]


def letters(face: Face) -> list[Points]:
    """The outlines of letters and arrows of the printed part: they are painted last."""
    (part,) = (part for part in face.parts if part.art)
    words = sum(len(line) for line in face.design.lines)
    lines = face.design.wrap.lines if face.design.wrap else 1
    fills = [shape for shape in part.art if isinstance(shape, Fill)][-words * lines :]
    assert {fill.ink.role for fill in fills if fill.ink} <= {InkRole.BLACK, InkRole.PAPER}
    return [ring for fill in fills for ring in polygons(fill.path)]


def middle(ring: Points) -> tuple[float, float]:
    x, y = (ring.min(axis=0) + ring.max(axis=0)) / 2
    return float(x), float(y)


def test_the_distance_used_here_is_that_of_circles() -> None:
    """Two circles of 10 and 4 mm whose middles are 20 mm apart leave 13 mm."""
    from layouts.drawing import Point, circle

    (one,), (other,) = polygons(circle(Point(0, 0), 10)), polygons(circle(Point(12, 16), 4))
    assert gap(one, other) == pytest.approx(13, abs=0.01)
    assert inside((0, 0), one)
    assert not inside((12, 16), one)


@pytest.mark.parametrize("fields", TAGS, ids=lambda each: "-".join(map(str, each.values())))
def test_a_tag_has_one_hole_inside_its_outline_and_clear_of_letters(
    fields: dict[str, object],
) -> None:
    face = alone({"kind": "valve", **fields})[1].face
    (part,) = face.parts
    assert part.role is PartRole.TAG
    assert part.round is (fields["shape"] == Outline.ROUND)
    assert part.holes is not None
    (hole,), (outline,) = polygons(part.holes), polygons(part.outline)
    assert (hole.max(axis=0) - hole.min(axis=0)) == pytest.approx(TAG_HOLE, abs=0.01)
    assert middle(hole)[0] == pytest.approx(part.size.width / 2)
    assert inside(middle(hole), outline)
    assert gap(hole, outline) >= EDGE
    rings = letters(face)
    assert rings
    for ring in rings:
        assert not inside(middle(hole), ring)
        assert gap(ring, hole) >= CLEAR
        assert inside((float(ring[0, 0]), float(ring[0, 1])), outline)
        assert gap(ring, outline) >= CLEAR


@pytest.mark.parametrize("case", [case for case in PAIRWISE if "plate" in case.build], ids=str)
def test_openings_stand_outside_the_film(case: Case) -> None:
    openings_stand_outside_the_film(case)


@pytest.mark.full
@pytest.mark.parametrize("case", [case for case in EVERY if "plate" in case.build], ids=str)
def test_openings_stand_outside_the_film_in_every_case(case: Case) -> None:
    openings_stand_outside_the_film(case)


def test_the_slots_of_a_flag_stand_outside_its_film() -> None:
    film, plate = flag()[1].face.parts
    # The film lies a border from the plate's right end; the ear with the slots is at its left.
    right = plate.size.width - film.size.width - (plate.size.height - film.size.height) / 2
    clear_of_the_film(film, plate, right, count=2)


def openings_stand_outside_the_film(case: Case) -> None:
    film, plate = drawn(case)[1].face.parts
    # The film lies in the middle of its plate, a border and an ear from the ends.
    count = 6 if plate.size.width > THIRD_OVER else 4
    clear_of_the_film(film, plate, (plate.size.width - film.size.width) / 2, count=count)


def clear_of_the_film(film: Part, plate: Part, left: float, count: int) -> None:
    assert (film.role, plate.role) == (PartRole.FILM, PartRole.PLATE)
    assert film.holes is None
    assert plate.art == ()
    assert plate.holes is not None
    shift = (left, (plate.size.height - film.size.height) / 2)
    (lying,), (outline,) = polygons(film.outline), polygons(plate.outline)
    lying = lying + shift
    openings = polygons(plate.holes)
    assert len(openings) == count
    for one, other in itertools.combinations(openings, 2):
        assert gap(one, other) >= EDGE
    for opening in openings:
        assert inside(middle(opening), outline)
        assert not inside(middle(opening), lying)
        assert gap(opening, lying) >= EDGE - 1e-9
        assert gap(opening, outline) >= EDGE


@pytest.mark.parametrize("case", [case for case in PAIRWISE if case.build == "wrap"], ids=str)
def test_a_wrap_is_girth_and_overlap_without_a_hole_and_no_letter_is_covered(case: Case) -> None:
    face = drawn(case)[1].face
    (part,) = face.parts
    wrap = face.design.wrap
    assert wrap is not None
    assert part.holes is None
    girth = math.pi * case.table.od * IN
    assert part.size.height == pytest.approx(girth + wrap.overlap)
    covered = wrap.overlap  # the underlap, at the top of the blank
    for ring in letters(face):
        assert ring[:, 1].min() >= covered
        assert ring[:, 1].max() <= part.size.height


def test_a_film_marker_has_no_hole() -> None:
    for case in PAIRWISE:
        if case.build == "film":
            (part,) = drawn(case)[1].face.parts
            assert (part.role, part.holes) == (PartRole.FILM, None)
