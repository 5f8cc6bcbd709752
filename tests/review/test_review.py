"""Each kind of fault planted once is found once; a clean list gives nothing above a note."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from layouts.order.order import EquipmentMarker, Item, PipeMarker, Position, Specification, ValveTag
from layouts.order.position import PlaceDetails
from layouts.plan import plan
from layouts.review import inspect_order
from layouts.schemes.loader import load_scheme, scheme_from_toml, scheme_keys
from layouts.schemes.model import Scheme
from layouts.terms.findings import Finding, Severity
from render.read import read
from tests.samples import demo_plant

BUILT_IN = {key: load_scheme(key) for key in scheme_keys()}
PLANT = """
extends = "ammonia-2014"
key = "plant"
title = "Our plant"
[[pairings]]
key = "CO2"
meaning = "carbon dioxide as a refrigerant"
field = "safety gray"
legend = "white"
contents = ["CO2"]
source = "plant standard 7"
status = "common practice"
"""
SCHEMES: Mapping[str, Scheme] = {**BUILT_IN, "plant": scheme_from_toml(PLANT, "plant.toml")}


def pipe(**fields: object) -> PipeMarker:
    base = {
        "service": "HTRS",
        "state": "both",
        "pressure": "30 psig",
        "pipe": "NPS 4",
        "covering": "1-1/2 in",
        "flow": "right",
    }
    return PipeMarker.model_validate({**base, **fields})


def water(**fields: object) -> PipeMarker:
    base = {"contents": "WATER", "scheme": "asme-a13-1", "pipe": "NPS 4", "covering": 0}
    return PipeMarker.model_validate({**base, "flow": "left", **fields})


def valve(tag: str, **fields: object) -> ValveTag:
    return ValveTag.model_validate({"kind": "valve", "tag": tag, "service": "HPL", **fields})


def machine(**fields: object) -> EquipmentMarker:
    return EquipmentMarker.model_validate({"kind": "equipment", "tag": "HPR-1", **fields})


def item(spec: Specification, *rows: int, drawing: str = "R-101") -> Item:
    return Item(
        spec, tuple(Position(row=row, details=PlaceDetails(drawing=drawing)) for row in rows)
    )


CLEAN = (
    item(pipe(), 3, 4),
    item(pipe(service="HPL", state="liquid", pressure="181 psig", covering=0, paint="orange"), 5),
    item(pipe(service="XYZ", meaning="blast tunnel suction"), 6),
    item(water(), 7),
    item(water(contents="FIRE WATER", paint="red"), 8),
    item(pipe(service="BD", state="vapor", covering=None), 9),  # low pressure, yet hot gas
    item(machine(level="high"), 10),
    item(valve("HV-101", emergency=True), 11),
    item(valve("HV-102"), 12, drawing=""),
    item(valve("HV-103", service="XYZ"), 13),
)


def found(*planted: Item, default: str = "ammonia-2014") -> list[Finding]:
    """What is found in a clean list with faults planted in it, notes aside."""
    findings = inspect_order((*CLEAN, *planted), SCHEMES, default)
    return [finding for finding in findings if finding.severity > Severity.NOTE]


def test_a_clean_list_has_nothing_above_a_note() -> None:
    assert found() == []


# One fault each: items to plant, the code, and row, field and marker that it points to.
FAULTS: dict[str, tuple[tuple[Item, ...], Severity, tuple[int | None, str, str]]] = {
    "abbreviation-two-meanings": (
        (item(pipe(service="XYZ", meaning="blast freezer suction"), 20),),
        Severity.BLOCKING,
        (20, "service", "XYZ"),
    ),
    "abbreviation-unexplained": (
        (item(valve("HV-110", service="QQ"), 21),),
        Severity.BLOCKING,
        (21, "service", "QQ"),
    ),
    "schemes-mixed": (
        (item(pipe(scheme="ammonia-1991"), 22),),
        Severity.BLOCKING,
        (22, "scheme", "AMMONIA"),
    ),
    "color-two-meanings": (
        # blue is compressed air in ASME A13.1 (NASA GSFC-STD-8006) and fresh water in ISO 14726
        (
            item(water(contents="COMPRESSED AIR"), 36),
            item(water(contents="POTABLE WATER", scheme="iso-14726"), 37),
        ),
        Severity.WARNING,
        (37, "scheme", "POTABLE WATER"),
    ),
    "valve-number-twice": (
        (item(valve("hv-101", sides=2), 23),),
        Severity.BLOCKING,
        (23, "tag", "HV-101"),
    ),
    "emergency-valve-unnumbered": (
        (item(valve("T.B.D.", emergency=True), 24),),
        Severity.BLOCKING,
        (24, "tag", "T.B.D."),
    ),
    "emergency-valve-no-drawing": (
        (item(valve("HV-111", emergency=True), 25, drawing=""),),
        Severity.WARNING,
        (25, "drawing", "HV-111"),
    ),
    "paint-fire-red": (
        (item(pipe(paint="Red"), 26),),
        Severity.WARNING,
        (26, "paint", "HTRS"),
    ),
    "covering-unknown-cold": (
        (item(pipe(service="LTRL", state="liquid", covering=None), 27),),
        Severity.WARNING,
        (27, "covering_in", "LTRL"),
    ),
    "contrast-low": (
        (item(pipe(scheme="plant", contents="CO2", service="HPL", state="liquid"), 28),),
        Severity.WARNING,
        (None, "scheme", ""),
    ),
}


@pytest.mark.parametrize("code", FAULTS)
def test_a_planted_fault_is_found_once(code: str) -> None:
    planted, severity, (row, field, marker) = FAULTS[code]
    (finding,) = found(*planted)
    assert (finding.code, finding.severity) == (code, severity)
    assert (finding.place.row, finding.place.field, finding.place.marker) == (row, field, marker)
    assert finding.what
    assert finding.right
    assert finding.source


def test_all_faults_at_once_are_found_once_each() -> None:
    planted = [each for items, _, _ in FAULTS.values() for each in items]
    assert sorted(finding.code for finding in found(*planted)) == sorted(FAULTS)


def test_the_demo_plant_is_clean() -> None:
    order = read(demo_plant.TARGET).order
    assert order is not None
    findings = inspect_order(order.items, SCHEMES, order.scheme)
    assert [finding.code for finding in findings if finding.severity > Severity.NOTE] == []


def test_pairs_that_a_scheme_prescribes_are_no_finding_of_a_marker() -> None:
    # Black on safety green is 2.4 to 1; proof and chart say so once, for the scheme.
    for default in ("ammonia-2014", "plant"):
        assert inspect_order((item(pipe(), 3),), SCHEMES, default) == ()


def test_a_plants_own_band_is_its_own() -> None:
    text = f'{PLANT}[[bands]]\nword = "LIQ"\nfield = "safety brown"\n'
    schemes = {**SCHEMES, "plant": scheme_from_toml(text, "plant.toml")}
    findings = inspect_order((item(pipe(), 3),), schemes, "plant")
    assert [finding.code for finding in findings] == ["contrast-low"]


def test_a_scheme_that_starts_from_another_and_looks_alike_is_no_mix() -> None:
    assert found(item(pipe(scheme="plant"), 30)) == []


@pytest.mark.parametrize(
    "spec",
    [
        pipe(scheme="asme-a13-1", contents="NH3", service=""),
        machine(scheme="ammonia-1991", level="high"),
        valve("HV-120", scheme="ammonia-2018"),
    ],
)
def test_what_counts_as_mixed(spec: Specification) -> None:
    assert [finding.code for finding in found(item(spec, 31))] == ["schemes-mixed"]


def test_water_by_a_scheme_of_its_own_is_no_mix() -> None:
    assert found(item(machine(tag="WP-1", scheme="asme-a13-1"), 32)) == []


def test_a_color_that_both_schemes_give_the_same_contents_is_no_clash() -> None:
    # orange is ammonia in the guideline of 2014 and toxic in ASME A13.1, ammonia included
    assert found(item(water(contents="CHLORINE"), 32)) == []


def test_a_code_that_the_scheme_means_otherwise() -> None:
    (finding,) = found(item(pipe(service="HPL", state="liquid", meaning="hot process line"), 33))
    assert finding.code == "abbreviation-two-meanings"
    assert "'high pressure liquid' (rows 5, 11 and 12)" in finding.what
    assert "'hot process line' (row 33)" in finding.what


def test_a_code_under_a_scheme_without_codes_needs_a_meaning() -> None:
    (finding,) = found(item(water(service="CWS"), 34, 35))
    assert finding.code == "abbreviation-unexplained"
    assert (finding.place.row, finding.place.more) == (34, 1)
    assert found(item(water(service="CWS", meaning="condenser water supply"), 34)) == []


@pytest.mark.parametrize(
    ("fields", "cold"),
    [
        ({"environment": {"surface": "20 F"}, "state": "vapor", "pressure": "181 psig"}, True),
        ({"environment": {"surface": "165 F"}}, False),
        ({"service": "LSS", "state": "vapor"}, True),
        ({"service": "RV", "state": "vapor", "pressure": "0 psig"}, False),
        ({"pressure": "181 psig"}, False),
        ({"od": "8 in"}, False),
        ({"girth": "31 in"}, False),
        ({"covering": 0}, False),
    ],
)
def test_cold_lines(fields: dict[str, object], cold: bool) -> None:
    codes = [each.code for each in found(item(pipe(**{"covering": None, **fields}), 40))]
    assert codes == (["covering-unknown-cold"] if cold else [])


def test_cold_lines_of_one_service_are_one_finding() -> None:
    sizes = [item(pipe(covering=None, pipe=size), row) for row, size in ((41, "NPS 3"), (42, 6))]
    (finding,) = found(*sizes)
    assert (finding.place.row, finding.place.more) == (41, 1)


def test_red_paint_by_any_of_its_names() -> None:
    for paint in ("red", "safety red", "dark red"):
        assert [each.code for each in found(item(pipe(paint=paint), 43))] == ["paint-fire-red"]
    assert found(item(pipe(paint="dark blue"), 43)) == []


def test_paint_of_the_fields_color_is_a_note_of_the_marker() -> None:
    _, findings = plan(pipe(paint="orange"), SCHEMES, "ammonia-2014")
    assert [(each.code, each.severity) for each in findings] == [("paint-as-field", Severity.NOTE)]
    _, findings = plan(pipe(paint="red"), SCHEMES, "ammonia-2014")
    assert findings == ()  # a color that the inks name is known
