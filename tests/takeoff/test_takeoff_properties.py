"""What holds for every run: the rule kept, and never a marker more than it needs.

The rule is judged here from its own words and the run's layout alone, not by the windows that
the program works with.
"""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layouts.schemes.loader import load_spacing, spacing_keys
from layouts.takeoff import Fitting, PipeRun, Room, SpacingRule, take_off
from layouts.takeoff.along import Layout, lay_out
from layouts.takeoff.windows import reach
from layouts.terms.words import Setting

FT = 304.8
SLACK = 1e-5
PLANT = load_spacing(
    {
        "key": "plant",
        "extends": "common-40ft",
        "indoor": "30 ft",
        "branches": "3 ft",
        "valves": "1 ft",
    }
)
ONE_SIDED = [
    PLANT,
    *(load_spacing(key) for key in spacing_keys() if not load_spacing(key).before_and_after),
]
RULES = [*ONE_SIDED, load_spacing("common-40ft-both")]
LENGTHS = st.floats(0.1, 900).map(lambda feet: feet * FT)
SETTINGS = st.sampled_from(Setting)


@st.composite
def counted_runs(draw: st.DrawFn) -> PipeRun:
    counts = st.integers(0, 6)
    return PipeRun(
        draw(LENGTHS),
        turns=draw(counts),
        branches=draw(counts),
        valves=draw(counts),
        penetrations=draw(st.none() | counts),
        rooms=draw(st.integers(1, 5)),
        setting=draw(SETTINGS),
    )


@st.composite
def placed_runs(draw: st.DrawFn) -> PipeRun:
    """Whole feet from 4 to 150, everything at a known place."""
    length = draw(st.integers(4, 150))

    def some() -> tuple[float, ...]:
        spots = draw(st.lists(st.integers(0, length), max_size=4, unique=True))
        return tuple(spot * FT for spot in spots)

    walls = sorted(draw(st.sets(st.integers(1, length - 1), max_size=3)))
    rooms = tuple(
        Room(f"room {end}", (end - start) * FT) for start, end in pairwise((0, *walls, length))
    )
    return PipeRun(length * FT, some(), some(), some(), some(), rooms=rooms, setting=draw(SETTINGS))


def missing(run: PipeRun, rule: SpacingRule, layout: Layout, places: list[float]) -> list[str]:
    """What the rule asks for and the places do not give."""
    faults = []
    spacing = rule.spacing(run.setting)
    if any(two - one > spacing + SLACK for one, two in pairwise(places)):
        faults.append("interval")
    if not places or places[0] > spacing / 2 + SLACK:
        faults.append("start")
    if not places or places[-1] < run.length - spacing / 2 - SLACK:
        faults.append("end")
    for fitting in layout.fittings:
        distance = reach(rule, fitting.kind)
        near = distance is not None and any(
            abs(place - fitting.at) <= distance + SLACK for place in places
        )
        if distance is not None and not near:
            faults.append(f"{fitting.kind} {fitting.number}")
    if rule.once_per_room:
        faults += [
            room.name
            for room in layout.rooms
            if not any(room.start - SLACK <= place <= room.end + SLACK for place in places)
        ]
    return faults


@pytest.mark.parametrize("rule", ONE_SIDED, ids=lambda rule: rule.key)
@settings(deadline=None)
@given(run=counted_runs() | placed_runs())
def test_every_wish_of_the_rule_is_served(rule: SpacingRule, run: PipeRun) -> None:
    takeoff = take_off(run, rule)
    places = [spot.at for spot in takeoff.spots]
    assert missing(run, rule, lay_out(run), places) == []


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.key)
@settings(deadline=None)
@given(run=counted_runs() | placed_runs())
def test_spots_are_in_order_on_the_pipe_and_have_reasons(rule: SpacingRule, run: PipeRun) -> None:
    takeoff = take_off(run, rule)
    places = [spot.at for spot in takeoff.spots]
    layout = lay_out(run)
    assert places == sorted(set(places))
    assert all(0 <= place <= run.length + SLACK for place in places)
    for spot in takeoff.spots:
        assert spot.reasons
        room = next(room for room in layout.rooms if room.name == spot.room)
        assert room.start - SLACK <= spot.at <= room.end + SLACK
    # No marker sits in a wall or on a fitting: it keeps the clearance, or stands mid-leg.
    ats = (*(each.at for each in layout.fittings), *layout.walls)
    barred = sorted({round(at, 4) for at in ats})
    for place in places:
        off = sorted(abs(place - each) for each in barred)
        legs = [two - one for one, two in pairwise(sorted({0.0, *barred, round(run.length, 4)}))]
        assert not off or off[0] >= min(rule.clear, min(legs) / 2) - 1e-4


