"""Openings keep a millimeter of material around them (common practice, no source) and off the film.

Each is placed exactly at its limit and a hundredth of a millimeter beyond it.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from layouts.drawing import Path, Rect, Size, rectangle
from layouts.face import Face, compose
from layouts.face.holes import hole_faults
from layouts.face.model import Part
from layouts.plan.design import Plate
from layouts.terms.words import PartRole
from tests.face.test_measured_face import FACES, FILM, PLAIN, PLATE

EDGE = "a hole is nearer than 1 mm to the edge of the tag"
NEAR = "two holes of the tag are nearer than 1 mm to each other"
UNDER = "a hole of the plate lies under the film"


def tag_with(*boxes: Rect) -> Face:
    holes = Path(())
    for box in boxes:
        holes = holes.joined(rectangle(box))
    size = Size(50.0, 40.0)
    part = Part(PartRole.TAG, size, rectangle(Rect(0, 0, 50, 40)), holes, (), 0.0)
    return replace(compose(PLAIN, FACES), parts=(part,))


def faults(face: Face) -> list[str]:
    return list(hole_faults(face))


@pytest.mark.parametrize(("by", "found"), [(0.0, []), (0.01, [EDGE])])
def test_a_hole_is_a_millimeter_off_every_edge(by: float, found: list[str]) -> None:
    for box in (
        Rect(1 - by, 20, 5, 5),
        Rect(50 - 6 + by, 20, 5, 5),
        Rect(20, 1 - by, 5, 5),
        Rect(20, 40 - 6 + by, 5, 5),
    ):
        assert faults(tag_with(box)) == found
        # One that is well placed beside it changes nothing.
        assert faults(tag_with(Rect(30, 15, 5, 5), box)) == found


@pytest.mark.parametrize(("by", "found"), [(0.0, []), (0.01, [NEAR])])
def test_holes_are_a_millimeter_apart(by: float, found: list[str]) -> None:
    one = Rect(20, 15, 5, 5)
    for other in (
        Rect(26 - by, 15, 5, 5),
        Rect(14 + by, 15, 5, 5),
        Rect(20, 21 - by, 5, 5),
        Rect(20, 9 + by, 5, 5),
    ):
        assert faults(tag_with(one, other)) == found
    # Beside each other in one direction is enough.
    assert faults(tag_with(one, Rect(26, 16, 5, 5))) == []
    assert faults(tag_with(one, Rect(21, 22, 5, 5))) == []


def test_a_part_without_holes_has_no_faults() -> None:
    assert faults(compose(PLAIN, FACES)) == []
    assert faults(tag_with()) == []


def plated(plate: Plate, *boxes: Rect) -> list[str]:
    """Faults of film of 200 x 50 on its plate, whose openings are these boxes."""
    face = compose(replace(PLAIN, plate=plate), FACES)
    holes = Path(())
    for box in boxes:
        holes = holes.joined(rectangle(box))
    film, carrier = face.parts
    film = replace(film, size=FILM)
    size = Size(200 + 2 * plate.border + plate.ears * plate.ear, 50 + 2 * plate.border)
    return faults(replace(face, parts=(film, replace(carrier, size=size, holes=holes))))


@pytest.mark.parametrize(("by", "found"), [(0.0, []), (0.01, [UNDER])])
def test_no_opening_reaches_under_the_film(by: float, found: list[str]) -> None:
    # An ear of 20 and a border of 8: the film lies from 28 to 228 and from 8 to 58.
    for box in (
        Rect(22 + by, 30, 6, 4),
        Rect(228 - by, 30, 6, 4),
        Rect(100, 2 + by, 6, 6),
        Rect(100, 58 - by, 6, 6),
    ):
        assert plated(PLATE, box) == found
    # A flag's film begins at the same place, and no ear follows it.
    flag = replace(PLATE, ears=1)
    assert plated(flag, Rect(22 + by, 30, 6, 4)) == found
    assert plated(flag, Rect(228 - by, 30, 6, 4)) == found


def test_openings_as_made_are_clean() -> None:
    for plate in (PLATE, replace(PLATE, ears=1), replace(PLATE, middle=True, rivet_hole=3.0)):
        assert faults(compose(replace(PLAIN, plate=plate), FACES)) == []
