"""Builds at the edges of every limit. Limits are common practice, no source, unless marked.

Films: vinyl under 150 F, polyester under 220 F, both down to -40 F. Adhesives from 50 F and from
-20 F. Frost at 32 F, sweat below 55 F, nylon straps brittle below 0 F, burns from 140 F.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from layouts.order.order import Environment
from layouts.plan.build import (
    Build,
    BuildQuestion,
    ExpectedSurface,
    Mount,
    choose_build,
    strapped_for,
    with_third_strap,
)
from layouts.terms.words import Setting

IN = 25.4
BARE = BuildQuestion(od=12.75 * IN)
JACKET = replace(BARE, insulated=True)
ACRYLIC, COLD = "general acrylic adhesive", "low-temperature adhesive"


def expects(fahrenheit: float, *, asks: bool = True, hot: bool = False) -> ExpectedSurface:
    return ExpectedSurface(fahrenheit, "a cold line", "its source", asks, hot)


def codes(build: Build) -> list[str]:
    return [finding.code for finding in build.findings]


def texts(build: Build) -> list[str]:
    return [text for text, _ in build.reasons]


@pytest.mark.parametrize(
    ("question", "mount", "film", "found"),
    [
        (replace(BARE, surface_max_f=149.9), Mount.FILM, "vinyl film", []),
        (replace(BARE, surface_max_f=150), Mount.STRAPPED_PLATE, "polyester film", []),
        (replace(BARE, surface_max_f=219.9), Mount.STRAPPED_PLATE, "polyester film", []),
        (replace(BARE, surface_max_f=220), Mount.STAND_OFF, "polyester film", []),
        (replace(BARE, od=None, surface_max_f=219.9), Mount.FILM, "polyester film", []),
        (replace(BARE, surface_max_f=55), Mount.FILM, "vinyl film", []),
        (replace(BARE, surface_max_f=54.9), Mount.STRAPPED_PLATE, "vinyl film", ["wet-surface"]),
        (replace(BARE, od=None, surface_max_f=54.9), Mount.STAND_OFF, "vinyl film",
         ["wet-surface"]),
        (replace(BARE, surface_max_f=31.9), Mount.STAND_OFF, "vinyl film", ["frost-not-given"]),
        (replace(BARE, surface_max_f=32), Mount.STRAPPED_PLATE, "vinyl film", ["wet-surface"]),
        (replace(BARE, frost=0.1), Mount.STAND_OFF, "vinyl film", []),
        # What is expected of a line is asked about, unless something else asks already.
        (replace(BARE, expected=expects(20)), Mount.STAND_OFF, "vinyl film", ["bare-cold"]),
        (replace(BARE, expected=expects(20, asks=False)), Mount.STAND_OFF, "vinyl film", []),
        (replace(BARE, expected=expects(40)), Mount.STRAPPED_PLATE, "vinyl film",
         ["wet-surface"]),
        (replace(BARE, expected=expects(40, asks=False)), Mount.STRAPPED_PLATE, "vinyl film", []),
        (replace(BARE, expected=expects(200, hot=True)), Mount.STRAPPED_PLATE, "polyester film",
         ["bare-hot"]),
        (replace(BARE, expected=expects(100, hot=True)), Mount.FILM, "vinyl film", ["bare-hot"]),
        (replace(BARE, expected=expects(200)), Mount.STRAPPED_PLATE, "polyester film", []),
        # A temperature that is given counts before one that is expected.
        (replace(BARE, surface_max_f=100, expected=expects(20, asks=False)), Mount.FILM,
         "vinyl film", []),
        # The film's own limit of -40 F.
        (replace(JACKET, surface_max_f=-40, applied_at_f=60), Mount.FILM, "vinyl film", []),
        (replace(JACKET, surface_max_f=-41, applied_at_f=60), Mount.STRAPPED_PLATE, "vinyl film",
         ["film-too-cold"]),
        (replace(JACKET, applied_at_f=-41), Mount.STRAPPED_PLATE, "vinyl film",
         ["film-too-cold"]),
        (replace(BARE, hung=True, surface_max_f=-60), Mount.HUNG_TAG, "vinyl film", []),
        (replace(BARE, tag=True, surface_max_f=-60), Mount.FLAG_TAG, "vinyl film",
         ["film-too-cold"]),
        # Off the surface the room counts: 0 F where none is given.
        (replace(BARE, frost=IN, surface_max_f=-60), Mount.STAND_OFF, "vinyl film", []),
        (replace(BARE, frost=IN, surface_max_f=-60, applied_at_f=-40), Mount.STAND_OFF,
         "vinyl film", []),
        (replace(BARE, frost=IN, surface_max_f=-60, applied_at_f=-41), Mount.STAND_OFF,
         "vinyl film", ["film-too-cold"]),
        # Jackets: only a given temperature says that one is hot.
        (replace(JACKET, surface_max_f=149.9), Mount.FILM, "vinyl film", []),
        (replace(JACKET, surface_max_f=150), Mount.STRAPPED_PLATE, "polyester film",
         ["jacket-hot"]),
        (replace(JACKET, frost=0.1), Mount.STRAPPED_PLATE, "vinyl film", ["jacket-frost"]),
        (replace(BARE, plate=True), Mount.STRAPPED_PLATE, "vinyl film", []),
        (replace(BARE, plate=True, frost=IN), Mount.STAND_OFF, "vinyl film", []),
        (replace(BARE, wrap=True), Mount.WRAP, "vinyl film", []),
        (replace(BARE, wrap=True, plate=True), Mount.STRAPPED_PLATE, "vinyl film",
         ["wrap-not-possible"]),
    ],
)  # fmt: skip
def test_what_a_place_calls_for(
    question: BuildQuestion, mount: Mount, film: str, found: list[str]
) -> None:
    build = choose_build(question)
    assert (build.mount, build.film, codes(build)) == (mount, film, found)
    assert (build.plate_material == "aluminum plate") is mount.has_plate


@pytest.mark.parametrize(
    ("question", "adhesive", "found"),
    [
        (replace(JACKET, applied_at_f=50), ACRYLIC, []),
        (replace(JACKET, applied_at_f=49.9), COLD, []),
        (replace(JACKET, applied_at_f=-20), COLD, []),
        (replace(JACKET, applied_at_f=-20.1), ACRYLIC, ["adhesive-too-cold"]),
        # A surface that never gets as warm as the adhesive needs.
        (replace(JACKET, surface_max_f=50), ACRYLIC, []),
        (replace(JACKET, surface_max_f=49.9), COLD, []),
        (replace(JACKET, surface_max_f=-20), COLD, []),
        (replace(JACKET, surface_max_f=-21), ACRYLIC, ["adhesive-too-cold"]),
        (replace(JACKET, surface_max_f=10, applied_at_f=60), ACRYLIC, []),
    ],
)
def test_the_adhesive_that_holds(question: BuildQuestion, adhesive: str, found: list[str]) -> None:
    build = choose_build(question)
    assert (build.adhesive, codes(build)) == (adhesive, found)
    # Where none holds, the shop puts the film on a plate.
    assert build.mount is (Mount.STRAPPED_PLATE if found else Mount.FILM)


@pytest.mark.parametrize(
    ("question", "reason"),
    [
        (BARE, "general acrylic adhesive: apply at 50 F or above"),
        (replace(JACKET, applied_at_f=60), "general acrylic adhesive: applied at 60 F"),
        (replace(JACKET, applied_at_f=0), "low-temperature adhesive: applied at 0 F"),
        (
            replace(JACKET, surface_max_f=0),
            "low-temperature adhesive: the surface never gets above 0 F",
        ),
        (replace(BARE, frost=IN), "general acrylic adhesive: the film goes on its plate"),
        (replace(BARE, hung=True), "hung on the valve by wire or chain"),
        (replace(BARE, tag=True), "a tag on a strap in place of a marker"),
        (replace(BARE, frost=IN), "frost of 1 in on a bare surface: stand-off plate"),
        (replace(BARE, surface_max_f=0), "frost on a bare surface: stand-off plate"),
        (replace(BARE, frost=IN), "stand-off plate, 1-1/2 in off the surface, 1/2 in over the"),
        (replace(BARE, surface_max_f=300), "stand-off plate, 1 in off the surface"),
        (BARE, "no surface temperature given: taken as under 150 F"),
        (replace(BARE, surface_max_f=100), "peak surface 100 F is under the 150 F"),
        (replace(BARE, expected=expects(100)), "a cold line, under the 150 F of plain film"),
        (replace(BARE, surface_max_f=160), "peak surface 160 F is too hot for plain film"),
        (replace(BARE, od=None, surface_max_f=160), "peak surface 160 F is too hot for plain"),
        (replace(BARE, surface_max_f=230), "peak surface 230 F is too hot for film or plate"),
        (JACKET, "on a jacket: nothing pierces or crushes"),
        (replace(BARE, wrap=True), "wrapped round the pipe, as ordered"),
        (replace(BARE, setting=Setting.OUTDOOR), "UV overlaminate: outdoors"),
        (replace(BARE, washdown=True), "clear overlaminate: washed down"),
        (replace(BARE, plate=True), "the straight run is too short: a plate on straps"),
        # pi x 12.75 in is 40.1 in; with a tail of 3 in 43.1, cut at 43-1/4.
        (replace(BARE, tag=True), "cut straps 43-1/4 in (40.1 in circumference + 3 in tail)"),
    ],
)
def test_each_choice_has_its_reason(question: BuildQuestion, reason: str) -> None:
    assert any(text.startswith(reason) for text in texts(choose_build(question)))


def test_a_stand_off_without_frost_speaks_of_none() -> None:
    said = texts(choose_build(replace(BARE, surface_max_f=300)))
    assert "stand-off plate, 1 in off the surface" in said


def test_a_strap_of_exactly_a_step_is_not_cut_longer() -> None:
    # The circumference that makes 36 in with the tail, and one a hair longer.
    od = (36 - 3) / math.pi * IN
    exact = choose_build(replace(BARE, od=od, tag=True))
    assert exact.strap_length == pytest.approx(36 * IN)
    longer = choose_build(replace(BARE, od=od + 0.01, tag=True))
    assert longer.strap_length == pytest.approx(36.25 * IN)


@pytest.mark.parametrize(
    ("question", "steel"),
    [
        (replace(JACKET, tag=True), False),
        # Nylon is brittle below 0 F (from memory), under frost and at 150 F and above.
        (replace(JACKET, tag=True, surface_max_f=0), False),
        (replace(JACKET, tag=True, surface_max_f=-0.1), True),
        (replace(JACKET, tag=True, applied_at_f=-0.1), True),
        (replace(BARE, tag=True, surface_max_f=32), False),
        (replace(BARE, tag=True, surface_max_f=31.9), True),
        (replace(JACKET, tag=True, surface_max_f=31.9), False),
        (replace(BARE, tag=True, surface_max_f=149), False),
        (replace(BARE, tag=True, surface_max_f=150), True),
        (replace(BARE, tag=True, frost=0.1), True),
        (replace(BARE, tag=True, washdown=True), True),
        (replace(BARE, tag=True, setting=Setting.OUTDOOR), True),
        (replace(BARE, tag=True, food_zone=True), True),
    ],
)
def test_what_breaks_nylon_takes_steel(question: BuildQuestion, steel: bool) -> None:
    assert choose_build(question).strap == ("stainless steel strap" if steel else "nylon strap")


def test_letters_that_would_wrap_out_of_sight_go_on_a_flat_plate() -> None:
    # A height h on a diameter D turns its edges by h / D: 50 degrees at 0.8727 D (derived).
    def made(letters: float, height: float) -> Build:
        return choose_build(BuildQuestion(od=100.0, letters=letters, marker_height=height))

    assert made(87.2, 90.0).mount is Mount.FILM
    turned = made(87.4, 90.0)
    assert turned.mount is Mount.STRAPPED_PLATE
    assert codes(turned) == ["letters-wrap-away"]
    assert "turn 50 degrees away" in turned.findings[0].what
    # Half the circumference is 157.08: a marker higher than that meets itself behind.
    assert made(50.0, 157.0).mount is Mount.FILM
    assert made(50.0, 157.2).mount is Mount.STRAPPED_PLATE
    flat = choose_build(BuildQuestion(od=None, letters=500.0, marker_height=500.0))
    assert (flat.mount, codes(flat)) == (Mount.FILM, [])


def test_edges_beyond_60_degrees_are_a_note_unless_the_table_says_so() -> None:
    # 60 degrees at a height of 1.0472 D (derived: cos 60 is a half).
    def found(height: float, **more: object) -> list[str]:
        question = BuildQuestion(od=100.0, letters=40.0, marker_height=height)
        return codes(choose_build(replace(question, **more)))  # type: ignore[arg-type]

    assert found(104.7) == []
    assert found(104.8) == ["edge-turned-away"]
    assert found(104.8, prescribed=True) == []
    assert found(104.8, tag=True) == []
    note = choose_build(BuildQuestion(od=100.0, letters=40.0, marker_height=120.0)).findings[0]
    # 1.2 and 0.4 radians.
    assert note.what == "the marker's edges wrap 69 degrees out of sight"
    assert note.right.startswith("its letters turn 23 degrees at most")


@pytest.mark.parametrize(
    ("question", "notes"),
    [
        (BARE, ["Apply to a dry, clean, cured surface."]),
        (replace(BARE, wrap=True), ["Apply to a dry, clean, cured surface."]),
        (replace(BARE, hung=True), []),
        (replace(BARE, hung=True, surface_max_f=140), ["Hot surface: burns skin."]),
        (replace(BARE, hung=True, surface_max_f=139.9), []),
        (replace(BARE, hung=True, washdown=True), ["Laminate: clear overlaminate."]),
        (
            replace(BARE, tag=True),
            [
                "Mount: flag tag.",
                "Film goes on the plate; openings of the plate lie outside the film.",
                "Straps: 1 x nylon strap, cut to the lengths listed.",
            ],
        ),
        (
            replace(BARE, od=None, frost=IN),
            [
                "Mount: stand-off plate, 1-1/2 in off the surface.",
                "Film goes on the plate; openings of the plate lie outside the film.",
                "Fix to steel or an existing bracket; never drill or weld a vessel.",
            ],
        ),
    ],
)
def test_the_notes_of_the_cut_file(question: BuildQuestion, notes: list[str]) -> None:
    assert list(choose_build(question).notes) == notes


def test_openings_of_the_plate() -> None:
    flag, strapped, posted = (
        choose_build(replace(BARE, **change)).plate
        for change in ({"tag": True}, {"plate": True}, {"frost": IN})
    )
    assert flag is not None
    assert strapped is not None
    assert posted is not None
    assert (flag.ears, strapped.ears, posted.ears) == (1, 2, 2)
    assert posted.slot_length == 0
    assert posted.slot_width == pytest.approx(9 / 32 * IN)
    assert (strapped.slot_length, strapped.slot_width) == pytest.approx((5 / 8 * IN, 3 / 16 * IN))


def test_the_size_of_a_plate_is_said_where_the_markers_is_known() -> None:
    # 14 x 2.5 in of face, a border of 1/4 in all round and an ear of 1 in at each end.
    sized = replace(BARE, plate=True, marker_length=14 * IN, marker_height=2.5 * IN)
    said = "aluminum plate of 16-1/2 in x 3 in or more, larger than the face"
    assert any(text.startswith(said) for text in texts(choose_build(sized)))
    for unknown in (replace(sized, marker_length=0.0), replace(sized, marker_height=0.0)):
        assert not any("or more, larger" in text for text in texts(choose_build(unknown)))


def test_a_third_strap_goes_through_the_middle() -> None:
    build = choose_build(replace(BARE, plate=True))
    assert build.straps == 2
    more = with_third_strap(build)
    assert more.straps == 3
    assert more.plate is not None
    assert more.plate.middle
    assert [note for note in more.notes if note.startswith("Straps")] == [
        "Straps: 3 x nylon strap, cut to the lengths listed."
    ]
    assert len(more.notes) == len(build.notes)
    posts = choose_build(replace(BARE, od=None, frost=IN))
    held = with_third_strap(posts)
    assert held.plate is not None
    assert (held.straps, held.plate.middle) == (0, True)


def test_the_last_resort_for_a_short_run_is_a_plate_on_straps() -> None:
    environment = Environment.model_validate({"setting": "outdoor", "washdown": True})
    build = strapped_for(environment, 12.75 * IN, insulated=True)
    assert (build.mount, build.laminate) == (Mount.STRAPPED_PLATE, "UV overlaminate")
    assert build.strap == "stainless steel strap"
    bare = strapped_for(Environment(), 12.75 * IN, insulated=False, expected=expects(20))
    assert bare.mount is Mount.STAND_OFF
    assert strapped_for(Environment(), 12.75 * IN, insulated=False).strap == "nylon strap"


def test_texts_of_materials_and_mounts() -> None:
    build = choose_build(replace(BARE, frost=IN, setting=Setting.OUTDOOR))
    assert build.film_text == "vinyl film, general acrylic adhesive, UV overlaminate"
    assert choose_build(BARE).film_text == "vinyl film, general acrylic adhesive"
    assert build.mount_text == (
        "stand-off plate, 1-1/2 in off the surface, 2 x stainless steel strap 43-1/4 in long"
    )
    assert choose_build(BARE).mount_text == "adhesive film"


def test_the_coldest_that_is_known() -> None:
    both = replace(BARE, surface_max_f=10, applied_at_f=20)
    assert (both.warmest_f, both.coldest_f) == (10, 10)
    assert replace(both, applied_at_f=-20).coldest_f == -20
    assert (BARE.warmest_f, BARE.coldest_f) == (None, None)
    assert replace(BARE, expected=expects(5)).coldest_f == 5
    assert replace(both, expected=expects(5)).warmest_f == 10
