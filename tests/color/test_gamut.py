"""Inks through a printer profile, against a second engine and against brute force.

The profile is the CMYK one that Ghostscript comes with; it is read from the system.
"""

import json
import random
from dataclasses import replace
from pathlib import Path

import pytest

from layouts.drawing.ink_report import InkReport, Intent
from layouts.drawing.inks import Ink, InkRole, Lab, contrast
from layouts.schemes.loader import load_scheme
from layouts.terms.errors import InputError
from render.color.color_report import colors_json, colors_table
from render.color.difference import delta_e_2000
from render.color.engine import Engine
from render.color.gamut import (
    gamut_findings,
    ink_report,
    nearest_color,
    process_values,
    scheme_pairs,
)
from render.color.profile import OutputProfile, read_profile
from tests.helpers import icc_luts

FOLDER = Path("/usr/share/color/icc/ghostscript")
pytestmark = pytest.mark.tools

INKS = load_scheme().inks
BLACK, WHITE = INKS["black"], INKS["white"]


@pytest.fixture(scope="module")
def profile() -> OutputProfile:
    return read_profile(FOLDER / "default_cmyk.icc")


@pytest.fixture(scope="module")
def report(profile: OutputProfile) -> InkReport:
    pairs = [(INKS["safety orange"], BLACK), (INKS["safety green"], WHITE)]
    return ink_report(INKS.values(), profile, Intent.ABSOLUTE, pairs)


@pytest.mark.parametrize("intent", list(Intent))
def test_printed_colors_agree_with_a_second_engine(profile: OutputProfile, intent: Intent) -> None:
    chance = random.Random(1)
    devices = [tuple(chance.random() for _ in range(4)) for _ in range(60)]
    with Engine(profile, intent) as engine:
        found = engine.labs(devices)
    for device, lab in zip(devices, found, strict=True):
        wanted = icc_luts.lab_printed(profile.data, device, intent is Intent.ABSOLUTE)
        assert delta_e_2000(lab, Lab(*map(float, wanted))) < 0.05


@pytest.mark.parametrize("intent", list(Intent))
def test_device_values_agree_with_a_second_engine(profile: OutputProfile, intent: Intent) -> None:
    labs = [ink.lab for ink in INKS.values() if ink.role is InkRole.COLOR]
    with Engine(profile, intent) as engine:
        found = engine.devices(labs)
    for lab, device in zip(labs, found, strict=True):
        wanted = icc_luts.cmyk_for(
            profile.data, (lab.lightness, lab.a, lab.b), intent is Intent.ABSOLUTE
        )
        assert device == pytest.approx(wanted, abs=0.002)


def test_safety_colors_in_a_press_gamut(report: InkReport) -> None:
    """dE00 through this profile, absolute, as found by an engine outside this program."""
    wanted = {"red": 2.8, "orange": 7.1, "yellow": 1.7, "green": 3.2, "blue": 3.6, "brown": 2.6}
    found = {each.ink.name: each for each in report.inks}
    for name, delta in wanted.items():
        assert found[f"safety {name}"].delta == pytest.approx(delta, abs=0.1)
    # Safety orange lies outside every CMYK gamut.
    assert found["safety orange"].in_gamut is False
    assert found["safety orange"].nearest_delta > 4
    assert found["safety gray"].in_gamut is True


def test_nothing_reachable_is_nearer(profile: OutputProfile) -> None:
    """Against 20,000 device values within the same limit of total ink."""
    chance = random.Random(2)
    with Engine(profile, Intent.ABSOLUTE) as engine:
        (black,) = engine.devices([Lab(0, 0, 0)])
        devices = [tuple(chance.random() for _ in range(4)) for _ in range(20000)]
        labs = engine.labs([each for each in devices if sum(each) <= sum(black)])
        for name in ("safety orange", "safety blue", "safety green", "sky blue"):
            target = INKS[name].lab
            best = delta_e_2000(nearest_color(target, engine), target)
            assert best <= min(delta_e_2000(lab, target) for lab in labs) + 0.02


def test_a_color_that_the_printer_makes_is_reached(profile: OutputProfile) -> None:
    with Engine(profile, Intent.RELATIVE) as engine:
        (lab,) = engine.labs([(0.2, 0.6, 0.3, 0.05)])
        assert delta_e_2000(nearest_color(lab, engine), lab) < 0.05


def test_black_is_the_black_channel_and_paper_is_bare(report: InkReport) -> None:
    found = {each.ink.name: each for each in report.inks}
    assert found["black"].device == (0, 0, 0, 1)
    assert found["white"].device == (0, 0, 0, 0)
    assert found["black"].in_gamut is None
    assert "white underprint" not in found


def test_contrast_as_printed(report: InkReport, profile: OutputProfile) -> None:
    orange, green = report.pairs
    assert orange.specified == pytest.approx(contrast(orange.field.lab, BLACK.lab))
    # Black overprints: it is darker on the field than on the bare film.
    with Engine(profile, Intent.ABSOLUTE) as engine:
        (field,) = engine.devices([orange.field.lab])
        on_field, alone = engine.labs([(*field[:3], 1.0), (0, 0, 0, 1)])
        (printed,) = engine.labs([field])
    assert on_field.lightness < alone.lightness
    assert orange.printed == pytest.approx(contrast(printed, on_field))
    assert 3.5 < green.printed < green.specified


