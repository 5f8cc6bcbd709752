"""Pipe markers worked by hand: what each says, its sizes, and the reasons as the proof prints them.

Sizes are those of the ammonia dimension table, 2014 edition (two agreeing second-hand pages);
letters are legible from 300 times their height (ANSI Z535.2-2011, 9.2.3, second-hand); outside
diameters are ASME B36.10M.
"""

from __future__ import annotations

import math

import pytest

from layouts.face import content_length
from layouts.face.fit import fit_design
from layouts.order.order import PipeMarker
from layouts.plan import MarkerPlan, plan
from layouts.plan.build import Mount
from layouts.plan.design import Arrow
from layouts.schemes.loader import load_scheme, scheme_from_toml
from layouts.schemes.model import ElementKind
from layouts.terms.findings import Finding, Severity
from layouts.terms.words import Flow, Level
from render.read.fonts import default_typefaces

SCHEMES = {key: load_scheme(key) for key in ("ammonia-2014", "asme-a13-1")}
INCH, FOOT = 25.4, 304.8


def decided(
    scheme: str = "ammonia-2014", **fields: object
) -> tuple[tuple[MarkerPlan, ...], dict[str, Finding]]:
    base: dict[str, object] = {
        "service": "HPL",
        "state": "liquid",
        "pressure": "185 psig",
        "pipe": "NPS 4",
        "covering": 0,
        "flow": "right",
        "environment": {"surface": "60 F"},
    }
    spec = PipeMarker.model_validate(
        {key: value for key, value in {**base, **fields}.items() if value is not None}
    )
    plans, findings = plan(spec, SCHEMES, scheme)
    return plans, {each.code: each for each in findings}


def only(**fields: object) -> MarkerPlan:
    plans, findings = decided(**fields)  # type: ignore[arg-type]
    assert plans, findings
    return plans[0]


def found(**fields: object) -> dict[str, Finding]:
    return decided(**fields)[1]  # type: ignore[arg-type]


def reasons(made: MarkerPlan, topic: str) -> list[str]:
    return [each.text for each in made.reasons if each.topic == topic]


def test_the_reasons_of_a_plain_marker_in_the_order_of_the_proof() -> None:
    made = only()
    assert [(each.topic, each.text.partition(" (")[0]) for each in made.reasons] == [
        ("colors", "ammonia: black on safety orange"),
        ("service", "HPL: high pressure liquid"),
        (
            "level",
            "HIGH: 185 psig, max. normal operating pressure, defrost excluded, is above 70 psig",
        ),
        ("diameter", "NPS 4"),
        (
            "size row",
            "4-1/2 in outside diameter: row 'over 2 to 7 in' of the ammonia dimension table, 2014",
        ),
        ("reading distance", "letters of 1-1/4 in legible to 31 ft"),
        ("build", "peak surface 60 F is under the 150 F of plain film"),
        ("build", "general acrylic adhesive: apply at 50 F or above"),
    ]
    assert all(each.source for each in made.reasons)
    assert made.letter_reason == ("over 2 to 7 in: letters 1-1/4 in, marker 2-1/2 in high or more")
    assert made.reading_distance == pytest.approx(31.25 * FOOT)


@pytest.mark.parametrize(
    ("fields", "text"),
    [
        ({}, "NPS 4 (4-1/2 in OD)"),
        ({"covering": "2 in"}, "NPS 4 (4-1/2 in OD) + 2 x 2 in insulation = 8-1/2 in OD"),
        ({"pipe": None, "od": "8 in"}, "8 in OD, measured on the bare pipe"),
        (
            {"pipe": None, "od": "8 in", "covering": None},
            "8 in OD, measured over the insulation",
        ),
        # 25 in / pi = 7.958 in: 7-15/16 to a sixteenth.
        (
            {"pipe": None, "girth": "25 in", "covering": None},
            "circumference 25 in (pi tape) = 7-15/16 in OD, measured over the insulation",
        ),
        # Of two measures the diameter counts, and the circumference is not said.
        (
            {"pipe": None, "od": "8 in", "girth": "25 in", "covering": None},
            "8 in OD, measured over the insulation",
        ),
    ],
)
def test_how_the_diameter_is_said(fields: dict[str, object], text: str) -> None:
    assert reasons(only(**fields), "diameter")[0] == text


