"""Machines and valves worked by hand: words, lines, letters and the reason for each.

Letters are at least 1/300 of the reading distance (ANSI Z535.2-2011, 9.2.3, second-hand); sizes of
machine markers and tags are common practice, no source.
"""

from __future__ import annotations

import pytest

from layouts.order.order import EquipmentMarker, Specification, ValveTag
from layouts.plan import MarkerPlan, plan
from layouts.schemes.loader import load_scheme
from layouts.schemes.model import ElementKind
from layouts.terms.findings import Finding
from layouts.terms.words import Level

SCHEMES = {key: load_scheme(key) for key in ("ammonia-2014", "asme-a13-1")}
INCH, FOOT = 25.4, 304.8
FLOOR = "equipment: letters 2-1/2 in, marker 3-1/2 in high or more"


def decided(spec: Specification) -> tuple[MarkerPlan, dict[str, Finding]]:
    (made,), findings = plan(spec, SCHEMES, "ammonia-2014")
    return made, {each.code: each for each in findings}


def machine(**fields: object) -> tuple[MarkerPlan, dict[str, Finding]]:
    return decided(EquipmentMarker.model_validate({"kind": "equipment", **fields}))


def valve(**fields: object) -> MarkerPlan:
    return decided(ValveTag.model_validate({"kind": "valve", "tag": "hv-101", **fields}))[0]


def reasons(made: MarkerPlan, topic: str) -> list[str]:
    return [each.text for each in made.reasons if each.topic == topic]


def words(made: MarkerPlan) -> list[str]:
    return [line[0].word for line in made.design.lines]


def inches(made: MarkerPlan) -> tuple[float, float]:
    return made.design.letter_height / INCH, made.design.marker_height / INCH


@pytest.mark.parametrize(
    ("fields", "letter", "height", "why"),
    [
        ({}, 2.5, 3.5, [FLOOR]),
        # 62.5 ft are 750 in, and 1/300 of it is the row's own 2.5 in.
        ({"viewing_distance": "62.5 ft"}, 2.5, 3.5, [FLOOR]),
        (
            {"viewing_distance": "100 ft"},
            4,
            5.6,
            [FLOOR, "letters 4 in for reading from 100 ft"],
        ),
        # Default for small parts: 5 ft, 29 CFR 1910.145(f)(4).
        ({"small": True}, 0.2, 0.28, ["small part: letters 0.200 in for reading from 5 ft"]),
        (
            {"small": True, "viewing_distance": "20 ft"},
            0.8,
            1.12,
            ["small part: letters 0.800 in for reading from 20 ft"],
        ),
        ({"letter_height": "2.5 in"}, 2.5, 3.5, [FLOOR, "letters 2-1/2 in by the order"]),
        ({"letter_height": "5 in"}, 5, 7, [FLOOR, "letters 5 in by the order"]),
        (
            {"neighbor": {"letter_height": "2 in"}},
            2,
            2.8,
            ["2 in as measured off the neighbor"],
        ),
        (
            {"neighbor": {"letter_height": "2 in", "marker_height": "3 in"}},
            2,
            3,
            ["2 in as measured off the neighbor"],
        ),
    ],
)
def test_letters_of_a_machine_and_the_reason(
    fields: dict[str, object], letter: float, height: float, why: list[str]
) -> None:
    made, findings = machine(name="Evaporator", **fields)
    assert inches(made) == pytest.approx((letter, height))
    assert reasons(made, "letters") == why
    assert made.reading_distance == pytest.approx(300 * letter * INCH)
    assert not findings
    assert made.row == (why[-1] if "neighbor" not in fields else "as its neighbor")
    assert made.per_position == 1


def test_letters_below_the_floor_block() -> None:
    made, findings = machine(name="Evaporator", letter_height="2.49 in")
    assert inches(made) == pytest.approx((2.49, 2.49 * 1.4))
    assert findings["letter-below-row"].what == "letters of 2.490 in are below 2-1/2 in"
    small, findings = machine(name="Oil pot", small=True, letter_height="0.2 in")
    assert inches(small)[0] == pytest.approx(0.2)
    assert not findings


def test_a_neighbors_size_is_kept_as_measured() -> None:
    sizes = {"letter_height": "2 in", "marker_height": "3 in", "length": "20 in"}
    made, _ = machine(name="Evaporator", neighbor=sizes)
    assert (made.design.fixed_height, made.design.fixed_length) == (True, True)
    assert made.design.length == pytest.approx(20 * INCH)
    free, _ = machine(name="Evaporator", neighbor={"letter_height": "2 in"})
    assert (free.design.fixed_height, free.design.fixed_length) == (False, False)
    assert free.design.length == 0.0


