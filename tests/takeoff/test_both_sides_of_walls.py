"""The default rule marks what people mark first: branches, valves, both sides of a wall.

Common practice, no source; summaries of ASME A13.1 and BS 1710 ask for the places without a number.
"""

from __future__ import annotations

import pytest

from layouts.schemes.loader import load_spacing, spacing_from_toml
from layouts.takeoff import Cause, PipeRun, Room, take_off
from layouts.terms.errors import InputError

FOOT = 304.8


def test_branch_and_valve_are_marked() -> None:
    run = PipeRun(length=30 * FOOT, branches=(10 * FOOT,), valves=(20 * FOOT,))
    spots = take_off(run, load_spacing()).spots
    for place in (10, 20):
        assert any(abs(spot.at / FOOT - place) <= 2 for spot in spots), place


def test_a_wall_is_marked_on_both_sides() -> None:
    rooms = (Room("engine room", 50 * FOOT), Room("corridor", 50 * FOOT))
    spots = take_off(PipeRun(length=100 * FOOT, rooms=rooms), load_spacing()).spots
    near = [spot for spot in spots if abs(spot.at / FOOT - 50) <= 2]
    assert [spot.room for spot in near] == ["engine room", "corridor"]
    assert all(Cause.PENETRATION in {each.cause for each in spot.reasons} for spot in near)


def test_a_wall_at_the_end_of_a_run_has_one_side() -> None:
    spots = take_off(PipeRun(length=30 * FOOT, penetrations=(30 * FOOT,)), load_spacing()).spots
    walls = [spot for spot in spots if Cause.PENETRATION in {each.cause for each in spot.reasons}]
    assert [round(spot.at / FOOT, 1) for spot in walls] == [28.5]


def test_both_sides_need_a_distance() -> None:
    with pytest.raises(InputError) as caught:
        spacing_from_toml(
            'key = "x"\ntitle = "x"\nindoor = "40 ft"\noutdoor = "40 ft"\nboth_sides = true', "x"
        )
    assert [each.place.field for each in caught.value.findings] == ["penetrations"]