@pytest.mark.parametrize(
    ("fields", "letter", "height", "length", "band"),
    [
        ({}, 1.25, 2.5, 12, 1),
        # Everything grows with the letters, but the length, which is the least there is.
        ({"letter_height": "1.5 in"}, 1.5, 3, 12, 1.2),
        ({"length": "20 in"}, 1.25, 2.5, 20, 1),
        ({"length": "12 in"}, 1.25, 2.5, 12, 1),
        ({"letter_height": "1.25 in"}, 1.25, 2.5, 12, 1),
        # Read from 40 ft: letters of 1.6 in, so the row of 2.5 in.
        ({"viewing_distance": "40 ft"}, 2.5, 3.5, 24, 1.5),
        ({"viewing_distance": "31.25 ft"}, 1.25, 2.5, 12, 1),
        # A neighbor's letters are kept, and do not shrink the rest.
        ({"neighbor": {"letter_height": "1.25 in"}}, 1.25, 2.5, 12, 1),
        ({"neighbor": {"letter_height": "1 in"}}, 1, 2.5, 12, 1),
        ({"neighbor": {"letter_height": "2.5 in"}}, 2.5, 5, 12, 2),
        ({"neighbor": {"marker_height": "4 in", "length": "30 in"}}, 1.25, 4, 30, 1),
        ({"neighbor": {"length": "9 in"}, "length": "8 in"}, 1.25, 2.5, 9, 1),
    ],
)
def test_sizes_of_the_row_and_what_the_order_changes(
    fields: dict[str, object], letter: float, height: float, length: float, band: float
) -> None:
    design = only(**fields).design
    made = (design.letter_height, design.marker_height, design.length)
    assert tuple(each / INCH for each in made) == pytest.approx((letter, height, length))
    widths = [each.min_width / INCH for each in design.lines[0] if each.field is not None]
    assert widths == pytest.approx([band] * 2)
    assert not {"letter-below-row", "length-below-row"} & set(found(**fields))


def test_what_is_below_the_row_blocks() -> None:
    low = found(letter_height="1.24 in")["letter-below-row"]
    assert low.severity is Severity.BLOCKING
    assert low.what == "letters of 1.240 in are below the row's 1-1/4 in"
    short = found(length="11.9 in")["length-below-row"]
    assert short.what == "a length of 11.900 in is below the row's 12 in"


@pytest.mark.parametrize(
    ("fields", "codes"),
    [
        # A ruler cannot tell 0.4 mm: 1.235 in for 1.25.
        ({"neighbor": {"letter_height": "1.235 in"}}, set()),
        ({"neighbor": {"letter_height": "1.23 in"}}, {"neighbor-below-row"}),
        # 40 ft ask for the row of 2.5 in; a neighbor of 2 in is legible to 50 ft only by its size.
        (
            {"neighbor": {"letter_height": "2 in"}, "viewing_distance": "40 ft"},
            {"neighbor-too-far"},
        ),
        ({"neighbor": {"letter_height": "2.5 in"}, "viewing_distance": "40 ft"}, set()),
        ({"neighbor": {"letter_height": "2 in"}}, set()),
        (
            {"neighbor": {"letter_height": "1 in"}, "viewing_distance": "40 ft"},
            {"neighbor-below-row"},
        ),
    ],
)
def test_a_neighbors_letters_are_held_against_row_and_distance(
    fields: dict[str, object], codes: set[str]
) -> None:
    assert {code for code in found(**fields) if code.startswith("neighbor")} == codes


