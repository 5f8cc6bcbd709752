"""Pipe sizes against ASME B36.10M and a reference library."""

from __future__ import annotations

import math

import pytest
from fluids.piping import nearest_pipe

from layouts.terms.pipes import STEEL, PipeError, covered_diameter, diameter_from_girth, parse_pipe

# ASME B36.10M outside diameters, typed from the published table: NPS, DN, inches, millimeters.
B36_10M = """
1/8 6 .405 10.3 | 1/4 8 .540 13.7 | 3/8 10 .675 17.1 | 1/2 15 .840 21.3 | 3/4 20 1.050 26.7
1 25 1.315 33.4 | 1-1/4 32 1.660 42.2 | 1-1/2 40 1.900 48.3 | 2 50 2.375 60.3
2-1/2 65 2.875 73.0 | 3 80 3.500 88.9 | 3-1/2 90 4.000 101.6 | 4 100 4.500 114.3
5 125 5.563 141.3 | 6 150 6.625 168.3 | 8 200 8.625 219.1 | 10 250 10.750 273.0
12 300 12.750 323.8 | 14 350 14 355.6 | 16 400 16 406.4 | 18 450 18 457 | 20 500 20 508
22 550 22 559 | 24 600 24 610
"""
PUBLISHED = [entry.split() for entry in B36_10M.replace("\n", "|").split("|") if entry.strip()]


def test_the_table_is_complete() -> None:
    assert len(PUBLISHED) == len(STEEL) == 24


@pytest.mark.parametrize(("nps", "dn", "od_in", "od_mm"), PUBLISHED)
def test_nps_and_dn_against_the_published_table(nps: str, dn: str, od_in: str, od_mm: str) -> None:
    for text in (f"NPS {nps}", f"{nps} in", f'{nps}"', nps, f"DN{dn}", f"dn {dn}"):
        pipe = parse_pipe(text)
        assert pipe.label == f"NPS {nps}"
        assert pipe.od == pytest.approx(float(od_in) * 25.4, abs=1e-6)
        # the millimeter column is rounded, to a whole millimeter from NPS 18 up
        assert pipe.od == pytest.approx(float(od_mm), abs=0.41 if float(od_mm) > 450 else 0.051)


@pytest.mark.parametrize(("nps", "dn", "od_in", "od_mm"), PUBLISHED)
def test_against_the_fluids_library(nps: str, dn: str, od_in: str, od_mm: str) -> None:
    # fluids 1.3, piping.nearest_pipe: outside diameter in metres, rounded as in the mm column
    pipe = parse_pipe(f"NPS {nps}")
    assert pipe.nominal_in is not None
    found_nps, _, od_m, _ = nearest_pipe(
        NPS=pipe.nominal_in,  # type: ignore[arg-type]  # said to be whole, and takes fractions
        schedule="40" if dn != "550" else "30",
    )
    assert found_nps == pipe.nominal_in
    assert od_m * 1000 == pytest.approx(pipe.od, abs=0.41 if pipe.od > 450 else 0.051)


@pytest.mark.parametrize(
    ("text", "od"),
    [
        ("114.3 mm", 114.3),
        ("OD 4.5 in", 114.3),
        ("4.5 in OD", 114.3),
        ("OD 114.3mm", 114.3),
        ("11.43 cm", 114.3),
        ("tube 7/8 in", 22.225),
        ("7/8 in tube", 22.225),
        ("ACR 1-1/8", 28.575),
        ("copper 3/4 in", 22.225),  # ASTM B88: nominal + 1/8 in
        ("copper tube 2", 53.975),
        ("2.5", 73.025),
        ("2 1/2 in", 73.025),
    ],
)
def test_ways_to_write_a_pipe(text: str, od: float) -> None:
    assert parse_pipe(text).od == pytest.approx(od, abs=1e-6)


def test_the_reading_is_said() -> None:
    assert parse_pipe("4 in").note == "4 in read as NPS 4, 4.500 in outside diameter"
    assert parse_pipe("NPS 4").note == ""


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("NPS 7", "NPS 6 and NPS 8"),
        ("4.5", "OD 4.5 in"),
        ("DN110", "DN100 and DN125"),
        ("DNx", "DN100"),
        ("100", "DN100"),
        ("copper 7 in", "6 and 8"),
        ("6 ft", "feet"),
        ("0", "no size"),
        ("185 psig", "pressure"),
        ("pipe", "NPS 4"),
        ("", "NPS 4"),
    ],
)
def test_unknown_sizes_name_what_would_be_right(text: str, named: str) -> None:
    with pytest.raises(PipeError, match=named):
        parse_pipe(text)


def test_round_geometry() -> None:
    assert covered_diameter(114.3, 38.1) == pytest.approx(190.5)
    assert diameter_from_girth(math.pi * 190.5) == pytest.approx(190.5)
