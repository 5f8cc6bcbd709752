"""Takeoff against examples worked by hand; each rule's source stands in its data row.

All positions are feet from the run's start. A fitting keeps 1 ft (12 in, our own choice) clear,
so beside a turn at 20 ft the center of a marker may stand at 18 to 19 ft or 21 to 22 ft.
"""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from layouts.schemes.loader import (
    eye_height,
    load_spacing,
    spacing_from_toml,
    spacing_keys,
)
from layouts.schemes.rows import STATUSES
from layouts.takeoff import Cause, PipeRun, Room, SpacingRule, Takeoff, take_off
from layouts.terms.errors import InputError
from layouts.terms.words import Run, Setting, Side

FT = 304.8
COMMON = load_spacing("common-40ft")  # ammonia training-provider summary, common practice
BOTH = load_spacing("common-40ft-both")  # with the ammonia guideline 2014 summary for turns
NASA = load_spacing("nasa-gsfc-8006")  # NASA GSFC-STD-8006 4.2.2 (2017)


def feet(*places: float) -> tuple[float, ...]:
    return tuple(place * FT for place in places)


def places(takeoff: Takeoff) -> list[float]:
    return [spot.at / FT for spot in takeoff.spots]


def causes(takeoff: Takeoff) -> list[list[Cause]]:
    return [[reason.cause for reason in spot.reasons] for spot in takeoff.spots]


@pytest.mark.parametrize(
    ("length", "setting", "expected"),
    [
        # 100 / 20 = 5 intervals of 20 ft, a marker in the middle of each
        (100, Setting.INDOOR, [10, 30, 50, 70, 90]),
        # 101 / 20 = 5.05: six intervals of 16.83 ft
        (101, Setting.INDOOR, [101 / 12 * odd for odd in (1, 3, 5, 7, 9, 11)]),
        (20, Setting.INDOOR, [10]),
        # 50 ft outdoors: 100 / 50 = 2 intervals
        (100, Setting.OUTDOOR, [25, 75]),
        (50, Setting.OUTDOOR, [25]),
        (7, Setting.OUTDOOR, [3.5]),
    ],
)
def test_nasa_on_straight_runs(length: float, setting: Setting, expected: list[float]) -> None:
    takeoff = take_off(PipeRun(length * FT, setting=setting), NASA)
    assert places(takeoff) == pytest.approx(expected)
    assert all(cause == [Cause.INTERVAL] for cause in causes(takeoff))


def test_common_rule_on_a_straight_run() -> None:
    # 100 / 40 = 2.5: three intervals of 33.3 ft, a marker in the middle of each
    takeoff = take_off(PipeRun(100 * FT), COMMON)
    assert places(takeoff) == pytest.approx([100 / 6, 50, 500 / 6])
    assert takeoff.spots[0].text == "16 ft 8 in from start (40 ft max. spacing)"


def test_common_rule_with_two_turns() -> None:
    # 60 ft, turns at 20 and 40. The first marker must be within 20 ft of the start and within
    # 2 ft of the turn at 20, off the elbow: at 18 to 19, and 19 is nearest to past the turn.
    # The second is within 2 ft of the turn at 40 and 20 ft of the end: half way between 1 ft
    # clear and 2 ft off, past the turn: 41.5.
    takeoff = take_off(PipeRun(60 * FT, turns=feet(20, 40)), COMMON)
    assert places(takeoff) == pytest.approx([19, 41.5])
    assert [spot.reasons[0].text for spot in takeoff.spots] == [
        "at elbow 1, within 2 ft",
        "at elbow 2, within 2 ft",
    ]
    # 41.5 is 18.5 from the end: without the first the start would be 41.5 from a marker
    assert causes(takeoff) == [[Cause.TURN, Cause.INTERVAL], [Cause.TURN, Cause.INTERVAL]]


def test_common_rule_through_three_rooms() -> None:
    # 45 ft in three rooms of 15: walls at 15 and 30, a marker off each wall by 1 ft or more.
    # Room 1's marker at 14 serves the first wall (13 to 17) too; room 2's at 29 the second
    # (28 to 32); room 3 is left with one of its own, in its middle.
    rooms = tuple(Room(name, 15 * FT) for name in ("dock", "freezer", "engine room"))
    takeoff = take_off(PipeRun(45 * FT, rooms=rooms), COMMON)
    assert places(takeoff) == pytest.approx([14, 29, 37.5])
    assert [spot.room for spot in takeoff.spots] == ["dock", "freezer", "engine room"]
    assert [cause[:2] for cause in causes(takeoff)] == [
        [Cause.PENETRATION, Cause.ROOM],
        [Cause.PENETRATION, Cause.ROOM],
        [Cause.ROOM],
    ]
    assert takeoff.notes == ("a wall is taken between each two of 3 rooms",)