def test_the_reasons_of_letters_say_where_they_come_from() -> None:
    assert reasons(only(letter_height="1.5 in"), "letters") == ["1-1/2 in by the order"]
    assert reasons(only(neighbor={"letter_height": "1.5 in"}), "letters") == [
        "1-1/2 in as measured off the neighboring marker"
    ]
    (raised,) = reasons(only(viewing_distance="40 ft"), "letters")
    assert raised == (
        "read from 40 ft, which needs letters of 1.600 in: raised to the row over 7 to 10 in"
    )
    far = found(viewing_distance="100 ft")["viewing-too-far"]
    # 3.5 in letters, the largest row's, are legible to 87.5 ft.
    assert "need 4 in; the largest row has 3-1/2 in, which reads from 87.5 ft" in far.what


def test_a_tag_in_place_of_a_marker_is_sized_by_its_reader() -> None:
    def tag(**fields: object) -> MarkerPlan:
        made = decided("asme-a13-1", service="", state=None, pipe="NPS 3/8", **fields)[0][0]
        assert made.build.mount is Mount.FLAG_TAG
        return made

    # NPS 3/8 has 0.675 in, below the 3/4 in of A13.1. Read from 5 ft: 0.2 in.
    assert tag().design.letter_height == pytest.approx(0.2 * INCH)
    assert tag().design.marker_height == pytest.approx(0.4 * INCH)
    assert (tag().design.fixed_height, tag().design.fixed_length) == (False, False)
    assert reasons(tag(), "letters") == ["letters 0.200 in for reading from 5 ft"]
    assert tag(viewing_distance="3 ft").design.letter_height == pytest.approx(0.2 * INCH)
    assert tag(viewing_distance="10 ft").design.letter_height == pytest.approx(0.4 * INCH)
    assert tag(letter_height="0.3 in").design.letter_height == pytest.approx(0.3 * INCH)
    assert tag(letter_height="0.1 in").design.letter_height == pytest.approx(0.2 * INCH)


@pytest.mark.parametrize(("covering", "letter"), [("0 in", 0.75), ("0.5 in", 1.25)])
def test_a_table_of_nominal_sizes_reads_the_name_of_bare_pipe_only(
    covering: str, letter: float
) -> None:
    # NPS 2 by its name is in the row of 1-1/2 to 2 in; by its 2.375 in, or under half an inch of
    # covering with 3.375 in, in that of 2-1/2 to 6 in.
    text = 'extends = "asme-a13-1"\nkey = "plant"\n'
    text += '[sizes]\ngap_rule = "ranges read as nominal pipe sizes"\n'
    scheme = scheme_from_toml(text, "plant.toml")
    fields = {"pipe": "NPS 2", "covering": covering, "contents": "ammonia", "flow": "right"}
    plans, findings = plan(PipeMarker.model_validate(fields), {"plant": scheme}, "plant")
    assert plans, findings
    assert plans[0].design.letter_height == pytest.approx(letter * INCH)


@pytest.mark.parametrize(
    ("legend", "fields", "conflict"),
    [
        ("LOW PRESSURE AMMONIA", {}, "the level is HIGH"),
        ("HIGH PRESSURE AMMONIA", {}, None),
        ("HIGH PRESSURE AMMONIA", {"pressure": "30 psig", "service": "LPL"}, "the level is LOW"),
        ("AMMONIA VAPOR", {}, "the state is liquid"),
        ("AMMONIA VAPOUR", {}, "the state is liquid"),
        ("AMMONIA GAS", {}, "the state is liquid"),
        ("AMMONIA LIQ", {}, None),
        ("AMMONIA LIQUID", {"state": "vapor"}, "the state is vapor"),
        # Both words, or both levels, contradict nothing.
        ("AMMONIA LIQUID AND VAPOR", {}, None),
        ("HIGH PRESSURE TO LOW PRESSURE AMMONIA", {}, None),
        ("HOT GAS DEFROST", {"state": "vapor"}, "that is HGD, and the service is HPL"),
        ("high pressure  liquid", {}, None),
        ("", {}, None),
    ],
)
def test_a_legend_may_not_contradict_its_row(
    legend: str, fields: dict[str, object], conflict: str | None
) -> None:
    findings = found(legend=legend, **fields)
    said = findings["legend-conflict"].what if "legend-conflict" in findings else None
    written = " ".join(legend.upper().split())
    assert said == (conflict and f"the legend says {written!r}, and {conflict}")


