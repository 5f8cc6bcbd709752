"""Pass and fail of measured inks, contrast of measured pairs."""

import json
from collections.abc import Collection, Mapping
from dataclasses import replace
from types import MappingProxyType

import pytest

from layouts.drawing.inks import Ink, Lab, contrast
from layouts.papers.color_target import patches_of
from layouts.schemes.loader import load_scheme
from layouts.terms.findings import Severity
from render.color.color_report import colors_json, colors_table
from render.color.facts import Chip, color_facts
from render.color.readings import Reading, Readings
from render.color.verdict import InkVerdict, judge

SCHEME = load_scheme()
INKS = SCHEME.inks
PATCHES = patches_of(INKS.values())
PAIRS = [(INKS["safety orange"], INKS["black"]), (INKS["safety green"], INKS["white"])]
CHIPS = [chip for chips in color_facts().chips.values() for chip in chips]


def readings(
    changes: Mapping[str, Lab] = MappingProxyType({}), without: Collection[str] = ()
) -> Readings:
    labs = {ink.name: ink.lab for ink in INKS.values()} | dict(changes)
    rows = (Reading(name, "", lab, n) for n, (name, lab) in enumerate(labs.items()))
    return Readings("r.txt", tuple(row for row in rows if row.name not in without), ())


def verdict_of(name: str, lab: Lab) -> InkVerdict:
    verdict = judge(readings({name: lab}), PATCHES)
    return next(each for each in verdict.inks if each.ink.name == name)


def between(one: Lab, other: Lab, share: float) -> Lab:
    return Lab(
        *(
            getattr(one, part) + share * (getattr(other, part) - getattr(one, part))
            for part in ("lightness", "a", "b")
        )
    )


def test_a_perfect_print_passes() -> None:
    verdict = judge(readings(), PATCHES, PAIRS)
    assert verdict.passed
    assert not verdict.findings
    assert len(verdict.inks) == len(PATCHES)
    assert all(each.delta == 0 for each in verdict.inks)
    assert all(pair.holds for pair in verdict.pairs)


@pytest.mark.parametrize("chip", CHIPS, ids=lambda chip: f"{chip.ink} {chip.munsell}")
def test_up_to_a_limit_chip_passes_and_beyond_fails(chip: Chip) -> None:
    center = INKS[chip.ink].lab
    assert verdict_of(chip.ink, between(center, chip.lab, 0.9)).passed
    beyond = verdict_of(chip.ink, between(center, chip.lab, 1.15))
    assert beyond.beyond == (f"{chip.axis} beyond {chip.munsell}",)
    assert (beyond.judged_by, beyond.status) == ("limit chips", "memory")


def test_an_ink_without_chips_is_judged_by_the_print_target() -> None:
    sky = INKS["sky blue"].lab
    assert verdict_of("sky blue", replace(sky, a=sky.a + 2)).passed
    far = verdict_of("sky blue", replace(sky, lightness=sky.lightness - 6))
    assert far.beyond == ("dE00 above 3",)
    assert far.judged_by == "print target"


def test_chips_do_not_judge_an_ink_of_another_munsell() -> None:
    own = replace(INKS["safety red"], munsell="5R 4/12")
    patches = patches_of([own])
    verdict = judge(Readings("r", (Reading("safety red", "", own.lab, 1),), ()), patches)
    assert verdict.inks[0].judged_by == "print target"


def test_film_is_not_judged_but_by_contrast() -> None:
    dull = verdict_of("white", Lab(60, 0, 0))
    assert dull.passed
    verdict = judge(readings({"white": Lab(60, 0, 0)}), PATCHES, PAIRS)
    assert [finding.code for finding in verdict.findings] == ["contrast-lost"]


def test_contrast_that_a_convention_sets_low_may_lose_little() -> None:
    """Black on safety red has 3.3 by its chips: under the floor of 4.5, so 10 percent less."""
    red, black = INKS["safety red"], INKS["black"]
    specified = contrast(red.lab, black.lab)
    assert specified < 4.5
    for change, holds in (
        ({}, True),
        ({"black": Lab(17, 0, 0)}, True),
        ({"black": Lab(25, 0, 0)}, False),
    ):
        (pair,) = judge(readings(change), PATCHES, [(red, black)]).pairs
        assert pair.least == pytest.approx(0.9 * specified)
        assert pair.holds is holds


