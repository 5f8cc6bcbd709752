"""What the plan decides, against published tables and rules; each source stands beside it."""

from __future__ import annotations

from typing import Any

import pytest

from layouts.face import content_length
from layouts.face.fit import fit_design
from layouts.order.order import EquipmentMarker, PipeMarker, ValveTag
from layouts.plan import MarkerPlan, plan
from layouts.plan.build import Mount
from layouts.plan.design import Arrow
from layouts.schemes.loader import load_scheme
from layouts.terms.findings import Finding, Severity
from layouts.terms.words import Level
from render.read.fonts import default_typefaces

SCHEMES = {
    key: load_scheme(key) for key in ("ammonia-2014", "ammonia-2018", "ammonia-1991", "asme-a13-1")
}
INCH = 25.4


def planned(
    scheme: str = "ammonia-2014", **fields: object
) -> tuple[tuple[MarkerPlan, ...], dict[str, Finding]]:
    base: dict[str, object] = {
        "service": "HTRS",
        "state": "both",
        "pressure": "30 psig",
        "pipe": "NPS 4",
        "covering": 0,
        "flow": "right",
        "environment": {"surface": "60 F"},
    }
    spec = PipeMarker.model_validate(
        {key: value for key, value in {**base, **fields}.items() if value is not None}
    )
    plans, findings = plan(spec, SCHEMES, scheme)
    return plans, {finding.code: finding for finding in findings}


def arrows(made: MarkerPlan) -> list[Arrow | None]:
    line = made.design.lines[0]
    return [line[0].arrow, line[-1].arrow]


# Ammonia dimension table, 2014 edition (two agreeing second-hand pages): outside diameter in,
# marker height, length, letters, band width.
@pytest.mark.parametrize(
    ("od", "height", "length", "letter", "band"),
    [
        ("1.25 in", 1, 8, 0.5, 0.5),
        ("1.26 in", 1.5, 8, 0.75, 0.75),
        ("2 in", 1.5, 8, 0.75, 0.75),
        ("7 in", 2.5, 12, 1.25, 1),
        ("10 in", 3.5, 24, 2.5, 1.5),
        ("10.01 in", 4.5, 32, 3.5, 2),
    ],
)
def test_sizes_follow_the_ammonia_table(
    od: str, height: float, length: float, letter: float, band: float
) -> None:
    (made,), _ = planned(pipe=None, covering=None, od=od)
    design = made.design
    assert design.marker_height == pytest.approx(height * INCH)
    assert design.length == pytest.approx(length * INCH)
    assert design.letter_height == pytest.approx(letter * INCH)
    bands = [element.min_width for element in design.lines[0] if element.field is not None]
    assert bands == pytest.approx([band * INCH] * 3)


# ANSI Z535.2-2011 9.2.3, second hand: capitals of distance / 300.
def test_viewing_distance_raises_the_row() -> None:
    (made,), found = planned(pipe="NPS 1", viewing_distance="20 ft")
    # 20 ft / 300 = 0.8 in, above the 0.75 in of the row; the next row has 1.25 in.
    assert made.design.letter_height == pytest.approx(1.25 * INCH)
    assert "viewing-too-far" not in found


def test_viewing_distance_beyond_the_largest_row_is_said() -> None:
    (made,), found = planned(viewing_distance="100 ft")
    # 100 ft / 300 = 4 in; the largest row has 3.5 in.
    assert made.design.letter_height == pytest.approx(3.5 * INCH)
    assert found["viewing-too-far"].severity is Severity.WARNING


# Ammonia guideline, second hand: above 70 psig HIGH, at 70 psig or less LOW.
@pytest.mark.parametrize(
    ("pressure", "level"),
    [("70 psig", Level.LOW), ("70.1 psig", Level.HIGH), ("10 inHg vac", Level.LOW)],
)
def test_level_comes_from_the_pressure(pressure: str, level: Level) -> None:
    # HPL is a high pressure line by its code; the level must not care.
    (made,), _ = planned(service="HPL", state="liquid", pressure=pressure)
    assert made.level is level


def test_pressure_against_level_blocks() -> None:
    _, found = planned(pressure="185 psig", level="low")
    assert found["level-conflict"].severity is Severity.BLOCKING


def test_unusual_state_is_a_note_and_never_blocks() -> None:
    _, found = planned(state="liquid")  # a recirculated suction usually holds both, from memory
    assert found["state-unusual"].severity is Severity.NOTE


