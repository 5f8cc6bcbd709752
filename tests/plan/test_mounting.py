"""Mounting decisions. All limits are common practice, no source, unless marked."""

from __future__ import annotations

import math
from dataclasses import fields, is_dataclass, replace
from typing import Any

import pytest

from layouts.plan.build import Build, BuildQuestion, Mount, choose_build
from layouts.schemes.loader import load_practice
from layouts.schemes.practice import build_practice
from layouts.schemes.rows import STATUSES
from layouts.terms.errors import InputError
from layouts.terms.findings import Severity
from layouts.terms.words import Setting

IN = 25.4
BARE = BuildQuestion(od=4.5 * IN, marker_length=14 * IN, marker_height=2.5 * IN)
JACKET = replace(BARE, insulated=True, od=16.75 * IN, marker_length=40 * IN, marker_height=4.5 * IN)
GENERAL, LOW = "general acrylic adhesive", "low-temperature adhesive"


def codes(build: Build) -> list[str]:
    return [finding.code for finding in build.findings]


@pytest.mark.parametrize(
    ("question", "mount", "film", "found"),
    [
        (BARE, Mount.FILM, "vinyl film", []),
        (replace(BARE, surface_max_f=149), Mount.FILM, "vinyl film", []),
        # plain film stays under 150 F at its peak
        (replace(BARE, surface_max_f=150), Mount.STRAPPED_PLATE, "polyester film", []),
        (replace(BARE, surface_max_f=190), Mount.STRAPPED_PLATE, "polyester film", []),
        (replace(BARE, surface_max_f=220), Mount.STAND_OFF, "polyester film", []),
        (replace(BARE, surface_max_f=270), Mount.STAND_OFF, "polyester film", []),
        # a hot machine takes the film itself: there is nothing to strap a plate to
        (replace(BARE, surface_max_f=190, od=None), Mount.FILM, "polyester film", []),
        (replace(BARE, surface_max_f=230, od=None), Mount.STAND_OFF, "polyester film", []),
        # never on frost
        (replace(BARE, frost=IN), Mount.STAND_OFF, "vinyl film", []),
        (replace(BARE, frost=IN, surface_max_f=160), Mount.STAND_OFF, "polyester film", []),
        (replace(BARE, surface_max_f=10), Mount.STAND_OFF, "vinyl film", ["frost-not-given"]),
        (replace(BARE, surface_max_f=32), Mount.STRAPPED_PLATE, "vinyl film", ["wet-surface"]),
        (replace(BARE, surface_max_f=54), Mount.STRAPPED_PLATE, "vinyl film", ["wet-surface"]),
        (replace(BARE, surface_max_f=55), Mount.FILM, "vinyl film", []),
        # the film's own service temperature, -40 F by common practice
        (replace(BARE, surface_max_f=-50), Mount.STAND_OFF, "vinyl film", ["frost-not-given"]),
        (replace(JACKET, surface_max_f=-41), Mount.STRAPPED_PLATE, "vinyl film",
         ["film-too-cold"]),
        (replace(BARE, wrap=True), Mount.WRAP, "vinyl film", []),
        (replace(BARE, wrap=True, frost=IN), Mount.STAND_OFF, "vinyl film", ["wrap-not-possible"]),
        (replace(BARE, wrap=True, od=None), Mount.FILM, "vinyl film", ["wrap-not-possible"]),
        (replace(BARE, tag=True), Mount.FLAG_TAG, "vinyl film", []),
        # on a jacket only film, wrap and straps, whatever the pipe is like
        (JACKET, Mount.FILM, "vinyl film", []),
        (replace(JACKET, wrap=True), Mount.WRAP, "vinyl film", []),
        (replace(JACKET, surface_max_f=20), Mount.FILM, "vinyl film", []),
        (replace(JACKET, frost=IN), Mount.STRAPPED_PLATE, "vinyl film", ["jacket-frost"]),
        (replace(JACKET, surface_max_f=200), Mount.STRAPPED_PLATE, "polyester film",
         ["jacket-hot"]),
        (replace(JACKET, applied_at_f=-30), Mount.STRAPPED_PLATE, "vinyl film",
         ["adhesive-too-cold"]),
    ],
)  # fmt: skip
def test_mounts(question: BuildQuestion, mount: Mount, film: str, found: list[str]) -> None:
    build = choose_build(question)
    assert (build.mount, build.film, codes(build)) == (mount, film, found)