@pytest.mark.parametrize(
    ("fields", "hint"),
    [
        ({"service": "HPL"}, "give state: liquid, vapor or both (liquid is usual for HPL)"),
        ({"service": "XYZ", "meaning": "local line"}, "give state: liquid, vapor or both"),
    ],
)
def test_a_missing_state_is_asked_for_with_what_is_usual(
    fields: dict[str, object], hint: str
) -> None:
    plans, findings = decided(state=None, **fields)  # type: ignore[arg-type]
    assert plans == ()
    assert findings["state-missing"].right == hint


def test_a_code_that_no_scheme_has_is_asked_about_with_the_nearest() -> None:
    unknown = found(service="HPLL")["service-unknown"]
    assert unknown.right.startswith("did you mean HPL")
    assert "did you mean" not in found(service="QQQQQQ")["service-unknown"].right
    # The scheme that has it is named: low low temperature suction came with the 2018 edition.
    newer = found(service="LLTS")["service-unknown"]
    assert newer.right.startswith("use the scheme ammonia-2018, which has it, where the plant does")
    local = only(service="XYZ", meaning="local line")
    assert reasons(local, "service") == ["XYZ: local line (local abbreviation)"]
    other = found(service="HPL", meaning="Hot pump line")["service-meaning-differs"]
    assert other.severity is Severity.BLOCKING
    assert "service-meaning-differs" not in found(service="HPL", meaning="High Pressure Liquid")
    assert "such as" in found(service="")["service-missing"].right


def test_names_of_ammonia_are_renamed_and_said() -> None:
    assert reasons(only(contents="NH3"), "contents") == ["NH3 is printed as AMMONIA"]
    assert reasons(only(contents="ammonia"), "contents") == []


@pytest.mark.parametrize(
    ("flow", "straight", "shorter"),
    [
        ("right", None, ["one arrow", "one arrow and two lines"]),
        ("reversing", None, ["one arrow and two lines"]),
        ("none", None, ["one arrow and two lines"]),
    ],
)
def test_what_a_short_run_may_give_up(flow: str, straight: str | None, shorter: list[str]) -> None:
    # A13.1 gives both ends an arrow; the ammonia convention gives one where the flow goes.
    made = decided(
        "asme-a13-1", service="", state=None, flow=flow, straight=straight, run="horizontal"
    )[0][0]
    assert [what for what, _ in made.shorter] == shorter
    assert made.strapped is None
    assert only(lines=2).shorter == ()
    # Under the ammonia convention service and bands are the second line.
    assert [what for what, _ in only().shorter] == ["one arrow", "one arrow and two lines"]
    assert [len(design.lines) for _, design in only().shorter] == [1, 2]


def test_a_run_as_short_as_it_is_gives_up_no_more_than_it_must() -> None:
    typefaces = default_typefaces()
    full = content_length(only().design, typefaces)
    length = math.ceil(full / 6.35 - 1e-9) * 6.35  # up to the quarter inch
    fits = fit_design(only(straight=f"{length + 0.01} mm"), typefaces)
    assert not any(each.code == "run-short" for each in fits.findings)
    cut = fit_design(only(straight=f"{length - 0.01} mm"), typefaces)
    (short,) = [each for each in cut.findings if each.code == "run-short"]
    assert "taken instead" in short.right