# ASME A13.1, second hand: arrows show flow, both ways where it can reverse.
@pytest.mark.parametrize(
    ("fields", "expected"),
    [
        ({"flow": "right"}, [Arrow.RIGHT, Arrow.RIGHT]),
        ({"flow": "left"}, [Arrow.LEFT, Arrow.LEFT]),
        ({"flow": "up", "run": "vertical"}, [Arrow.RIGHT, Arrow.RIGHT]),
        ({"flow": "down", "run": "vertical"}, [Arrow.LEFT, Arrow.LEFT]),
        ({"flow": "reversing"}, [Arrow.LEFT, Arrow.RIGHT]),
        ({"flow": "none"}, [None, None]),
    ],
)
def test_arrows(fields: dict[str, Any], expected: list[Arrow | None]) -> None:
    (made,), _ = planned(**fields)
    assert arrows(made) == expected


def test_both_sides_give_a_marker_for_each_hand() -> None:
    plans, _ = planned(side="both")
    assert [(made.hand, arrows(made)[0]) for made in plans] == [
        ("right-hand", Arrow.RIGHT),
        ("left-hand", Arrow.LEFT),
    ]
    (rising,), _ = planned(side="both", run="vertical", flow="up")
    assert rising.per_position == 2


def test_equalizer_has_no_arrow_unless_told() -> None:
    (made,), found = planned(service="EQ", state="vapor", flow=None)
    assert arrows(made) == [None, None]
    assert any(reason.topic == "flow" and "both ways" in reason.text for reason in made.reasons)
    assert "arrow-missing" not in found
    _, one_way = planned(service="EQ", state="vapor", flow="right")
    assert one_way["arrow-one-way"].severity is Severity.WARNING


@pytest.mark.parametrize(
    ("fields", "code", "severity"),
    [
        ({"flow": None}, "flow-missing", Severity.UNREADABLE),
        ({"flow": "up", "run": "horizontal"}, "flow-run", Severity.UNREADABLE),
        ({"flow": "left", "run": "vertical"}, "flow-run", Severity.UNREADABLE),
        ({"state": None}, "state-missing", Severity.UNREADABLE),
        ({"pressure": None}, "level-missing", Severity.UNREADABLE),
        ({"pipe": None, "covering": None}, "size-missing", Severity.UNREADABLE),
        ({"contents": "BEER"}, "contents-unknown", Severity.UNREADABLE),
        ({"covering": None}, "covering-missing", Severity.WARNING),
        ({"service": "XYZ"}, "service-unknown", Severity.BLOCKING),
        ({"service": ""}, "service-missing", Severity.BLOCKING),
        ({"meaning": "something else"}, "service-meaning-differs", Severity.BLOCKING),
        ({"letter_height": "1 in"}, "letter-below-row", Severity.BLOCKING),
        ({"length": "10 in"}, "length-below-row", Severity.BLOCKING),
        ({"od": "4 in"}, "od-below-pipe", Severity.UNREADABLE),
        ({"covering": "1 in", "od": "8 in"}, "covering-rows-differ", Severity.WARNING),
        ({"od": "8 in", "girth": "31 in"}, "girth-differs", Severity.WARNING),
        ({"paint": "tartan"}, "paint-unknown", Severity.WARNING),
    ],
)
def test_findings(fields: dict[str, Any], code: str, severity: Severity) -> None:
    _, found = planned(**fields)
    assert found[code].severity is severity


def test_a_clean_marker_has_no_finding() -> None:
    _, found = planned()
    assert found == {}


def test_local_abbreviation_with_its_meaning_is_taken() -> None:
    (made,), found = planned(service="XYZ", meaning="blast tunnel suction")
    assert found == {}
    assert made.design.lines[0][1].word == "XYZ"


def test_girth_replaces_pipe_and_covering() -> None:
    (made,), _ = planned(pipe=None, covering=None, girth="31 in")
    assert made.od == pytest.approx(31 * INCH / 3.14159265, rel=1e-6)
    assert made.row == "over 7 to 10 in"


# ASME A13.1 size table, second hand: under 3/4 in a tag, never a marker.
def test_small_pipe_gets_a_tag_under_a13_1() -> None:
    (made,), _ = planned(
        "asme-a13-1",
        service="",
        state=None,
        pressure=None,
        contents="WATER",
        od="0.7 in",
        pipe=None,
    )
    assert made.design.plate is not None
    # 29 CFR 1910.145(f)(4): read at 5 ft; 5 ft / 300 = 0.2 in.
    assert made.design.letter_height == pytest.approx(0.2 * INCH)


def test_small_pipe_is_offered_a_tag_under_the_ammonia_table() -> None:
    (made,), found = planned(pipe="NPS 3/8")
    # letters of 1/2 in turn 42 degrees on 0.675 in, and 1 in of film is not half of 2.12 in
    assert made.design.plate is None
    assert found["small-pipe"].severity is Severity.WARNING