@pytest.mark.parametrize(
    ("apart", "shared"),
    [(1, True), (3, True), (4, True), (4.1, False), (10, False)],
)
def test_turns_share_a_marker_while_their_two_feet_overlap(apart: float, shared: bool) -> None:
    # Turns at 15 and 15 + apart on 30 ft: 2 ft past the one is 2 ft before the other up to 4 ft.
    takeoff = take_off(PipeRun(30 * FT, turns=feet(15, 15 + apart)), COMMON)
    texts = [{reason.text for reason in spot.reasons} for spot in takeoff.spots]
    turns = {"at elbow 1, within 2 ft", "at elbow 2, within 2 ft"}
    assert any(turns <= text for text in texts) is shared
    assert takeoff.quantity == (1 if shared else 2)


def test_before_and_after_a_turn() -> None:
    # 100 ft, a turn at 50. One before at 48 to 49, one after at 51 to 52: 48.5 and 51.5. The
    # 48.5 ft to either end are an interval and a half: 32.3 ft apart and 16.2 from the end.
    takeoff = take_off(PipeRun(100 * FT, turns=feet(50)), BOTH)
    assert places(takeoff) == pytest.approx([48.5 / 3, 48.5, 51.5, 100 - 48.5 / 3])
    assert [spot.reasons[0].text for spot in takeoff.spots[1:3]] == [
        "within 2 ft before elbow 1",
        "within 2 ft after elbow 1",
    ]


@pytest.mark.parametrize(
    ("leg", "between"),
    # The ammonia guideline's 2014 summary lets a leg of 24 in that turns again go without.
    [(18, 0), (24, 0), (25, 1), (40, 1), (49, 2)],
)
def test_a_short_leg_that_turns_again_needs_no_marker(leg: int, between: int) -> None:
    # 60 ft, a turn at 30 ft and one a leg of so many inches further. Up to 48 in one marker is
    # both after the first turn and before the second.
    second = 30 + leg / 12
    takeoff = take_off(PipeRun(60 * FT, turns=feet(30, second)), BOTH)
    inside = [place for place in places(takeoff) if 30 < place < second]
    assert len(inside) == between
    left_out = [note for note in takeoff.notes if "24 in" in note]
    assert len(left_out) == (1 if between == 0 else 0)


def test_a_row_of_counts() -> None:
    # 120 ft, 2 rooms, 2 turns, 1 valve, no positions. With the wall between the rooms four
    # things stand 120 / 5 = 24 ft apart, mixed by their share (turns at 1/4 and 3/4, valve and
    # wall at 1/2): turn 24, valve 48, wall 72, turn 96. The valve has no distance in this rule.
    # Turn 1 takes 25.5, the wall 73.5, turn 2 97.5 (half way from 1 ft to 2 ft past them).
    # The start wants one up to 20: 25.5 is an interval and a half, so 8.5. From 25.5 to 73.5 is
    # 48, more than 40: one in the middle. The end is 22.5 from turn 2's: one and a half: 112.5.
    takeoff = take_off(PipeRun(120 * FT, turns=2, valves=1, rooms=2), COMMON)
    assert places(takeoff) == pytest.approx([8.5, 25.5, 49.5, 73.5, 97.5, 112.5])
    assert [spot.room for spot in takeoff.spots] == ["room 1"] * 3 + ["room 2"] * 3
    assert takeoff.notes == (
        "only the number is known of 2 turns, 1 valve: spread evenly along the run",
        "the lengths of 2 rooms are not known: their walls are spread evenly",
        "a wall is taken between each two of 2 rooms",
        "the rule common-40ft gives no distance from 1 valve: none is marked",
    )