def test_a_pair_is_judged_by_its_own_patch_where_the_target_has_one() -> None:
    orange, black = INKS["safety orange"], INKS["black"]
    patches = patches_of(INKS.values(), [(orange, black)])
    found = readings({"black on safety orange": Lab(10, 0, 0), "black": Lab(40, 0, 0)})
    (pair,) = judge(found, patches, [(orange, black)]).pairs
    assert pair.measured == pytest.approx(contrast(orange.lab, Lab(10, 0, 0)))
    (pair,) = judge(readings({"black": Lab(40, 0, 0)}), PATCHES, [(orange, black)]).pairs
    assert pair.measured == pytest.approx(contrast(orange.lab, Lab(40, 0, 0)))


def test_several_readings_of_an_ink_are_averaged() -> None:
    center = INKS["safety red"].lab
    both = [replace(center, a=center.a + step) for step in (-4, 4)]
    rows = tuple(Reading("Safety_Red", "", lab, n) for n, lab in enumerate(both))
    verdict = judge(Readings("r", rows, ()), patches_of([INKS["safety red"]]))
    assert (verdict.inks[0].count, verdict.inks[0].measured) == (2, center)


def test_patches_are_known_by_name_or_by_id() -> None:
    red = next(patch for patch in PATCHES if patch.ink.name == "safety red")
    for name, number in (
        ("safety red", ""),
        ("SAFETY-RED", "9"),
        ("", red.id),
        (red.id.lower(), ""),
    ):
        verdict = judge(Readings("r", (Reading(name, number, red.ink.lab, 4),), ()), PATCHES)
        assert [each.ink.name for each in verdict.inks] == ["safety red"]


def test_unknown_and_missing_patches_are_said() -> None:
    extra = Reading("mystery", "Z9", Lab(50, 0, 0), 7)
    found = readings(without={"sky blue"})
    verdict = judge(replace(found, rows=(*found.rows, extra)), PATCHES, PAIRS)
    assert [(f.code, f.place.row) for f in verdict.findings] == [
        ("reading-unknown", 7),
        ("reading-missing", None),
    ]
    assert not verdict.passed


def test_failures_are_findings_that_block() -> None:
    verdict = judge(readings({"safety red": INKS["safety orange"].lab}), PATCHES, PAIRS)
    (finding,) = verdict.findings
    assert (finding.code, finding.severity) == ("ink-out-of-tolerance", Severity.BLOCKING)
    assert "safety red is dE00" in finding.sentence()


def test_table_and_json_say_the_same() -> None:
    verdict = judge(readings({"safety red": Lab(41.3, 59.1, 30.0)}), PATCHES, PAIRS)
    inks = list(INKS.values())
    table = colors_table(inks, PAIRS, verdict=verdict)
    assert {len(row) for row in table.rows} == {len(table.headings)}
    assert {len(row) for row in table.pair_rows} == {len(table.pair_headings)}
    red = next(row for row in table.rows if row[0] == "safety red")
    assert red[1:4] == ("7.5R 4/14", "41.3 59.1 42.0", "41.3 59.1 30.0")
    assert red[-1] == "fail: hue beyond 6.5R 4/14"
    data = json.loads(colors_json(inks, PAIRS, verdict=verdict))
    row = next(each for each in data["inks"] if each["name"] == "safety red")
    assert row["measured"]["passed"] is False
    assert row["measured"]["beyond"] == ["hue beyond 6.5R 4/14"]
    assert data["readings"] == {"file": "r.txt", "passed": False}
    assert [each["holds"] for each in data["pairs"]] == [True, True]
    assert data["pairs"][0]["contrast"] == pytest.approx(float(table.pair_rows[0][1]), abs=0.05)
    assert all(each["source"] and each["status"] for each in data["inks"])


def test_an_ink_unknown_to_the_readings_has_dashes() -> None:
    other = Ink("own blue", Lab(30, 0, -40))
    table = colors_table([other], verdict=judge(readings(), PATCHES))
    assert table.rows == (("own blue", "-", "30.0 0.0 -40.0", "-", "-", "-"),)