def test_neighbor_is_repeated_as_it_hangs() -> None:
    neighbor = {"letter_height": "1 in", "marker_height": "2 in", "length": "30 in"}
    (made,), found = planned(neighbor=neighbor)
    assert made.design.letter_height == pytest.approx(1 * INCH)
    assert (made.design.fixed_height, made.design.fixed_length) == (True, True)
    assert found["neighbor-below-row"].severity is Severity.WARNING


def test_paint_of_the_fields_color_gets_a_keyline() -> None:
    (orange,), _ = planned(paint="orange")
    assert orange.design.keyline is not None
    (blue,), _ = planned(paint="dark blue")
    assert blue.design.keyline is None


def test_edition_with_an_unseen_band_blocks_until_accepted() -> None:
    _, found = planned("ammonia-2018")
    assert any(finding.severity is Severity.BLOCKING for finding in found.values())


# RETA magazine 2019: the 1991 body is yellow, the 2014 body orange.
def test_editions_are_never_mixed() -> None:
    (old,), _ = planned("ammonia-1991", service="HTRS")
    (new,), _ = planned("ammonia-2014", service="HTRS")
    assert "yellow" in old.design.field.name.lower()
    assert "orange" in new.design.field.name.lower()


def test_equipment_breaks_a_long_name_in_two() -> None:
    spec = EquipmentMarker.model_validate(
        {"kind": "equipment", "name": "High pressure receiver", "tag": "HPR-1", "level": "high"}
    )
    (made,), _ = plan(spec, SCHEMES, "ammonia-2014")
    assert [line[0].word for line in made.design.lines] == ["HIGH PRESSURE", "RECEIVER HPR-1"]
    # Common practice, edition not proven: 3.5 in high with letters of 2.5 in.
    assert made.design.letter_height == pytest.approx(2.5 * INCH)
    assert made.design.end_band is not None
    assert made.design.end_band.word == "HIGH"


# RETA magazine 2020: the 2018 edition dropped the pressure band of component markers.
def test_equipment_of_2018_has_no_pressure_band() -> None:
    spec = EquipmentMarker.model_validate({"kind": "equipment", "tag": "C-1", "level": "high"})
    (made,), _ = plan(spec, SCHEMES, "ammonia-2018")
    assert made.design.end_band is None


def test_nameless_equipment_cannot_be_drawn() -> None:
    spec = EquipmentMarker.model_validate({"kind": "equipment"})
    made, findings = plan(spec, SCHEMES, "ammonia-2014")
    assert made == ()
    assert [finding.code for finding in findings] == ["equipment-unnamed"]


def test_emergency_valve_is_twice_the_size_and_ruled_off() -> None:
    plain = ValveTag.model_validate({"kind": "valve", "tag": "HV-101", "service": "HPL"})
    emergency = plain.model_copy(update={"emergency": True})
    (small,), _ = plan(plain, SCHEMES, "ammonia-2014")
    (large,), _ = plan(emergency, SCHEMES, "ammonia-2014")
    assert large.design.letter_height == pytest.approx(2 * small.design.letter_height)
    assert large.design.keyline is not None
    assert "EMERGENCY" in large.design.words


def fitted_plan(straight: str, **fields: Any) -> MarkerPlan:
    (made,), _ = planned(straight=straight, **fields)
    return fit_design(made, default_typefaces())


def test_short_run_gives_up_an_arrow_then_a_line_then_film() -> None:
    full = content_length(fitted_plan("100 ft").design, default_typefaces())
    one_arrow = fitted_plan(f"{full - 30} mm")
    assert arrows(one_arrow) == [None, Arrow.RIGHT]
    two_lines = fitted_plan(f"{full * 0.6} mm")
    assert len(two_lines.design.lines) == 2
    plate = fitted_plan("4 in")
    assert plate.build.mount is Mount.STRAPPED_PLATE
    assert plate.design.plate is not None
    for made in (one_arrow, two_lines, plate):
        assert made.design.letter_height == pytest.approx(1.25 * INCH)  # never below the row
        assert made.findings[-1].code == "run-short"


def test_a_neighbors_length_that_is_too_short_for_the_words_blocks() -> None:
    (made,), _ = planned(neighbor={"length": "12 in"})
    findings = fit_design(made, default_typefaces()).findings
    assert [finding.code for finding in findings] == ["length-below-content"]


# Derived: a height h round a diameter D turns its edges h / D away; 60 degrees at h = 1.05 D.
def test_only_a_height_beyond_the_tables_own_turns_out_of_sight() -> None:
    _, prescribed = planned(pipe="NPS 1")
    assert "edge-turned-away" not in prescribed
    _, raised = planned(pipe="NPS 1-1/4", viewing_distance="30 ft")
    assert raised["edge-turned-away"].severity is Severity.NOTE