@pytest.mark.parametrize(
    ("name", "tag", "lines", "rows"),
    [
        # 14 characters go on one line, more on two that are as even as words allow.
        ("Evaporator", "E-1", None, ["EVAPORATOR E-1"]),
        ("Evaporator", "E-12", None, ["EVAPORATOR", "E-12"]),
        ("Evaporator", "E-12", 1, ["EVAPORATOR E-12"]),
        ("Oil pot", "", 2, ["OIL", "POT"]),
        ("Low pressure receiver", "LPR-1", None, ["LOW PRESSURE", "RECEIVER LPR-1"]),
        ("A BB CCC DDDDDDDDDD", "", None, ["A BB CCC", "DDDDDDDDDD"]),
        ("AAAAAAAAAAAA BB CCC", "", None, ["AAAAAAAAAAAA", "BB CCC"]),
        # One word cannot be parted.
        ("Thermosyphonreceiver", "", None, ["THERMOSYPHONRECEIVER"]),
        ("", "C-1", None, ["C-1"]),
    ],
)
def test_a_machines_words_on_one_line_or_two(
    name: str, tag: str, lines: int | None, rows: list[str]
) -> None:
    fields = {"name": name, "tag": tag} | ({"lines": lines} if lines else {})
    assert words(machine(**fields)[0]) == rows


@pytest.mark.parametrize(
    ("fields", "first", "contents"),
    [
        ({"name": "Evaporator", "contents": "NH3"}, "EVAPORATOR", ["NH3 is the same as AMMONIA"]),
        ({"name": "Glycol pump"}, "GLYCOL PUMP", ["GLYCOL, by the machine's name"]),
        ({"name": "Glycol pumps"}, "GLYCOL PUMPS", ["GLYCOL, by the machine's name"]),
        ({"name": "Pump", "contents": "glycol"}, "GLYCOL PUMP", []),
        ({"name": "", "tag": "P-1", "contents": "glycol"}, "GLYCOL P-1", []),
        # Ammonia machines do not say so, and one word or a heat exchanger says nothing.
        ({"name": "Ammonia pump"}, "AMMONIA PUMP", []),
        ({"name": "Pump"}, "PUMP", []),
        ({"name": "Glycol chiller"}, "GLYCOL CHILLER", []),
        ({"name": "Oil tank"}, "OIL TANK", []),
    ],
)
def test_the_contents_of_a_machine_come_first_once(
    fields: dict[str, object], first: str, contents: list[str]
) -> None:
    made, _ = machine(**fields)
    assert words(made) == [first]
    assert reasons(made, "contents") == contents


def test_a_machine_has_a_level_band_only_where_something_says_its_level() -> None:
    plain, given, taken = (
        machine(name="Vessel", **fields)[0]
        for fields in ({}, {"level": "low"}, {"pressure": "180 psig"})
    )
    assert (plain.level, given.level, taken.level) == (None, Level.LOW, Level.HIGH)
    assert plain.design.end_band is None
    assert given.design.end_band is not None
    assert (given.design.end_band.kind, given.design.end_band.word) == (ElementKind.LEVEL, "LOW")
    assert given.design.end_band.min_width == 0.0


@pytest.mark.parametrize(
    ("fields", "number", "small", "far_ft"),
    [
        # Number 1/2 in over letters of 1/4 in: US building specifications, from memory.
        ({}, 0.5, 0.25, 6.25),
        ({"viewing_distance": "6.25 ft"}, 0.5, 0.25, 6.25),
        ({"viewing_distance": "20 ft"}, 1.6, 0.8, 20),
        ({"emergency": True}, 1.0, 0.5, 12.5),
    ],
)
def test_a_tags_number_is_twice_its_other_letters(
    fields: dict[str, object], number: float, small: float, far_ft: float
) -> None:
    made = valve(service="hpl", **fields)
    letters = {line[0].word: line[0].letter_height / INCH for line in made.design.lines}
    assert letters["HV-101"] == pytest.approx(number)
    assert letters["HPL"] == pytest.approx(small)
    assert made.design.letter_height == pytest.approx(number * INCH)
    assert made.reading_distance == pytest.approx(far_ft * FOOT)


def test_a_full_tag_from_top_to_bottom() -> None:
    made = valve(
        contents="PG",
        service="gs",
        function="king valve",
        valve_size="NPS 2",
        normal_position="open",
        lockout=True,
        emergency=True,
        sides=2,
    )
    assert words(made) == [
        "EMERGENCY",
        "PROPYLENE GLYCOL",
        "GS",
        "HV-101",
        "KING VALVE",
        "NPS 2 NORMALLY OPEN",
        "LOCKOUT POINT",
    ]
    assert made.per_position == 2
    assert made.name == "HV-101"
    assert [each.topic for each in made.reasons if each.topic not in ("build", "colors")] == [
        "contents",
        "letters",
        "emergency",
        "sides",
    ]
    assert reasons(made, "letters") == ["tag: number 1 in for reading from 5 ft"]
    assert made.design.keyline == made.design.lines[0][0].ink
    assert made.design.keyline is not None


def test_a_plain_tag_says_its_number_only() -> None:
    made = valve()
    assert words(made) == ["HV-101"]
    assert (made.per_position, made.design.keyline) == (1, None)
    assert [each.topic for each in made.reasons] == ["letters", "build"]
    # A hole of 5 mm, 3.75 mm from the edge: common practice, no source.
    assert (made.design.hole_diameter, made.design.hole_edge) == (5.0, 3.75)
    assert (made.design.marker_height, made.design.length) == (0.0, 0.0)


def test_compact_and_practice_have_ids_of_their_own() -> None:
    design = valve().design
    assert design.id_text == repr(design)
    assert "compact" not in design.id_text