@pytest.mark.parametrize(
    ("od", "run", "lines"),
    [
        # Lines every 1.5 letter heights (NUREG-0700 r3): pi x 1.66 in / (1.5 x 0.75 in) = 4.6.
        ("NPS 1-1/4", "horizontal", 4),
        ("NPS 1-1/4", "vertical", 4),
        # pi x 1.90 / 1.125 = 5.3: the two sides of a horizontal pipe have two lines each.
        ("NPS 1-1/2", "horizontal", 4),
        ("NPS 1-1/2", "vertical", 5),
    ],
)
def test_how_often_a_wrap_repeats_its_line(od: str, run: str, lines: int) -> None:
    flow = "right" if run == "horizontal" else "up"
    made = only(pipe=od, wrap=True, run=run, flow=flow)
    wrap = made.design.wrap
    assert wrap is not None
    assert (wrap.lines, wrap.turned_half) == (lines, run == "horizontal")
    assert wrap.overlap == 12.0  # mm; common practice, no source
    (said,) = reasons(made, "wrap")
    assert said.startswith(f"{lines} lines round a girth of {wrap.girth:.0f} mm")
    assert ("turned with the opposite flow" in said) is (run == "horizontal")
    assert made.design.plate is None


@pytest.mark.parametrize(
    ("side", "flow", "hands", "each"),
    [
        ("one", "right", [""], 1),
        ("both", "right", ["right-hand", "left-hand"], 1),
        ("both", "left", ["left-hand", "right-hand"], 1),
        # What looks the same from both sides is one marker, made twice.
        ("both", "up", [""], 2),
        ("both", "reversing", [""], 2),
    ],
)
def test_markers_for_the_hands_of_a_line(side: str, flow: str, hands: list[str], each: int) -> None:
    plans, _ = decided(side=side, flow=flow)
    assert [made.hand for made in plans] == hands
    assert {made.per_position for made in plans} == {each}
    if hands[0]:
        right, left = (made for _, made in sorted(zip(hands, plans, strict=True), reverse=True))
        assert arrow_of(right) is Arrow.RIGHT
        assert arrow_of(left) is Arrow.LEFT


def arrow_of(made: MarkerPlan) -> Arrow | None:
    return next(e.arrow for e in made.design.lines[0] if e.kind is ElementKind.ARROW)


@pytest.mark.parametrize(
    ("paint", "keyline", "codes"),
    [
        ("", None, set()),
        ("orange", "black", {"paint-as-field"}),
        ("Safety  Orange", "black", {"paint-as-field"}),
        ("white", None, set()),
        ("mauve", None, {"paint-unknown"}),
    ],
)
def test_paint_of_the_fields_color_is_parted_by_a_line(
    paint: str, keyline: str | None, codes: set[str]
) -> None:
    plans, findings = decided(paint=paint)
    ink = plans[0].design.keyline
    assert (ink.name if ink is not None else None) == keyline
    assert {code for code in findings if code.startswith("paint")} == codes
    assert len(reasons(plans[0], "keyline")) == (keyline is not None)


@pytest.mark.parametrize(
    ("fields", "code"),
    [
        # 8 in is the most there is; on a pipe also four of its diameters: NPS 1/2 has 0.84 in.
        ({"covering": "8 in", "pipe": "NPS 12"}, None),
        ({"covering": "8.1 in", "pipe": "NPS 12"}, "covering-implausible"),
        ({"covering": "3.3 in", "pipe": "NPS 1/2"}, None),
        ({"covering": "3.4 in", "pipe": "NPS 1/2"}, "covering-implausible"),
        # 60 in outside, or what would be 8 in of covering.
        ({"pipe": None, "od": "60 in"}, None),
        ({"pipe": None, "od": "60.1 in"}, "diameter-implausible"),
        ({"covering": None, "od": "20.4 in"}, None),
        ({"covering": None, "od": "20.6 in"}, "diameter-implausible"),
        ({"pipe": None, "covering": None, "girth": "190 in"}, "diameter-implausible"),
        # A diameter 15 percent off what pipe and covering give: 8.5 in and 1.275.
        ({"covering": "2 in", "od": "9.7 in"}, None),
        ({"covering": "2 in", "od": "9.8 in"}, "measured-differs"),
        ({"covering": "2 in", "od": "7.3 in"}, None),
        ({"covering": "2 in", "od": "7.2 in"}, "measured-differs"),
        ({"length": "9 ft"}, None),
        ({"length": "9.1 ft"}, "length-implausible"),
        # A tape and a caliper differ by less than 3 percent.
        ({"pipe": None, "od": "10 in", "girth": "31 in"}, None),  # 9.87 in
        ({"pipe": None, "od": "10 in", "girth": "30.49 in"}, None),  # 9.705 in, of the larger
        ({"pipe": None, "od": "10 in", "girth": "30 in"}, "girth-differs"),  # 9.55 in
        ({"pipe": None, "od": "10 in", "girth": "33 in"}, "girth-differs"),  # 10.5 in
        ({"covering": None, "od": "4.37 in"}, None),
        ({"covering": None, "od": "4.36 in"}, "od-below-pipe"),
        ({"pipe": None, "od": "0 in"}, "size-zero"),
        # 7 in measured and 6.9 computed are rows apart from 7.1.
        ({"covering": "1.25 in", "od": "7.1 in"}, "covering-rows-differ"),
        ({"covering": "1.25 in", "od": "6.9 in"}, None),
        ({"covering": None}, "covering-missing"),
    ],
)
def test_what_no_tape_and_no_plant_gives_is_asked_about(
    fields: dict[str, object], code: str | None
) -> None:
    asked = {
        "covering-implausible",
        "diameter-implausible",
        "measured-differs",
        "length-implausible",
        "girth-differs",
        "od-below-pipe",
        "size-zero",
        "covering-rows-differ",
        "covering-missing",
    }
    assert set(found(**fields)) & asked == ({code} if code else set())