@pytest.mark.parametrize(
    ("applied_at_f", "adhesive"),
    [(None, GENERAL), (70, GENERAL), (50, GENERAL), (49, LOW), (0, LOW), (-20, LOW)],
)
def test_adhesive_by_the_temperature_at_application(
    applied_at_f: float | None, adhesive: str
) -> None:
    assert choose_build(replace(BARE, applied_at_f=applied_at_f)).adhesive == adhesive


def test_film_on_a_plate_is_put_on_in_the_shop() -> None:
    build = choose_build(replace(BARE, frost=IN, applied_at_f=-40))
    assert build.adhesive == GENERAL
    assert codes(build) == []


@pytest.mark.parametrize(
    ("setting", "washdown", "laminate"),
    [
        (Setting.INDOOR, False, None),
        (Setting.INDOOR, True, "clear overlaminate"),
        (Setting.OUTDOOR, False, "UV overlaminate"),
        (Setting.OUTDOOR, True, "UV overlaminate"),
    ],
)
def test_laminate(setting: Setting, washdown: bool, laminate: str | None) -> None:
    build = choose_build(replace(BARE, setting=setting, washdown=washdown))
    assert build.laminate == laminate
    assert any("aminate" in note for note in build.notes) is (laminate is not None)


@pytest.mark.parametrize("frost_in", [0.1, 0.5, 1.0, 2.5])
def test_a_stand_off_clears_the_frost(frost_in: float) -> None:
    build = choose_build(replace(BARE, frost=frost_in * IN))
    # at least half an inch over the frost, and never under an inch: our own choice
    assert build.stand_off == pytest.approx(max(1.0, frost_in + 0.5) * IN)
    assert choose_build(BARE).stand_off == 0


@pytest.mark.parametrize("od_in", [0.675, 4.5, 12.75, 18.75])
def test_strap_length(od_in: float) -> None:
    build = choose_build(replace(BARE, od=od_in * IN, frost=IN))
    # pi x covering diameter and a tail of 2 to 4 in; here 3 in, up to the next quarter inch
    tail = build.strap_length / IN - math.pi * od_in
    assert 3.0 <= tail < 3.25 + 1e-9
    assert (build.strap_length / IN * 4) % 1 == pytest.approx(0, abs=1e-6)
    assert build.straps == 2


def test_straps_by_mount() -> None:
    assert choose_build(BARE).straps == 0
    assert choose_build(replace(BARE, tag=True)).straps == 1
    flat = choose_build(replace(BARE, od=None, frost=IN))
    assert (flat.straps, flat.strap, flat.strap_length) == (0, "", 0)
    assert any("never drill" in note for note in flat.notes)
    strapped = choose_build(replace(BARE, frost=IN))
    assert not any("never drill" in note for note in strapped.notes)


def test_notes_say_how_it_is_mounted() -> None:
    build = choose_build(replace(BARE, frost=IN, setting=Setting.OUTDOOR, surface_max_f=150))
    assert build.notes == (
        "Laminate: UV overlaminate.",
        "Mount: stand-off plate, 1-1/2 in off the surface.",
        "Film goes on the plate; openings of the plate lie outside the film.",
        "Straps: 2 x stainless steel strap, cut to the lengths listed.",
        "Hot surface: burns skin.",
    )
    # equal builds have equal notes, whatever the girth
    other = choose_build(replace(BARE, od=9 * IN, frost=IN, setting=Setting.OUTDOOR))
    assert other.notes == build.notes[:-1]
    assert choose_build(BARE).notes == ("Apply to a dry, clean, cured surface.",)


@pytest.mark.parametrize(
    ("question", "steel"),
    [
        (replace(JACKET, applied_at_f=-30), True),
        (replace(JACKET, frost=IN, applied_at_f=60), True),
        (replace(JACKET, surface_max_f=200, setting=Setting.INDOOR), True),
        (replace(BARE, tag=True), False),
        (replace(BARE, tag=True, food_zone=True), True),
        (replace(BARE, tag=True, surface_max_f=-1), True),
        (replace(BARE, tag=True, surface_max_f=40), False),
        (replace(JACKET, applied_at_f=-30, setting=Setting.OUTDOOR), True),
        (replace(BARE, surface_max_f=190), True),
        (replace(BARE, frost=IN), True),
        (replace(BARE, tag=True, washdown=True), True),
    ],
)
def test_strap_material(question: BuildQuestion, steel: bool) -> None:
    assert ("stainless" in choose_build(question).strap) is steel


