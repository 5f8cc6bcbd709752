"""Runs worked by hand, in plain millimeters: where things lie, what is asked, where markers go.

The rule here is a made-up one with round numbers: a marker every 1,000 mm, within 100 mm of each
fitting, 20 mm clear of it.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from layouts.schemes.spacing import SpacingRule
from layouts.takeoff import Cause, Fitting, PipeRun, Room, take_off
from layouts.takeoff.along import lay_out
from layouts.takeoff.places import Straights, fewest_places, straights
from layouts.takeoff.windows import Window, windows_of
from layouts.terms.errors import InputError
from layouts.terms.words import Setting, Side

RULE = SpacingRule(
    key="round",
    title="round numbers",
    indoor=1000.0,
    outdoor=2000.0,
    turns=100.0,
    before_and_after=False,
    short_leg=0.0,
    branches=100.0,
    valves=100.0,
    penetrations=100.0,
    both_sides=False,
    once_per_room=False,
    clear=20.0,
    source="made up",
    status="common practice",
)
PLAIN = replace(RULE, turns=None, branches=None, valves=None, penetrations=None)


def at(run: PipeRun, kind: Fitting) -> list[float]:
    return [each.at for each in lay_out(run).fittings if each.kind is kind]


def places(run: PipeRun, rule: SpacingRule = RULE) -> list[float]:
    return [spot.at for spot in take_off(run, rule).spots]


@pytest.mark.parametrize(
    ("count", "found"), [(0, []), (1, [500]), (2, [1000 / 3, 2000 / 3]), (3, [250, 500, 750])]
)
def test_counts_are_spread_evenly(count: int, found: list[float]) -> None:
    assert at(PipeRun(1000, turns=count), Fitting.TURN) == pytest.approx(found)


def test_kinds_are_mixed_along_the_run() -> None:
    # Two turns, one branch and two valves in six equal steps: a turn, a valve, the branch, and
    # again; each kind spread as evenly as the others allow.
    run = PipeRun(1200, turns=2, branches=1, valves=2)
    kinds = [(each.kind, each.number, each.at) for each in lay_out(run).fittings]
    assert kinds == [
        (Fitting.TURN, 1, 200.0),
        (Fitting.VALVE, 1, 400.0),
        (Fitting.BRANCH, 1, 600.0),
        (Fitting.TURN, 2, 800.0),
        (Fitting.VALVE, 2, 1000.0),
    ]


def test_counts_go_into_the_widest_legs_between_known_places() -> None:
    # Known at 550 of 1,000: one goes into the leg of 550, where a second would leave 183 between
    # them; in the leg of 450 it leaves 225.
    run = PipeRun(1000, turns=2, valves=(550.0,))
    assert at(run, Fitting.TURN) == pytest.approx([275, 775])
    assert at(replace(run, turns=1), Fitting.TURN) == pytest.approx([275])
    # Of equal legs the first.
    equal = PipeRun(1000, turns=1, valves=(500.0,))
    assert at(equal, Fitting.TURN) == pytest.approx([250])


def test_places_that_are_given_are_kept_and_numbered_in_order() -> None:
    run = PipeRun(1000, turns=(700.0, 200.0), branches=(200.0,))
    assert [(e.kind, e.number, e.at) for e in lay_out(run).fittings] == [
        (Fitting.TURN, 1, 200.0),
        (Fitting.BRANCH, 1, 200.0),
        (Fitting.TURN, 2, 700.0),
    ]


def rooms(run: PipeRun) -> list[tuple[str, float, float]]:
    return [(room.name, room.start, room.end) for room in lay_out(run).rooms]


def test_rooms_with_lengths_part_the_run_where_they_end() -> None:
    run = PipeRun(1000, rooms=(Room("dock", 300.0), Room("freezer", 700.0)))
    assert rooms(run) == [("dock", 0.0, 300.0), ("freezer", 300.0, 1000)]
    assert lay_out(run).walls == (300.0,)
    # A wall between every two rooms, unless the list counts them.
    assert at(run, Fitting.PENETRATION) == [300.0]
    assert at(replace(run, penetrations=0), Fitting.PENETRATION) == []
    assert len(at(replace(run, penetrations=2), Fitting.PENETRATION)) == 2


def test_rooms_without_a_length_share_the_rest() -> None:
    run = PipeRun(1000, rooms=(Room("a"), Room("b", 400.0), Room("c")))
    assert rooms(run) == [("a", 0.0, 300.0), ("b", 300.0, 700.0), ("c", 700.0, 1000)]


def test_rooms_of_no_known_length_get_walls_in_the_mixed_sequence() -> None:
    assert rooms(PipeRun(900, rooms=3)) == [
        ("room 1", 0.0, 300.0),
        ("room 2", 300.0, 600.0),
        ("room 3", 600.0, 900),
    ]
    run = PipeRun(900, rooms=2, turns=1)
    # One of each, a third of the way each.
    assert (at(run, Fitting.TURN), lay_out(run).walls) == ([300.0], (600.0,))
    assert rooms(PipeRun(900)) == [("", 0.0, 900)]


def test_walls_given_by_place_are_the_rooms_where_their_number_agrees() -> None:
    run = PipeRun(1000, rooms=2, penetrations=(400.0,))
    assert lay_out(run).walls == (400.0,)
    assert at(run, Fitting.PENETRATION) == [400.0]
    # A wall at the run's end parts no rooms; walls given twice are one.
    ends = replace(run, penetrations=(0.0, 400.0, 400.0, 1000.0))
    assert lay_out(ends).walls == (400.0,)
    other = replace(run, penetrations=(200.0, 600.0))
    assert lay_out(other).walls == pytest.approx((400.0,))
    assert at(other, Fitting.PENETRATION) == [200.0, 600.0]


@pytest.mark.parametrize(
    ("run", "notes"),
    [
        (PipeRun(1000), ()),
        (PipeRun(1000, turns=(100.0,)), ()),
        (
            PipeRun(1000, turns=1, branches=3),
            ("only the number is known of 1 turn, 3 branches: spread evenly along the run",),
        ),
        (
            PipeRun(1000, rooms=2),
            (
                "the lengths of 2 rooms are not known: their walls are spread evenly",
                "a wall is taken between each two of 2 rooms",
            ),
        ),
        (
            PipeRun(1000, rooms=(Room("a", 400.0), Room("b", 600.0))),
            ("a wall is taken between each two of 2 rooms",),
        ),
        (PipeRun(1000, rooms=(Room("a", 400.0), Room("b", 600.0)), penetrations=0), ()),
    ],
)
def test_what_was_assumed_is_said(run: PipeRun, notes: tuple[str, ...]) -> None:
    assert lay_out(run).notes == notes


def windows(run: PipeRun, rule: SpacingRule) -> list[tuple[Cause, float, float, float]]:
    found = windows_of(run, lay_out(run), rule)
    return [(each.cause, each.start, each.end, each.wish) for each in found]


def test_the_ends_of_a_run_ask_for_a_marker_within_half_the_spacing() -> None:
    assert windows(PipeRun(3000), PLAIN) == [
        (Cause.INTERVAL, 0, 500, 250),
        (Cause.INTERVAL, 2500, 3000, 3000),
    ]
    whole = [(Cause.INTERVAL, 0, 500, 250)]
    assert windows(PipeRun(500), PLAIN) == whole
    assert len(windows(PipeRun(501), PLAIN)) == 2
    outdoors = PipeRun(3000, setting=Setting.OUTDOOR)
    assert windows(outdoors, PLAIN)[0] == (Cause.INTERVAL, 0, 1000, 500)


def test_a_fitting_asks_for_a_marker_beside_it() -> None:
    # Within 100 of it and 20 clear: at 60 beyond it is best.
    for kind in ("turns", "branches", "valves", "penetrations"):
        run = PipeRun(3000, **{kind: (1000.0,)})  # type: ignore[arg-type]
        assert windows(run, RULE)[0][1:] == (900, 1100, 1060)
        assert len(windows(run, PLAIN)) == 2
    near_end = PipeRun(3000, turns=(50.0, 2950.0))
    assert [each[1:3] for each in windows(near_end, RULE)[:2]] == [(0, 150), (2850, 3000)]


def test_both_sides_of_a_wall_ask_for_a_marker() -> None:
    rule = replace(RULE, both_sides=True)
    assert windows(PipeRun(3000, penetrations=(1000.0,)), rule)[:2] == [
        (Cause.PENETRATION, 900, 1000, 940),
        (Cause.PENETRATION, 1000, 1100, 1060),
    ]
    # A wall at an end has one side, and one near it a side as wide as there is.
    assert windows(PipeRun(3000, penetrations=(0.0,)), rule)[0] == (Cause.PENETRATION, 0, 100, 60)
    assert windows(PipeRun(3000, penetrations=(3000.0,)), rule)[0] == (
        Cause.PENETRATION,
        2900,
        3000,
        2940,
    )
    assert windows(PipeRun(3000, penetrations=(30.0, 2970.0)), rule)[:4] == [
        (Cause.PENETRATION, 0, 30, 0),
        (Cause.PENETRATION, 30, 130, 90),
        (Cause.PENETRATION, 2870, 2970, 2910),
        (Cause.PENETRATION, 2970, 3000, 3000),
    ]


def test_before_and_after_a_turn_each_in_its_own_leg() -> None:
    rule = replace(RULE, before_and_after=True, short_leg=50.0)
    assert windows(PipeRun(3000, turns=(1000.0,)), rule)[:2] == [
        (Cause.TURN, 900, 1000, 940),
        (Cause.TURN, 1000, 1100, 1060),
    ]
    # A leg of 60 is shorter than the distance; one of 50 is too short to ask for anything.
    narrow = windows(PipeRun(3000, turns=(1000.0, 1060.0)), rule)[:4]
    assert narrow[1:3] == [(Cause.TURN, 1000, 1060, 1060), (Cause.TURN, 1000, 1060, 1000)]
    short = windows(PipeRun(3000, turns=(1000.0, 1050.0)), rule)
    assert [each[:3] for each in short[:2]] == [(Cause.TURN, 900, 1000), (Cause.TURN, 1050, 1150)]
    assert len(short) == 4
    (note,) = take_off(PipeRun(3000, turns=(1000.0, 1050.0)), rule).notes
    assert note.endswith("of their own: 1 left out")
    assert take_off(PipeRun(3000, turns=(1000.0,)), rule).notes == ()
    # Without a turn there is no leg, however short the run is.
    assert take_off(PipeRun(40), rule).notes == ()


def test_what_the_rule_gives_no_distance_from_is_said() -> None:
    run = PipeRun(3000, turns=(1000.0,), valves=(1500.0, 2000.0))
    assert take_off(run, PLAIN).notes == (
        "the rule round gives no distance from 1 turn, 2 valves: none is marked",
    )
    assert take_off(run, RULE).notes == ()


def test_every_room_asks_for_one_in_its_middle() -> None:
    rule = replace(PLAIN, once_per_room=True)
    run = PipeRun(3000, rooms=(Room("dock", 1000.0), Room("freezer", 2000.0)))
    assert windows(run, rule)[:2] == [
        (Cause.ROOM, 0, 1000, 500),
        (Cause.ROOM, 1000, 3000, 2000),
    ]
    texts = [each.text for each in windows_of(run, lay_out(run), rule)]
    assert texts[0] == "at least one in dock"
    alone = PipeRun(3000)
    assert windows_of(alone, lay_out(alone), rule)[0].text == "at least one in every room"


def stretches(run: PipeRun, clear: float = 20.0) -> tuple[tuple[float, float], ...]:
    return straights(run.length, lay_out(run), clear).stretches


def test_markers_keep_clear_of_fittings_but_not_of_the_runs_ends() -> None:
    assert stretches(PipeRun(1000)) == ((0, 1000),)
    assert stretches(PipeRun(1000, turns=(300.0,))) == ((0, 280), (320, 1000))
    # A leg of 30 between two fittings allows its middle; one of 10 at an end its end.
    assert stretches(PipeRun(1000, turns=(300.0, 330.0)))[1] == (315, 315)
    assert stretches(PipeRun(1000, turns=(10.0,)))[0] == (0, 0)
    assert stretches(PipeRun(1000, turns=(990.0,)))[1] == (1000, 1000)
    # Fittings nearer than a micrometer are at one place.
    assert len(stretches(PipeRun(1000, turns=(300.0,), valves=(300.0005,)))) == 2
    # A fitting at the very start keeps its clearance there.
    assert stretches(PipeRun(1000, turns=(0.0,))) == ((20, 1000),)
    walls = PipeRun(1000, rooms=(Room("a", 400.0), Room("b", 600.0)), penetrations=0)
    assert stretches(walls) == ((0, 380), (420, 1000))


def test_the_last_place_up_to_a_limit_and_the_first_beyond() -> None:
    free = straights(1000.0, lay_out(PipeRun(1000, turns=(300.0, 600.0))), 20.0)
    assert free.stretches == ((0, 280), (320, 580), (620, 1000))
    assert [free.last_up_to(limit) for limit in (100, 280, 300, 320, 400, 2000)] == [
        100,
        280,
        280,
        320,
        400,
        1000,
    ]
    assert free.onward(100, 50) == 150
    # From the end of a stretch, with too little to get over the turn: the next stretch begins.
    assert free.onward(280, 10) == 320
    assert free.onward(1000, 10) == 1000
    assert free.nearest(300, 0, 1000) == 280  # of two as near, the first
    assert free.nearest(305, 0, 1000) == 320
    assert free.nearest(100, 150, 1000) == 150
    assert free.nearest(500, 0, 150) == 150
    assert free.nearest(500, 285, 315) is None
    assert free.nearest(280, 280, 280) == 280


@pytest.mark.parametrize(
    ("length", "found"),
    [
        # A run of exactly one spacing has one marker, in its middle; a longer one two.
        (1000, [500]),
        (1001, [1001 / 4, 3003 / 4]),
        (2000, [500, 1500]),
        (3000, [500, 1500, 2500]),
        (3300, [412.5, 1237.5, 2062.5, 2887.5]),
    ],
)
def test_straight_runs_have_a_marker_in_the_middle_of_each_interval(
    length: float, found: list[float]
) -> None:
    assert places(PipeRun(length), PLAIN) == pytest.approx(found)


def test_a_run_of_one_spacing_says_at_least_one() -> None:
    def said(length: float) -> list[list[str]]:
        return [[r.text for r in spot.reasons] for spot in take_off(PipeRun(length), PLAIN).spots]

    assert said(1000) == [["at least one on every run"]]
    assert said(1001) == [["3.3 ft max. spacing"]] * 2
    # Where a fitting has a marker already, nothing more is said of it.
    turned = take_off(PipeRun(1000, turns=(480.0,)), RULE)
    (spot,) = turned.spots
    assert [reason.cause for reason in spot.reasons] == [Cause.TURN]


def test_a_marker_that_keeps_the_spacing_as_well_says_both() -> None:
    # Turns at 500 and 1,450: markers at 520 and 1,480. Without the second the end of 1,900 would
    # lie more than 500 from a marker; the first as well for the start.
    run = PipeRun(1900, turns=(500.0, 1450.0))
    causes = [[r.cause for r in spot.reasons] for spot in take_off(run, RULE).spots]
    assert causes == [[Cause.TURN, Cause.INTERVAL]] * 2


def test_fittings_share_a_marker_while_their_distances_overlap() -> None:
    for apart, markers in ((100, 1), (200, 1), (201, 2)):
        run = PipeRun(900, turns=(350.0, 350.0 + apart))
        rule = replace(RULE, indoor=2000.0)
        assert len(places(run, rule)) == markers


def test_a_room_is_a_reason_only_for_the_one_marker_in_it() -> None:
    rule = replace(RULE, once_per_room=True)
    run = PipeRun(1000, rooms=(Room("dock", 500.0), Room("freezer", 500.0)), penetrations=0)
    spots = take_off(run, rule).spots
    assert [spot.reasons[0].text for spot in spots] == [
        "at least one in dock",
        "at least one in freezer",
    ]
    assert [spot.room for spot in spots] == ["dock", "freezer"]
    long = take_off(PipeRun(3000), rule)
    assert all(r.cause is Cause.INTERVAL for spot in long.spots for r in spot.reasons)


def test_the_text_of_a_spot() -> None:
    run = PipeRun(1000, turns=(480.0,), rooms=(Room("dock", 1000.0),))
    (spot,) = take_off(run, RULE).spots
    # 500 mm are 1 ft 7-11/16 in, said to the inch; 100 mm are 0.3 ft.
    assert spot.text == "at elbow 1, within 0.3 ft (1 ft 8 in from start, dock)"
    walls = take_off(PipeRun(3000, penetrations=(1000.0,)), RULE)
    assert any("at wall 1" in spot.text for spot in walls.spots)
    valves = take_off(PipeRun(3000, valves=(1000.0,)), RULE)
    assert any("at valve 1" in spot.text for spot in valves.spots)


def test_both_hands_double_the_markers() -> None:
    one, both = (take_off(PipeRun(2000, side=side), PLAIN) for side in (Side.ONE, Side.BOTH))
    assert (one.quantity, one.per_spot, one.markers) == (2, 1, 2)
    assert (both.quantity, both.per_spot, both.markers) == (2, 2, 4)


def test_a_window_with_no_free_place_takes_the_nearest() -> None:
    # A room of 10 mm between two walls at 500 and 510: only its middle is free.
    run = PipeRun(1000, rooms=(Room("a", 500.0), Room("b", 10.0), Room("c", 490.0)))
    free = straights(run.length, lay_out(run), 20.0)
    window = Window(Cause.ROOM, 500.0, 502.0, 501.0, "")
    assert fewest_places([window], free, 1000.0) == [505.0]


@pytest.mark.parametrize(
    ("fields", "faulty"),
    [
        ({"length": 10.0}, None),
        ({"length": 9.9}, "length"),
        ({"length": 1e6}, None),
        ({"length": 1e6 + 1}, "length"),
        ({"length": 1000.0, "turns": 200}, None),
        ({"length": 1000.0, "turns": 201}, "turns"),
        ({"length": 1000.0, "turns": -1}, "turns"),
        ({"length": 1000.0, "valves": (0.0, 1000.0)}, None),
        ({"length": 1000.0, "valves": (-1.0,)}, "valves"),
        ({"length": 1000.0, "valves": (1000.1,)}, "valves"),
        ({"length": 1000.0, "valves": (1.0,) * 200}, None),
        ({"length": 1000.0, "valves": (1.0,) * 201}, "valves"),
        ({"length": 1000.0, "height": 0.0, "distance": 0.0}, None),
        ({"length": 1000.0, "height": -1.0}, "height"),
        ({"length": 1000.0, "distance": float("inf")}, "distance"),
        ({"length": 1000.0, "rooms": 200}, None),
        ({"length": 1000.0, "rooms": 201}, "rooms"),
        ({"length": 1000.0, "rooms": 0}, "rooms"),
        ({"length": 1000.0, "rooms": (Room("a", 0.0), Room("b"))}, "rooms"),
        # Room lengths may miss the run's by a millimeter.
        ({"length": 1000.0, "rooms": (Room("a", 499.0), Room("b", 500.0))}, None),
        ({"length": 1000.0, "rooms": (Room("a", 501.0), Room("b", 500.0))}, None),
        ({"length": 1000.0, "rooms": (Room("a", 498.9), Room("b", 500.0))}, "rooms"),
        ({"length": 1000.0, "rooms": (Room("a", 501.1), Room("b", 500.0))}, "rooms"),
        ({"length": 1000.0, "rooms": (Room("a", 1000.0), Room("b"))}, "rooms"),
        ({"length": 1000.0, "rooms": (Room("a", 999.9), Room("b"))}, None),
    ],
)
def test_the_limits_of_a_run(fields: dict[str, object], faulty: str | None) -> None:
    if faulty is None:
        PipeRun(**fields)  # type: ignore[arg-type]
        return
    with pytest.raises(InputError) as caught:
        PipeRun(**fields)  # type: ignore[arg-type]
    assert [each.place.field for each in caught.value.findings] == [faulty]


def test_a_place_off_a_run_of_no_length_is_said_only_where_it_is_impossible() -> None:
    with pytest.raises(InputError) as caught:
        PipeRun(1.0, turns=(500.0,), valves=(-1.0,), rooms=(Room("a", 1.0),))
    assert [each.place.field for each in caught.value.findings] == ["length", "valves"]


def between(length: float, spacing: float) -> list[Window]:
    """What the spacing asks of a run by itself: a marker within half of it from each end."""
    half = spacing / 2
    return [
        Window(Cause.INTERVAL, 0.0, half, half / 2, ""),
        Window(Cause.INTERVAL, length - half, length, length, ""),
    ]


@pytest.mark.parametrize(
    ("stretches", "length", "spacing", "expected"),
    [
        # Evenly spread, the first would have to be off the fittings at 3,500.
        (
            ((0, 1500), (3500, 10000), (12000, 19750), (21500, 21500)),
            *(21500, 6000),
            [1500, 7500, 13437.5, 18812.5],
        ),
        # Evenly spread, the last would be 1,050 from the end.
        (((0, 1950), (2550, 3450), (4050, 4500)), 4500, 2000, [850, 2550, 4050]),
        # The last two are one spacing apart, which keeps it: the others are spread.
        (
            ((0, 1000), (2125, 2125), (3250, 3750), (5750, 6000)),
            *(6000, 2000),
            [750, 2125, 3750, 5750],
        ),
    ],
)
def test_markers_are_spread_only_where_that_keeps_the_spacing(
    stretches: tuple[tuple[float, float], ...],
    length: float,
    spacing: float,
    expected: list[float],
) -> None:
    places = fewest_places(between(length, spacing), Straights(length, stretches), spacing)
    assert places == pytest.approx(expected)
    ends = (-places[0], *places, 2 * length - places[-1])  # an end is half a spacing away
    assert all(two - one <= spacing + 1e-6 for one, two in pairwise(ends))


def test_a_stretch_without_a_free_place_is_served_from_the_very_end_of_the_run() -> None:
    room = Window(Cause.ROOM, 100.0, 200.0, 150.0, "")
    assert fewest_places([room], Straights(1000.0, ((0.0, 0.0), (800.0, 1000.0))), 5000.0) == [0.0]
