"""Units against their defining factors, and what must be refused."""

from __future__ import annotations

import math
from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layouts.terms.pressures import parse_pressure, read_pressure
from layouts.terms.units import (
    LengthUnit,
    UnitError,
    feet,
    inches,
    parse_length,
    parse_temperature,
    psig_text,
)


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        # inch 25.4 mm and foot 304.8 mm exactly: international agreement of 1959
        ("4 in", 101.6),
        ('1-1/4"', 31.75),
        ("1 1/4 in", 31.75),
        ("1¼ in", 31.75),
        ("1 - 1/4 inches", 31.75),
        ("3/4", 19.05),
        ("2.5", 63.5),
        (".5 in.", 12.7),
        ("114.3 mm", 114.3),
        ("114.3mm", 114.3),
        ("10 cm", 100.0),
        ("2 m", 2000.0),
        ("20 ft", 6096.0),
        ("6'", 1828.8),
        ("6 ft 3 in", 1905.0),
        ("6' 3-1/2\"", 1917.7),
        ("6′ 3″", 1905.0),
        ("0", 0.0),
        (4, 101.6),
        (2.5, 63.5),
    ],
)
def test_lengths(text: str | float, mm: float) -> None:
    assert parse_length(text) == pytest.approx(mm, abs=1e-9)


def test_a_bare_number_takes_the_unit_of_its_heading() -> None:
    assert parse_length("2", LengthUnit.FOOT) == pytest.approx(609.6)
    assert parse_length(2, LengthUnit.MM) == 2
    assert parse_length("2 in", LengthUnit.MM) == pytest.approx(50.8)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("2,5 in", "comma"),
        ("1,000 mm", "comma"),
        ("10 inHg", "pressure"),
        ("10 in Hg vac", "pressure"),
        ("185 psig", "pressure"),
        ("12 bar", "pressure"),
        ("-4 in", "negative"),
        (-4, "negative"),
        ("4 x 6 in", "unit known"),
        ("four", "not a length"),
        ("4 in 6 ft", "more than one"),
        ("4 6", "more than one"),
        ("3/0 in", "zero"),
        ("", "the value is empty"),
        ("#DIV/0!", "not a length"),
        (math.nan, "not a number"),
        (math.inf, "not a number"),
        (True, "not a number"),
    ],
)
def test_lengths_refused(text: str | float, said: str) -> None:
    with pytest.raises(UnitError, match=said):
        parse_length(text)


@pytest.mark.parametrize(
    ("text", "psig"),
    [
        ("185 psig", 185),
        ("185", 185),
        (185.0, 185),
        ("-5 psig", -5),
        ("−5 psig", -5),
        ("185 psi", 185),
        # NIST SP 811, B.8: psi 6.894757 kPa; bar 100 kPa; conventional inHg 3.386389 kPa
        ("12.5 bar", 12.5 * 100 / 6.894757),
        ("12.5 barg", 12.5 * 100 / 6.894757),
        ("1275 kPa", 1275 / 6.894757),
        ("1.275 MPa", 1275 / 6.894757),
        ("10 inHg vac", -10 * 3.386389 / 6.894757),
        ('10" Hg vacuum', -10 * 3.386389 / 6.894757),
        ("10 in. Hg vac", -10 * 3.386389 / 6.894757),
        # ISO 2533 standard atmosphere: 101.325 kPa
        ("14.6959 psia", 0.0),
        ("3 bar a", (300 - 101.325) / 6.894757),
        ("3 bar abs", (300 - 101.325) / 6.894757),
        ("0 psia", -14.6959),
    ],
)
def test_pressures(text: str | float, psig: float) -> None:
    assert parse_pressure(text) == pytest.approx(psig, abs=1e-3)


def test_a_conversion_is_said() -> None:
    assert read_pressure("185 psig").note == ""
    assert "atmosphere" in read_pressure("3 bar a").note
    assert "-4.9 psig" in read_pressure("10 inHg vac").note


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("4 in", "length"),
        ("20 ft", "length"),
        ("100 mm", "length"),
        ("10 inHg", "whether it is vacuum"),
        ("-10 inHg vac", "negative vacuum"),
        ("31 inHg vac", "full vacuum"),
        ("-20 psig", "full vacuum"),
        ("12,5 bar", "comma"),
        ("185 lbs", "unit known"),
        ("high", "not a pressure"),
        ("", "the value is empty"),
        (math.nan, "not a number"),
    ],
)
def test_pressures_refused(text: str | float, said: str) -> None:
    with pytest.raises(UnitError, match=said):
        parse_pressure(text)


@pytest.mark.parametrize(
    ("text", "degrees_f"),
    [
        ("-40 F", -40),
        ("-40 C", -40),  # the scales meet here
        ("-40", -40),
        (-40, -40),
        ("-40 °F", -40),
        ("100°C", 212),  # boiling water at one atmosphere
        ("0 deg C", 32),
        ("20 celsius", 68),
    ],
)
def test_temperatures(text: str | float, degrees_f: float) -> None:
    assert parse_temperature(text) == pytest.approx(degrees_f)


@pytest.mark.parametrize("text", ["-500 F", "-300 C", "40 psig", "warm", "", "4,5 C", math.nan])
def test_temperatures_refused(text: str | float) -> None:
    with pytest.raises(UnitError):
        parse_temperature(text)


@pytest.mark.parametrize(
    ("mm", "text"),
    [
        (31.75, "1-1/4 in"),
        (101.6, "4 in"),
        (4.7625, "3/16 in"),
        (0.0, "0 in"),
        (33.401, "1.315 in"),
        (42.164, "1.660 in"),
        (-31.75, "-1-1/4 in"),
    ],
)
def test_inches_are_printed_as_a_ruler_shows_them(mm: float, text: str) -> None:
    assert inches(mm) == text


def test_feet() -> None:
    assert feet(6096.0) == "20 ft"
    assert feet(3810.0) == "12.5 ft"


@given(st.floats(0, 50_000))
def test_what_is_printed_reads_back(mm: float) -> None:
    # a printed length is within half a thousandth of an inch
    assert parse_length(inches(mm)) == pytest.approx(mm, abs=0.0005 * 25.4 + 1e-9)


@given(st.integers(0, 400), st.sampled_from([2, 4, 8, 16]), st.data())
def test_fractions_of_an_inch(whole: int, bottom: int, data: st.DataObject) -> None:
    top = data.draw(st.integers(1, bottom - 1))
    wanted = (whole + top / bottom) * 25.4
    texts = [f"{whole}-{top}/{bottom} in", f'{whole} {top}/{bottom}"', f"{whole + top / bottom}"]
    for text in texts:
        assert parse_length(text) == pytest.approx(wanted, abs=1e-6)


@given(st.text(max_size=12))
def test_any_text_is_read_or_refused(text: str) -> None:
    for parse in (parse_length, parse_pressure, parse_temperature):
        with suppress(UnitError):
            assert math.isfinite(parse(text))


@pytest.mark.parametrize(
    ("psig", "text"),
    [(30.0, "30 psig"), (33.54, "33.5 psig"), (-4.9116, "-4.9 psig (10 inHg vac)")],
)
def test_pressure_is_shown_to_a_tenth_and_vacuum_in_mercury(psig: float, text: str) -> None:
    # 10 inHg = 10 x 3386.389 Pa (NIST SP 811, inch of mercury at 32 F) = 4.9116 psi.
    assert psig_text(psig) == text