def test_counts_are_spread_round_what_is_known() -> None:
    # 60 ft with a wall at 20: two turns of unknown place go where they stand widest apart, both
    # into the 40 ft behind the wall: 20 + 40 / 3 = 33.3 and 46.7; the third into the 20 before.
    rooms = (Room("dock", 20 * FT), Room("cooler"))
    takeoff = take_off(PipeRun(60 * FT, turns=2, rooms=rooms), COMMON)
    turns = [spot.at / FT for spot in takeoff.spots if spot.reasons[0].cause is Cause.TURN]
    assert turns == pytest.approx([20 + 40 / 3 + 1.5, 20 + 80 / 3 + 1.5])
    takeoff = take_off(PipeRun(60 * FT, turns=3, rooms=rooms), COMMON)
    turns = [spot.at / FT for spot in takeoff.spots if spot.reasons[0].cause is Cause.TURN]
    assert turns == pytest.approx([11.5, 20 + 40 / 3 + 1.5, 20 + 80 / 3 + 1.5])


def test_walls_given_by_place_part_the_rooms() -> None:
    run = PipeRun(90 * FT, penetrations=feet(30, 70), rooms=(Room("a"), Room("b"), Room("c")))
    takeoff = take_off(run, COMMON)
    assert {spot.room: spot.at > 30 * FT for spot in takeoff.spots if spot.room != "c"} == {
        "a": False,
        "b": True,
    }
    assert not takeoff.notes


def test_penetrations_beyond_the_walls_are_spread() -> None:
    # Two rooms and three penetrations: the wall, and two of roof or floor. Four equal parts.
    takeoff = take_off(PipeRun(100 * FT, penetrations=3, rooms=2), COMMON)
    beside = [spot.at / FT for spot in takeoff.spots if spot.reasons[0].cause is Cause.PENETRATION]
    assert beside == pytest.approx([26.5, 51.5, 76.5])


def test_rooms_without_walls_between_them() -> None:
    # An open hall: two rooms, no penetration, so no marker for a wall, and one in each room.
    takeoff = take_off(PipeRun(20 * FT, penetrations=0, rooms=2), COMMON)
    assert [spot.room for spot in takeoff.spots] == ["room 1", "room 2"]
    assert causes(takeoff) == [[Cause.ROOM], [Cause.ROOM]]


def test_seen_from_both_sides() -> None:
    one, both = (take_off(PipeRun(100 * FT, side=side), COMMON) for side in (Side.ONE, Side.BOTH))
    assert (one.quantity, one.per_spot, one.markers) == (3, 1, 3)
    assert (both.quantity, both.per_spot, both.markers) == (3, 2, 6)
    riser = take_off(PipeRun(100 * FT, lie=Run.VERTICAL, side=Side.BOTH), COMMON)
    assert riser.markers == 6


def test_a_plants_own_rule() -> None:
    # 30 ft, beside valves within 3 ft: 60 ft with a valve at 30 is a marker at 15, then one
    # between 1 and 3 ft past the valve (the clearance comes from the rule it starts from).
    rule = spacing_from_toml(
        """
        extends = "common-40ft"
        key = "our-plant"
        title = "30 ft and valves"
        indoor = "30 ft"
        valves = "3 ft"
        """,
        "spacing.toml",
    )
    assert (rule.source, rule.status) == (
        "the plant's own rule, from common-40ft",
        "common practice",
    )
    takeoff = take_off(PipeRun(60 * FT, valves=feet(30)), rule)
    assert places(takeoff) == pytest.approx([32 / 3, 32, 60 - 28 / 3])
    own = {"key": "x", "title": "x", "indoor": "9 ft", "outdoor": "9 m"}
    assert load_spacing(own).source == "the plant's own rule"


@pytest.mark.parametrize(
    ("table", "codes"),
    [
        ({"key": "x", "extends": "nothing"}, ["spacing-unknown"]),
        ({"key": "common-40ft", "extends": "common-40ft"}, ["spacing-key-taken"]),
        ({"key": "x", "extends": "common-40ft", "indoor": "3 ft"}, ["spacing-value"]),
        ({"key": "x", "extends": "common-40ft", "turns": "6 in"}, ["spacing-value"]),
        ({"key": "x", "extends": "nasa-gsfc-8006", "before_and_after": True}, ["spacing-missing"]),
        ({"key": "x", "extends": "common-40ft", "elbows": "2 ft"}, ["spacing-unknown-key"]),
        ({"key": "x"}, ["spacing-missing"] * 3),
        ({"key": "x", "title": "x", "indoor": 40, "outdoor": "0 ft"}, ["spacing-type"]),
        ({"key": "x", "title": "x", "indoor": "4 ft", "outdoor": "0 ft"}, ["spacing-value"]),
    ],
)
def test_faults_of_a_plants_own_rule(table: dict[str, object], codes: list[str]) -> None:
    with pytest.raises(InputError) as caught:
        load_spacing(table, "order.toml")
    assert [finding.code for finding in caught.value.findings] == codes
    assert all(finding.place.file == "order.toml" for finding in caught.value.findings)