@pytest.mark.parametrize(
    "question",
    [
        replace(BARE, surface_max_f=190),
        replace(BARE, frost=IN),
        replace(BARE, tag=True),
        replace(JACKET, applied_at_f=-30),
    ],
)
def test_a_plate_is_larger_than_its_face(question: BuildQuestion) -> None:
    build = choose_build(question)
    assert build.mount.has_plate
    assert build.plate is not None
    assert build.plate.border > 0
    # the opening stands in the ear, with plate on either side of it
    assert build.plate.ear > 2 * build.plate.slot_width
    if build.plate.slot_length:
        # a half inch strap passes
        assert build.plate.slot_length > 0.5 * IN
    # holes go with a stand-off, slots with straps
    assert (build.plate.slot_length == 0) is (build.mount is Mount.STAND_OFF)
    assert any("outside the film" in note for note in build.notes)


@pytest.mark.parametrize("question", [BARE, replace(BARE, wrap=True), JACKET])
def test_film_and_wrap_have_no_plate(question: BuildQuestion) -> None:
    build = choose_build(question)
    assert not build.mount.has_plate
    assert build.plate is None
    assert build.plate_material == ""


@pytest.mark.parametrize(
    "change",
    [
        {},
        {"frost": IN},
        {"surface_max_f": 300.0},
        {"applied_at_f": -60.0},
        {"tag": True},
        {"wrap": True},
        {"setting": Setting.OUTDOOR, "frost": 3 * IN, "surface_max_f": 250.0},
    ],
)
def test_nothing_pierces_a_jacket(change: dict[str, object]) -> None:
    build = choose_build(replace(JACKET, **change))  # type: ignore[arg-type]
    assert build.mount is not Mount.STAND_OFF
    assert build.plate is None or build.plate.slot_length > 0  # straps, no screws
    assert any("nothing pierces or crushes the jacket" in note for note in build.notes)
    assert any("corrosion under insulation" in note for note in build.notes)


def test_a_small_pipe_turns_the_edges_away() -> None:
    # 2.5 in on NPS 2: 1.053 rad to each edge, 60.3 degrees; on NPS 3 it is 40.9
    small = choose_build(replace(BARE, od=2.375 * IN))
    assert codes(small) == ["edge-turned-away"]
    assert small.findings[0].severity is Severity.NOTE
    assert codes(choose_build(replace(BARE, od=3.5 * IN))) == []


def test_a_hot_surface_is_named() -> None:
    # 140 F is a reading of ASTM C1055 from memory: a note, never a finding
    assert any(
        "Hot surface" in note for note in choose_build(replace(BARE, surface_max_f=140)).notes
    )
    assert not any("Hot" in note for note in choose_build(replace(BARE, surface_max_f=139)).notes)


@pytest.mark.parametrize(
    "question",
    [
        BARE,
        JACKET,
        replace(BARE, frost=IN, setting=Setting.OUTDOOR),
        replace(BARE, surface_max_f=250, washdown=True),
        replace(BARE, tag=True),
        replace(JACKET, applied_at_f=-60, wrap=True),
    ],
)
def test_every_reason_has_its_source_and_nothing_blocks(question: BuildQuestion) -> None:
    build = choose_build(question)
    assert build.reasons
    assert all(text and source for text, source in build.reasons)
    assert all(each.source and each.right for each in build.findings)
    # common practice without a source warns and never blocks
    assert not any(each.blocks for each in build.findings)
    assert build == choose_build(question)


def test_texts_for_a_schedule() -> None:
    build = choose_build(replace(BARE, frost=IN, setting=Setting.OUTDOOR))
    assert build.film_text == "vinyl film, general acrylic adhesive, UV overlaminate"
    assert build.mount_text == (
        "stand-off plate, 1-1/2 in off the surface, 2 x stainless steel strap 17-1/4 in long"
    )
    assert choose_build(BARE).mount_text == "adhesive film"


def test_every_row_of_the_practice_has_its_source() -> None:
    practice = load_practice()
    rows: list[Any] = [*practice.films, *practice.adhesives]
    rows += [
        value for name in fields(practice) if is_dataclass(value := getattr(practice, name.name))
    ]
    assert len(rows) == 12
    for row in rows:
        assert row.source
        assert row.status in STATUSES


def test_practice_faults_are_listed_at_once() -> None:
    with pytest.raises(InputError) as caught:
        build_practice({"films": [{"name": "x", "contact_below_f": "hot"}], "glue": 1}, "own.toml")
    found = {(each.code, each.place.field) for each in caught.value.findings}
    assert ("mounting-type", "films[x].contact_below_f") in found
    assert ("mounting-missing", "films[x].service_max_f") in found
    assert ("mounting-missing", "adhesives") in found
    assert ("mounting-unknown-key", "glue") in found
    assert ("mounting-missing", "straps.tail") in found