@settings(deadline=None)
@given(run=counted_runs() | placed_runs())
def test_before_and_after_every_turn(run: PipeRun) -> None:
    rule = load_spacing("common-40ft-both")
    places = [spot.at for spot in take_off(run, rule).spots]
    turns = sorted({each.at for each in lay_out(run).fittings if each.kind is Fitting.TURN})
    assert rule.turns is not None
    for start, end in pairwise(sorted({0.0, *turns, run.length})):
        if end - start <= rule.short_leg + SLACK:
            continue
        if end in turns:
            assert any(max(start, end - rule.turns) - SLACK <= each < end for each in places)
        if start in turns:
            assert any(start < each <= min(end, start + rule.turns) + SLACK for each in places)


def fewest(run: PipeRun, rule: SpacingRule, layout: Layout) -> int:
    """The least number of places on a half-foot grid that the rule takes, by exhaustion.

    All lengths of the run and the rule are whole half feet, so the best answer is on the grid.
    """
    barred = {round(at, 4) for at in (*(each.at for each in layout.fittings), *layout.walls)}
    edges = sorted({0.0, *barred, round(run.length, 4)})

    def stands(place: float) -> bool:
        for one, two in pairwise(edges):
            if one - SLACK <= place <= two + SLACK:
                keep = min(rule.clear, (two - one) / (2 if {one, two} <= barred else 1))
                low = one + keep if one in barred else one
                high = two - keep if two in barred else two
                if low - SLACK <= place <= high + SLACK:
                    return True
        return False

    grid = [step * FT / 2 for step in range(round(run.length / FT * 2) + 1)]
    grid = [place for place in grid if stands(place)]
    spacing = rule.spacing(run.setting)
    wishes = [
        (each.at - near, each.at + near)
        for each in layout.fittings
        if (near := reach(rule, each.kind)) is not None
    ]
    if rule.once_per_room:
        wishes += [(room.start, room.end) for room in layout.rooms]
    wishes += [(0.0, spacing / 2), (run.length - spacing / 2, run.length)]
    # best[place]: fewest places up to and with this one, every wish that ends before it served
    best: dict[float, int] = {}
    for place in grid:
        options = [
            1 + (0 if other is None else best[other])
            for other in [None, *best]
            if (other is None or place - other <= spacing + SLACK)
            and not any(
                (other is None or low > other + SLACK) and high < place - SLACK
                for low, high in wishes
            )
        ]
        if options:
            best[place] = min(options)
    return min(
        count for place, count in best.items() if not any(low > place + SLACK for low, _ in wishes)
    )


@pytest.mark.parametrize(
    "rule",
    [PLANT, load_spacing("common-40ft"), load_spacing("nasa-gsfc-8006")],
    ids=lambda rule: rule.key,
)
@settings(max_examples=40, deadline=None)
@given(run=placed_runs())
def test_no_marker_too_many(rule: SpacingRule, run: PipeRun) -> None:
    assert take_off(run, rule).quantity == fewest(run, rule, lay_out(run))


@pytest.mark.parametrize("rule", ONE_SIDED, ids=lambda rule: rule.key)
@settings(deadline=None)
@given(run=counted_runs(), longer=st.floats(1, 3))
def test_a_longer_run_never_takes_fewer(rule: SpacingRule, run: PipeRun, longer: float) -> None:
    stretched = PipeRun(
        run.length * longer,
        run.turns,
        run.branches,
        run.valves,
        run.penetrations,
        run.rooms,
        setting=run.setting,
    )
    assert take_off(stretched, rule).quantity >= take_off(run, rule).quantity


@settings(deadline=None)
@given(run=counted_runs())
def test_a_count_is_never_lost(run: PipeRun) -> None:
    layout = lay_out(run)
    walls = len(run.room_list) - 1
    wanted = {
        Fitting.TURN: run.turns,
        Fitting.BRANCH: run.branches,
        Fitting.VALVE: run.valves,
        Fitting.PENETRATION: walls if run.penetrations is None else run.penetrations,
    }
    for kind, count in wanted.items():
        assert sum(each.kind is kind for each in layout.fittings) == count
    assert len(layout.rooms) == walls + 1
    places = [each.at for each in layout.fittings]
    assert len(set(places)) == len(places)


@settings(deadline=None)
@given(run=placed_runs())
def test_two_runs_joined_keep_the_spacing(run: PipeRun) -> None:
    rule = load_spacing("common-40ft")
    places = [spot.at for spot in take_off(run, rule).spots]
    joined = [*places, *(place + run.length for place in places)]
    spacing = rule.spacing(run.setting)
    assert all(two - one <= spacing + SLACK for one, two in pairwise(joined))


@settings(deadline=None)
@given(run=placed_runs())
def test_a_marker_that_serves_a_fitting_says_so(run: PipeRun) -> None:
    rule = PLANT
    takeoff = take_off(run, rule)
    for fitting in lay_out(run).fittings:
        near = reach(rule, fitting.kind)
        assert near is not None
        kind = {Fitting.TURN: "elbow", Fitting.PENETRATION: "wall"}.get(fitting.kind, fitting.kind)
        text = f"at {kind} {fitting.number}, within"
        for spot in takeoff.spots:
            said = any(reason.text.startswith(text) for reason in spot.reasons)
            distance = abs(spot.at - fitting.at)
            assert said == (distance <= near) or abs(distance - near) < SLACK