def test_an_unknown_rule_names_those_there_are() -> None:
    with pytest.raises(InputError, match="common-40ft, common-40ft-both, nasa-gsfc-8006"):
        load_spacing("every-so-often")


def test_every_rule_says_where_it_is_known_from() -> None:
    for key in spacing_keys():
        rule = load_spacing(key)
        assert rule.source
        assert rule.status in STATUSES
    # ASME A13.1 gives no number, so it is not a rule
    assert not any("a13" in key for key in spacing_keys())
    assert eye_height().height == 5 * FT


@pytest.mark.parametrize(
    ("fields", "faulty"),
    [
        ({"length": 0.0}, ["length"]),
        ({"length": math.inf}, ["length"]),
        ({"length": -5.0, "turns": -1, "height": -2.0}, ["length", "turns", "height"]),
        ({"length": 10 * FT, "valves": (11 * FT,)}, ["valves"]),
        ({"length": 10 * FT, "branches": 5000}, ["branches"]),
        ({"length": 10 * FT, "penetrations": (-1.0, math.nan)}, ["penetrations"] * 2),
        ({"length": 10 * FT, "rooms": 0}, ["rooms"]),
        ({"length": 10 * FT, "rooms": (Room("a", 4 * FT), Room("b", 5 * FT))}, ["rooms"]),
        ({"length": 10 * FT, "rooms": (Room("a", 10 * FT), Room("b"))}, ["rooms"]),
        ({"length": 10 * FT, "rooms": (Room("a", 0.0), Room("b"))}, ["rooms"]),
    ],
)
def test_what_cannot_be_a_run(fields: dict[str, object], faulty: list[str]) -> None:
    with pytest.raises(InputError) as caught:
        PipeRun(**fields)  # type: ignore[arg-type]
    assert [finding.place.field for finding in caught.value.findings] == faulty


def test_the_same_run_gives_the_same_takeoff() -> None:
    run = PipeRun(333 * FT, turns=5, valves=3, branches=2, rooms=4)
    assert take_off(run, COMMON) == take_off(run, COMMON)


def rule_with(**fields: object) -> SpacingRule:
    return load_spacing({"key": "own", "extends": "common-40ft", **fields})


def test_beside_every_kind_of_fitting() -> None:
    # 100 ft outdoors, one of each at 20, 40, 60, 80, each within 3 ft, 1 ft clear: 2 ft past it.
    # The start (20 or less) is served before the turn, at 17 to 19: nearest past it is 19.
    rule = rule_with(turns="3 ft", branches="3 ft", valves="3 ft", penetrations="3 ft")
    run = PipeRun(
        100 * FT,
        turns=feet(20),
        branches=feet(40),
        valves=feet(60),
        penetrations=feet(80),
        setting=Setting.OUTDOOR,
    )
    takeoff = take_off(run, rule)
    assert places(takeoff) == pytest.approx([19, 42, 62, 82])
    assert [cause[0] for cause in causes(takeoff)] == [
        Cause.TURN,
        Cause.BRANCH,
        Cause.VALVE,
        Cause.PENETRATION,
    ]


@pytest.mark.parametrize("rule", [load_spacing(key) for key in spacing_keys()], ids=lambda r: r.key)
@pytest.mark.parametrize(
    "rooms",
    [
        (Room("hall", 100 * FT), Room("niche", 0.5)),
        (Room("hall", 100 * FT - 1e-7), Room("niche")),
        (Room("niche", 0.0005), Room("hall")),
    ],
)
def test_a_room_as_thin_as_its_wall_does_not_stop_the_walk(
    rule: SpacingRule, rooms: tuple[Room, ...]
) -> None:
    places = [spot.at for spot in take_off(PipeRun(100 * FT, rooms=rooms), rule).spots]
    spacing = rule.spacing(Setting.INDOOR)
    assert all(two - one <= spacing + 1e-3 for one, two in pairwise(places))
    assert places[0] <= spacing / 2 + 1e-3
    assert places[-1] >= 100 * FT - spacing / 2 - 1e-3
