"""The pressure cutoff of contents: 70 psig is ammonia's, any other is the plant's own."""

from __future__ import annotations

import pytest

from layouts.order.order import PipeMarker
from layouts.plan import MarkerPlan, plan
from layouts.schemes.loader import scheme_from_toml
from layouts.schemes.model import ElementKind
from layouts.terms.errors import InputError
from layouts.terms.findings import Severity
from layouts.terms.words import Level

PLANT = """
extends = "ammonia-2014"
key = "plant"
[[pairings]]
key = "CO2"
meaning = "carbon dioxide as a refrigerant, color of the plant"
field = "safety purple"
legend = "white"
contents = ["CO2", "R-744"]
source = "plant standard 7"
status = "common practice"
"""
CUTOFF = """
[[cutoffs]]
contents = ["CO2", "R-744"]
psig = 450
source = "the plant's own: plant standard 7"
"""


def planned(text: str, **fields: object) -> tuple[MarkerPlan, list[tuple[str, Severity]]]:
    scheme = scheme_from_toml(text, "plant.toml")
    base = {
        "contents": "CO2",
        "service": "HPL",
        "state": "liquid",
        "pressure": "407 psig",  # CO2 saturated at 20 F, by CoolProp; ammonia would be HIGH
        "pipe": "NPS 4",
        "covering": 0,
        "flow": "right",
        "environment": {"surface": "75 F"},
    }
    spec = PipeMarker.model_validate(
        {key: value for key, value in {**base, **fields}.items() if value is not None}
    )
    (made,), findings = plan(spec, {"plant": scheme}, "plant")
    return made, [(finding.code, finding.severity) for finding in findings]


def level_words(made: MarkerPlan) -> list[str]:
    return [each.word for each in made.design.lines[0] if each.kind is ElementKind.LEVEL]


@pytest.mark.parametrize("pressure", ["407 psig", None])
def test_without_a_cutoff_there_is_no_level_band(pressure: str | None) -> None:
    made, found = planned(PLANT, pressure=pressure)
    assert found == []
    assert made.level is None
    assert level_words(made) == []
    (reason,) = [each for each in made.reasons if each.topic == "level"]
    assert "no level band" in reason.text
    assert "no cutoff pressure for CO2" in reason.text


def test_a_level_that_is_not_drawn_is_said() -> None:
    made, found = planned(PLANT, level="high")
    assert found == [("level-without-cutoff", Severity.WARNING)]
    assert level_words(made) == []


@pytest.mark.parametrize(
    ("contents", "pressure", "level"),
    [
        ("CO2", "450 psig", Level.LOW),
        ("r-744", "451 psig", Level.HIGH),
        # ammonia guideline 2014, second hand: above 70 psig HIGH
        ("AMMONIA", "70 psig", Level.LOW),
        ("NH3", "71 psig", Level.HIGH),
        (None, "71 psig", Level.HIGH),
    ],
)
def test_each_contents_has_its_own_cutoff(
    contents: str | None, pressure: str, level: Level
) -> None:
    made, found = planned(PLANT + CUTOFF, contents=contents, pressure=pressure)
    usual = level is Level.HIGH or contents != "AMMONIA"  # HPL is usually HIGH, in ammonia
    assert [code for code, _ in found] == ([] if usual else ["level-unusual"])
    assert made.level is level
    assert level_words(made) == [level.upper()]


def test_the_reason_names_the_plants_own_source() -> None:
    made, _ = planned(PLANT + CUTOFF)
    (reason,) = [each for each in made.reasons if each.topic == "level"]
    assert "450 psig" in reason.text
    assert reason.source == "the plant's own: plant standard 7"


def test_faults_of_the_cutoffs() -> None:
    rows = '[[cutoffs]]\npsig = 90\nsource = "ours"\n[[cutoffs]]\ncontents = ["CO2"]\n'
    with pytest.raises(InputError) as caught:
        scheme_from_toml(PLANT + CUTOFF + rows, "plant.toml")
    assert [(each.code, each.place.field) for each in caught.value.findings] == [
        ("scheme-missing", "cutoffs[2].contents"),
        ("scheme-missing", "cutoffs[3].psig"),
        ("scheme-source-missing", "cutoffs[3].source"),
        ("scheme-duplicate", "cutoffs[3].contents"),
    ]