@pytest.mark.parametrize(
    ("fields", "insulated"),
    [
        ({"covering": "1 in"}, True),
        ({"covering": 0}, False),
        # Over 3 percent more than the pipe is a covering, less is a tape's error: 4.5 in.
        ({"covering": None, "od": "4.63 in"}, False),
        ({"covering": None, "od": "4.64 in"}, True),
        ({"covering": None, "pipe": None, "od": "8 in"}, False),
    ],
)
def test_a_covering_is_known_from_the_list_or_the_tape(
    fields: dict[str, object], insulated: bool
) -> None:
    made = only(**fields)
    assert any("Jacket" in note for note in made.build.notes) is insulated


def test_a_number_that_fits_in_millimeters_is_offered() -> None:
    # 114 typed as inches for 114 mm, the diameter of the NPS 4 pipe.
    meant = found(covering=None, od="114 in")["diameter-implausible"].right
    assert meant.startswith("did you mean 114 mm?")
    # 90 mm would be less than the pipe has: no offer.
    other = found(covering=None, od="90 in")["diameter-implausible"].right
    assert "did you mean" not in other
    assert found(covering="50 in")["covering-implausible"].right.startswith("did you mean 50 mm?")
    assert "did you mean" not in found(covering="9 in")["covering-implausible"].right


def test_levels_of_a_line_without_arrow_or_band() -> None:
    made = only(level="high", pressure=None)
    assert made.level is Level.HIGH
    assert reasons(made, "level") == ["HIGH as given, without a pressure"]
    missing = decided(pressure=None)
    assert missing[0] == ()
    assert "level-missing" in missing[1]
    assert Flow.RIGHT.opposite is Flow.LEFT


def test_contents_without_a_color_are_told_which_there_are_and_no_more_than_eight() -> None:
    _, findings = decided("asme-a13-1", service="", state=None, contents="soap")
    unknown = findings["contents-unknown"]
    assert unknown.what.endswith("has no color for 'SOAP'")
    named = unknown.right.partition("it carries ")[2].partition(";")[0].split(", ")
    assert len(named) == 8
    assert named[:2] == ["AIR", "AMMONIA"]


def test_letters_a_hair_above_the_rows_make_a_marker_that_turns_further() -> None:
    # 2.5 in on NPS 2, 2.375 in: 60.3 degrees, as the table prescribes; 2.52 in are our own.
    assert "edge-turned-away" not in found(pipe="NPS 2", letter_height="1.25 in")
    assert "edge-turned-away" in found(pipe="NPS 2", letter_height="1.26 in")