def test_process_values_are_the_profile_s(profile: OutputProfile) -> None:
    values = process_values(INKS.values(), profile, Intent.ABSOLUTE)
    assert set(values) == {ink.name for ink in INKS.values() if ink.role is InkRole.COLOR}
    orange = INKS["safety orange"].lab
    wanted = icc_luts.cmyk_for(profile.data, (orange.lightness, orange.a, orange.b), True)
    found = values["safety orange"]
    assert (found.cyan, found.magenta, found.yellow, found.black) == pytest.approx(
        wanted, abs=0.002
    )


def test_off_target_inks_are_warned_of(report: InkReport) -> None:
    codes = {finding.place.field: finding for finding in gamut_findings(report)}
    assert "safety orange" in codes
    assert "safety yellow" not in codes
    assert "nearest it reaches is" in codes["safety orange"].what
    assert "black" not in codes


def test_a_display_profile_converts_as_its_matrix_says() -> None:
    """sRGB, relative: white, black and mid gray (IEC 61966-2-1: 0.5 is 21.4 percent of Y)."""
    data = (FOLDER / "srgb.icc").read_bytes()
    with Engine(OutputProfile(data, 3, "sRGB"), Intent.RELATIVE) as engine:
        white, black, gray = engine.labs([(1, 1, 1), (0, 0, 0), (0.5, 0.5, 0.5)])
        assert delta_e_2000(white, Lab(100, 0, 0)) < 0.05
        assert delta_e_2000(black, Lab(0, 0, 0)) < 0.5
        assert gray.luminance == pytest.approx(0.214, abs=0.001)
        assert engine.devices([gray])[0] == pytest.approx((0.5,) * 3, abs=0.002)
    report = ink_report([BLACK, WHITE], OutputProfile(data, 3, "sRGB"), Intent.RELATIVE)
    assert [each.device for each in report.inks] == [(0, 0, 0), (1, 1, 1)]


def test_broken_and_unsuited_profiles_are_refused(profile: OutputProfile) -> None:
    # Cut through its tables, the header intact.
    broken = replace(profile, data=profile.data[:300] + bytes(len(profile.data) - 300))
    for wrong, said in ((broken, "cannot be used"), (replace(profile, channels=1), "neither")):
        with pytest.raises(InputError, match=said):
            ink_report(INKS.values(), wrong)
    with pytest.raises(InputError, match="only a CMYK profile"):
        process_values(INKS.values(), replace(profile, channels=3))


def test_the_report_is_the_same_twice(profile: OutputProfile, report: InkReport) -> None:
    again = ink_report(INKS.values(), profile, Intent.ABSOLUTE)
    assert again.inks == report.inks


def test_cut_and_underprint_inks_are_left_out(profile: OutputProfile) -> None:
    inks = [Ink("Cutting", Lab(50, 0, 0), InkRole.STEP), Ink("White", Lab(95, 0, 0), InkRole.WHITE)]
    assert ink_report(inks, profile).inks == ()


def test_table_and_json_say_what_the_report_says(report: InkReport, profile: OutputProfile) -> None:
    pairs = [(pair.field, pair.legend) for pair in report.pairs]
    table = colors_table(INKS.values(), pairs, report)
    assert {len(row) for row in table.rows} == {len(table.headings)}
    orange = dict(
        zip(table.headings, next(r for r in table.rows if r[0] == "safety orange"), strict=True)
    )
    assert orange["CMYK %"] == "0 58 100 0"
    assert orange["in gamut"] == "no"
    black = next(row for row in table.rows if row[0] == "black")
    assert black[table.headings.index("in gamut")] == "-"
    assert table.pair_headings == ("legend on field", "contrast", "as printed")
    assert float(table.pair_rows[0][2]) == pytest.approx(report.pairs[0].printed, abs=0.05)
    data = json.loads(colors_json(INKS.values(), pairs, report))
    assert data["profile"] == {"condition": profile.condition, "intent": "absolute"}
    printed = {row["name"]: row.get("printed") for row in data["inks"]}
    assert printed["safety orange"]["in_gamut"] is False
    assert printed["safety orange"]["de00"] == pytest.approx(7.1, abs=0.1)
    assert data["pairs"][0]["printed"] == pytest.approx(report.pairs[0].printed, abs=0.005)
    # An ink or a pair that the report does not hold has dashes.
    own = replace(INKS["safety red"], name="own red")
    table = colors_table([own], [(own, WHITE)], report)
    assert table.rows[0][3:] == ("-",) * 6
    assert table.pair_rows[0][2] == "-"


def test_pairs_of_a_scheme() -> None:
    """Ammonia, 2014 content: orange field; yellow, sky blue, red and green bands, all black."""
    names = [(field.name, legend.name) for field, legend in scheme_pairs(load_scheme())]
    assert names == [
        ("safety orange", "black"),
        ("safety yellow", "black"),
        ("sky blue", "black"),
        ("safety red", "black"),
        ("safety green", "black"),
    ]
