"""What used to print a wrong marker without a word: each ends in the right marker or a finding.

Numbers of substances and saturation figures are checked against CoolProp, a reference library;
usual temperatures and limits are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping

import pytest
from CoolProp import CoolProp

from layouts.order.order import EquipmentMarker, PipeMarker, Specification, ValveTag
from layouts.plan import MarkerPlan, plan
from layouts.plan.build import Mount
from layouts.schemes.choices import with_choices
from layouts.schemes.loader import load_media, load_phases, load_scheme
from layouts.schemes.model import ElementKind
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Severity
from layouts.terms.words import Level

KELVIN, ATMOSPHERE = 273.15, 101_325.0
PASCAL = 6_894.757


def decided(
    spec: Specification,
    scheme: str = "ammonia-2014",
    colors: Mapping[str, str] | None = None,
    cutoffs: Mapping[str, float] | None = None,
) -> tuple[MarkerPlan | None, dict[str, Finding]]:
    schemes = with_choices({scheme: load_scheme(scheme)}, colors or {}, cutoffs or {})
    plans, findings = plan(spec, schemes, scheme)
    return (plans[0] if plans else None), {each.code: each for each in findings}


def pipe(**fields: object) -> PipeMarker:
    base: dict[str, object] = {
        "service": "HPL",
        "state": "liquid",
        "pressure": "185 psig",
        "pipe": "NPS 4",
        "covering": 0,
        "flow": "right",
    }
    return PipeMarker.model_validate({k: v for k, v in {**base, **fields}.items() if v is not None})


def other(contents: str, **fields: object) -> PipeMarker:
    base: dict[str, object] = {"contents": contents, "service": "", "state": None}
    return pipe(**{**base, "pressure": None, "environment": {"surface": "75 F"}, **fields})


def drawn(
    spec: Specification, scheme: str = "ammonia-2014", **choices: dict[str, str]
) -> MarkerPlan:
    made, findings = decided(spec, scheme, choices.get("colors"))
    assert made is not None, findings
    return made


def pair(made: MarkerPlan) -> tuple[str, str]:
    return made.design.field.name, made.design.lines[0][0].ink.name


NAMES = ["NH3", "R-717", "R717", "r 717", "anhydrous ammonia", "Ammoniak", "NH₃", "CAS 7664-41-7"]


@pytest.mark.parametrize("name", NAMES)
def test_ammonia_by_any_name_prints_ammonia(name: str) -> None:
    assert drawn(pipe(contents=name)).design.words == "HPL LIQ AMMONIA HIGH"
    assert drawn(pipe(contents=name, service=""), "asme-a13-1").design.words == "AMMONIA"


def test_a_legend_without_the_word_ammonia_warns() -> None:
    _, found = decided(pipe(legend="DISCHARGE"))
    assert found["legend-without-contents"].severity is Severity.WARNING
    _, sound = decided(pipe(legend="AMMONIA LIQUID"))
    assert "legend-without-contents" not in sound


@pytest.mark.parametrize(
    ("key", "fluid"),
    [
        ("ammonia", "Ammonia"),
        ("carbon dioxide", "CarbonDioxide"),
        ("water", "Water"),
        ("nitrogen", "Nitrogen"),
    ],
)
def test_numbers_of_media_are_those_of_the_registry(key: str, fluid: str) -> None:
    medium = next(each for each in load_media().media if each.key == key)
    assert medium.cas == CoolProp.get_fluid_param_string(fluid, "CAS")
    aliases = CoolProp.get_fluid_param_string(fluid, "aliases").split(",")
    assert medium.refrigerant.replace("-", "") in aliases


@pytest.mark.parametrize(("key", "fluid"), [("ammonia", "Ammonia"), ("carbon dioxide", "CO2")])
def test_saturation_between_the_rows_keeps_to_the_reference_curve(key: str, fluid: str) -> None:
    curve = load_phases().curves[key]
    for step in range(101):
        psig = curve.psig[0] + (curve.psig[-1] - curve.psig[0]) * step / 100
        kelvin = CoolProp.PropsSI("T", "P", psig * PASCAL + ATMOSPHERE, "Q", 1, fluid)
        reference = (kelvin - KELVIN) * 1.8 + 32
        found = curve.at(psig)
        assert found is not None
        assert found == pytest.approx(reference, abs=0.6)


@pytest.mark.parametrize(
    ("key", "fluid"), [("propylene glycol", "MPG"), ("ethylene glycol", "MEG")]
)
def test_glycols_freeze_where_the_reference_says(key: str, fluid: str) -> None:
    mixture = load_phases().mixtures[key]
    for percent, freezes in zip(mixture.percent, mixture.freezes_f, strict=True):
        name = f"INCOMP::{fluid}[{percent / 100}]"
        kelvin = CoolProp.PropsSI("T_FREEZE", "T", 300, "P", ATMOSPHERE, name)
        assert freezes == pytest.approx((kelvin - KELVIN) * 1.8 + 32, abs=0.1)


@pytest.mark.parametrize(
    "fields",
    [
        {"service": "LTRS", "state": "both", "pressure": "8.7 inHg vac"},
        {"service": "HSS", "state": "vapor", "pressure": "33 psig"},
        {"service": "LTRL", "state": "liquid", "pressure": "25 psig"},
        {"service": "PO", "state": "both", "pressure": "33 psig", "flow": "reversing"},
        {"service": "LTRS", "state": "both", "pressure": None, "level": "low"},
        {"service": "LTRL", "state": "liquid", "pressure": None, "level": "low"},
        {"service": "LTRL", "pressure": "8.7 inHg vac", "pipe": None, "od": "4.5 in"},
        {"service": "HSS", "state": "vapor", "pressure": "33 psig", "pipe": None, "girth": "14 in"},
    ],
)
def test_bare_cold_pipe_gets_the_build_for_frost(fields: dict[str, object]) -> None:
    made, found = decided(pipe(**fields))
    assert made is not None
    assert made.build.mount is Mount.STAND_OFF
    assert "stainless" in made.build.strap
    assert found["bare-cold"].severity is Severity.WARNING


def test_bare_pipe_below_55_f_is_wet_and_gets_no_adhesive() -> None:
    made, found = decided(pipe(service="IPL", pressure="60 psig"))  # 40.9 F, CoolProp
    assert made is not None
    assert made.build.mount is Mount.STRAPPED_PLATE
    assert "41 F" in found["wet-surface"].what


def test_low_pressure_liquid_is_wet_where_no_pressure_says_more() -> None:
    made, found = decided(pipe(service="IPL", pressure=None, level="low"))
    assert made is not None
    assert made.build.mount is Mount.STRAPPED_PLATE
    assert "70 psig boils at 47 F or below" in found["wet-surface"].what  # CoolProp: 47.3 F


@pytest.mark.parametrize(
    ("contents", "operating", "freezes"),
    [
        ("PG 30 % SUPPLY", "5 F", True),
        ("PG 30%", "5 F", True),  # 30 % freezes at 9 F, CoolProp
        ("PG 30%", "10 F", False),
        ("EG 50 %", "-40 F", True),
        ("PG", "-20 F", False),  # 60 % freezes at -58 F
        ("CHILLED WATER", "20 F", True),
        ("CHILLED WATER", "44 F", False),
        ("CHILLED WATER 20 F", None, True),
    ],
)
def test_contents_that_would_be_ice_are_asked_about(
    contents: str, operating: str | None, freezes: bool
) -> None:
    _, found = decided(other(contents, environment={"operating": operating}))
    assert ("contents-freeze" in found) is freezes


def test_operating_temperature_tells_a_cold_line_and_is_no_surface() -> None:
    cold = {"environment": {"operating": "-20 F"}}
    made, found = decided(pipe(service="SCL", **cold))
    assert made is not None
    assert (made.build.mount, "bare-cold" in found) == (Mount.STAND_OFF, True)
    covered, found = decided(pipe(service="SCL", covering="2 in", **cold))
    assert covered is not None
    assert (covered.build.mount, set(found)) == (Mount.FILM, set())


@pytest.mark.parametrize(
    ("service", "psig", "mount"),
    [
        ("HSD", "185 psig", Mount.STAND_OFF),  # 130 to 270 F
        ("BD", "33 psig", Mount.STRAPPED_PLATE),  # 120 to 200 F
        ("HGD", "185 psig", Mount.STRAPPED_PLATE),  # 60 to 150 F
    ],
)
def test_bare_hot_pipe_is_built_for_its_usual_range(service: str, psig: str, mount: Mount) -> None:
    made, found = decided(pipe(service=service, state="vapor", pressure=psig))
    assert made is not None
    assert (made.build.mount, made.build.film) == (mount, "polyester film")
    assert found["bare-hot"].severity is Severity.WARNING


def test_a_surface_that_never_reaches_the_adhesives_limit_gets_another() -> None:
    fields: dict[str, object] = {"service": "LTRL", "pressure": "25 psig", "covering": "2 in"}
    made, _ = decided(pipe(**fields, environment={"surface": "-10 F"}))
    assert made is not None
    assert made.build.adhesive == "low-temperature adhesive"
    plate, found = decided(pipe(**fields, environment={"surface": "-30 F"}))
    assert plate is not None
    assert (plate.build.mount, "adhesive-too-cold" in found) == (Mount.STRAPPED_PLATE, True)


def test_machines_and_valves_of_other_media_take_their_colors() -> None:
    pump = EquipmentMarker.model_validate({"kind": "equipment", "name": "Glycol pump"})
    assert pair(drawn(pump, "asme-a13-1")) == ("safety green", "white")
    assert pair(drawn(pump)) == ("safety green", "white")
    separator = EquipmentMarker.model_validate({"kind": "equipment", "name": "Oil separator"})
    assert pair(drawn(separator)) == ("safety orange", "black")
    stop = ValveTag.model_validate(
        {"kind": "valve", "tag": "GV-1", "contents": "PG", "function": "Supply stop"}
    )
    assert pair(drawn(stop)) == ("safety green", "white")
    assert "PROPYLENE GLYCOL" in drawn(stop).design.words


def test_a_co2_compressor_never_carries_ammonias_band() -> None:
    fields = {"kind": "equipment", "name": "CO2 compressor", "pressure": "400 psig"}
    machine = EquipmentMarker.model_validate(fields)
    made, findings = decided(machine)
    assert made is None
    assert "color, CO2, purple" in findings["contents-unsettled"].right
    made, _ = decided(machine, colors={"CO2": "purple"})
    assert made is not None
    assert (made.level, made.design.field.name) == (None, "safety purple")
    made, _ = decided(machine, colors={"CO2": "purple"}, cutoffs={"CO2": 300.0})
    assert made is not None
    assert made.level is Level.HIGH


@pytest.mark.parametrize("psig", ["12 psig", "70 psig"])
def test_a_level_that_the_service_never_has_is_asked_about(psig: str) -> None:
    _, found = decided(pipe(pressure=psig, environment={"surface": "75 F"}))
    unusual = found["level-unusual"]
    assert unusual.severity is Severity.WARNING
    assert unusual.what.endswith(f"and is LOW here at {psig}")
    assert unusual.place.field == "pressure_psig"


def test_a_level_that_is_typed_is_asked_about_as_such() -> None:
    _, found = decided(pipe(pressure=None, level="low", environment={"surface": "75 F"}))
    unusual = found["level-unusual"]
    assert unusual.what.endswith("and is LOW here")
    assert unusual.place.field == "level"


@pytest.mark.parametrize(
    ("psig", "asked"), [(-12, False), (-12.1, True), (400, False), (400.1, True)]
)
def test_a_pressure_beyond_what_ammonia_plants_have_is_asked_about(
    psig: float, asked: bool
) -> None:
    _, found = decided(pipe(pressure=f"{psig} psig", environment={"surface": "75 F"}))
    assert ("pressure-implausible" in found) is asked


@pytest.mark.parametrize(
    ("fields", "code", "meant"),
    [
        ({"pressure": "1850 psig"}, "pressure-implausible", ""),
        ({"pipe": "DN50", "covering": "40 in"}, "covering-implausible", "did you mean 40 mm?"),
        ({"pipe": "NPS 2", "od": "60.3"}, "diameter-implausible", "did you mean 60.3 mm?"),
        ({"pipe": "DN50", "covering": None, "od": "100"}, "diameter-implausible",
         "did you mean 100 mm?"),
        ({"pipe": None, "covering": None, "od": "60.3"}, "diameter-implausible",
         "did you mean 60.3 mm?"),
        ({"pipe": None, "covering": None, "girth": "360"}, "diameter-implausible",
         "did you mean 360 mm?"),
        ({"pipe": "NPS 24", "covering": None, "od": "44"}, "diameter-implausible", ""),
        ({"covering": "1.5 in", "girth": "31 in"}, "measured-differs", ""),
        ({"service": "HSD", "state": "vapor", "environment": {"surface": "-40 F"}},
         "surface-implausible", ""),
        ({"environment": {"surface": "600 F"}}, "surface-implausible", ""),
    ],
)  # fmt: skip
def test_what_no_plant_has_is_asked_about(fields: dict[str, object], code: str, meant: str) -> None:
    _, found = decided(pipe(**fields))
    assert found[code].severity >= Severity.WARNING
    assert meant in found[code].right


@pytest.mark.parametrize(
    ("size", "distance", "mount"),
    [
        ("NPS 1", "60 ft", Mount.STRAPPED_PLATE),
        ("NPS 3/4", "30 ft", Mount.STRAPPED_PLATE),
        ("NPS 1", "200 ft", Mount.STRAPPED_PLATE),
        ("NPS 1", None, Mount.FILM),
    ],
)
def test_letters_larger_than_the_pipe_go_on_a_flat_plate(
    size: str, distance: str | None, mount: Mount
) -> None:
    fields = {"pipe": size, "viewing_distance": distance, "environment": {"surface": "75 F"}}
    made, found = decided(pipe(**fields))
    assert made is not None
    assert made.build.mount is mount
    assert ("letters-wrap-away" in found) is (mount is Mount.STRAPPED_PLATE)
    assert not any("face the reader" in each.sentence() for each in found.values())


@pytest.mark.parametrize(
    ("written", "level"),
    [
        ("84.7 psia", Level.LOW),  # 70 psig by what a gauge shows
        ("70 psig", Level.LOW),
        ("70.04 psig", Level.HIGH),
        ("71 psig", Level.HIGH),
        ("482 kPa", Level.LOW),
        ("483 kPa", Level.HIGH),
        ("4.826 bar", Level.LOW),
        ("4.83 bar", Level.HIGH),
    ],
)
def test_the_cutoff_is_compared_at_the_resolution_of_what_was_written(
    written: str, level: Level
) -> None:
    made, _ = decided(pipe(pressure=written, environment={"surface": "75 F"}))
    assert made is not None
    assert made.level is level
    (reason,) = [each.text for each in made.reasons if each.topic == "level"]
    assert "70 psig, max" not in reason or "at or below 70 psig" in reason


@pytest.mark.parametrize(
    ("contents", "field", "words"),
    [
        ("GLYCOL SUPPLY 20 F", "safety green", "GLYCOL SUPPLY 20 F"),
        ("PG return", "safety green", "PROPYLENE GLYCOL RETURN"),
        ("CHWS", "safety green", "CHILLED WATER SUPPLY"),
        ("IA", "safety blue", "INSTRUMENT AIR"),
        ("Air", "safety blue", "AIR"),
        ("condensate drain", "safety green", "CONDENSATE"),
        ("Sprinkler", "safety red", "FIRE SPRINKLER"),
    ],
)
def test_other_media_in_an_ammonia_order_go_by_their_contents(
    contents: str, field: str, words: str
) -> None:
    made, found = decided(other(contents))
    assert made is not None
    assert (made.scheme, made.design.field.name, made.design.words) == ("asme-a13-1", field, words)
    assert found == {}


def test_colors_that_the_convention_leaves_to_the_plant_are_chosen_in_the_order() -> None:
    co2 = pipe(contents="R-744", pressure="400 psig", environment={"surface": "75 F"})
    made, found = decided(co2, colors={"CO2": "purple"}, cutoffs={"CO2": 500.0})
    assert made is not None
    assert (made.scheme, made.design.field.name) == ("ammonia-2014", "safety purple")
    assert made.design.words == "HPL LIQ CO2 LOW"
    assert found == {}
    oil, _ = decided(other("OIL"), colors={"OIL": "brown"})
    assert oil is not None
    assert oil.design.field.name == "safety brown"


@pytest.mark.parametrize(
    ("choice", "code"),
    [
        ({"CO2": "red"}, "color-kept"),
        ({"CO2": "yellow"}, "color-kept"),
        ({"CO2": "mauve"}, "color-unknown"),
        ({"NH3": "purple"}, "color-fixed"),
    ],
)
def test_a_color_that_is_kept_for_something_else_is_refused(
    choice: dict[str, str], code: str
) -> None:
    with pytest.raises(InputError) as caught:
        decided(pipe(), colors=choice)
    assert [each.code for each in caught.value.findings] == [code]


def test_a_vessel_with_a_jacket_gets_the_jackets_rule() -> None:
    fields = {"kind": "equipment", "name": "Recirculator", "tag": "LTR-1", "covering": "4 in"}
    made = drawn(EquipmentMarker.model_validate(fields))
    assert any(note.startswith("Jacket:") for note in made.build.notes)


def test_words_of_the_level_band_are_the_plants() -> None:
    made = drawn(pipe(contents="NH3"))
    assert [e.word for e in made.design.lines[0] if e.kind is ElementKind.LEVEL] == ["HIGH"]


@pytest.mark.parametrize(
    ("surface", "covering", "expected"),
    [
        # Any surface: -60 to 300 F; a bare suction line never above 120 F (from memory).
        ("-60 F", 2, None),
        ("-61 F", 2, "a surface at -61 F, where -60 to 300 F is expected"),
        ("300 F", 2, None),
        ("301 F", 2, "a surface at 301 F, where -60 to 300 F is expected"),
        ("120 F", 0, None),
        ("121 F", 0, "a bare suction line at 121 F, where -60 to 120 F is expected"),
        ("-60 F", 0, None),
    ],
)
def test_surfaces_beyond_what_a_plant_has(
    surface: str, covering: float, expected: str | None
) -> None:
    fields = {"service": "LTS", "state": "vapor", "pressure": "5 psig"}
    covered = f"{covering} in" if covering else 0
    _, found = decided(pipe(**fields, covering=covered, environment={"surface": surface}))
    said = found["surface-implausible"].what if "surface-implausible" in found else None
    assert said == expected


@pytest.mark.parametrize(
    ("contents", "operating", "said"),
    [
        ("chilled water", "32 F", None),
        ("chilled water", "31.9 F", "CHILLED WATER freezes at 32 F, and 31.9 F is given"),
        # A share that is not given is the strongest of the table, which freezes last.
        ("PG 30 %", "-60 F", "PROPYLENE GLYCOL of 30 % freezes at"),
        ("PG", "-80 F", "PROPYLENE GLYCOL of 60 % freezes at"),
    ],
)
def test_water_and_glycol_are_asked_about_below_their_freezing_point(
    contents: str, operating: str, said: str | None
) -> None:
    spec = other(contents, environment={"operating": operating, "surface": "75 F"})
    _, found = decided(spec, "asme-a13-1")
    what = found["contents-freeze"].what if "contents-freeze" in found else None
    assert (what is None) is (said is None)
    assert what is None or what.startswith(said or "")
