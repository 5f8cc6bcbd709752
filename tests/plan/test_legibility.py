"""Reading distances against ANSI Z535.2, round surfaces against the projection formula."""

from __future__ import annotations

import math

import pytest

from layouts.plan.legibility import (
    EDGE_LIMIT,
    contrast_pairs,
    half_angle,
    letter_for_distance,
    lines_that_fit,
    reading_distance,
)
from layouts.schemes.loader import load_scheme, scheme_keys

IN, FT = 25.4, 304.8

# OD, letter, marker in inches; half angle of letter and marker (deg); lines at a pitch of 1.5
# letters. Worked by hand: half angle h / D.
ROUND = [
    (1.050, 0.5, 1.0, 27, 55, 4),
    (1.315, 0.75, 1.5, 33, 65, 3),
    (2.375, 1.25, 2.5, 30, 60, 3),
    (4.5, 1.25, 2.5, 16, 32, 7),
    (8.625, 2.5, 3.5, 17, 23, 7),
    (12.75, 3.5, 4.5, 16, 20, 7),
]


@pytest.mark.parametrize(
    ("letter_in", "far_ft"),
    # ANSI Z535.2-2011, 9.2.3: 1 in for 25 ft
    [(0.5, 12.5), (1.0, 25.0), (2.5, 62.5), (3.5, 87.5)],
)
def test_reading_distance(letter_in: float, far_ft: float) -> None:
    assert reading_distance(letter_in * IN) / FT == pytest.approx(far_ft)
    assert letter_for_distance(far_ft * FT) / IN == pytest.approx(letter_in)


def test_the_smallest_letter() -> None:
    # ANSI Z535.2/.4 annex table: no type below 0.16 in; 5 ft needs 0.20 in
    assert letter_for_distance(0) / IN == pytest.approx(0.16)
    assert letter_for_distance(5 * FT) / IN == pytest.approx(0.20)


@pytest.mark.parametrize(("od", "letter", "marker", "angle", "edge_angle", "lines"), ROUND)
def test_round_surface(
    od: float, letter: float, marker: float, angle: float, edge_angle: float, lines: int
) -> None:
    assert math.degrees(half_angle(letter, od)) == pytest.approx(angle, abs=0.51)
    assert math.degrees(half_angle(marker, od)) == pytest.approx(edge_angle, abs=0.51)
    assert lines_that_fit(od, letter) == lines


def test_edge_limit_is_half_height() -> None:
    assert math.cos(EDGE_LIMIT) == pytest.approx(0.5)
    # h <= 1.05 D keeps the edges within 60 degrees
    assert half_angle(1.047, 1.0) < EDGE_LIMIT < half_angle(1.05, 1.0)


@pytest.mark.parametrize("key", scheme_keys())
def test_every_pair_of_a_scheme_is_listed(key: str) -> None:
    scheme = load_scheme(key)
    pairs = contrast_pairs(scheme)
    whats = [pair.what for pair in pairs]
    assert len(whats) == len(set(whats))
    bands = {band.word for bands in scheme.states.values() for band in bands}
    bands |= {band.word for band in scheme.levels.values()}
    assert len(pairs) == len(scheme.pairings) + len(bands) + 1


def test_the_pressure_bands_fall_short_and_say_so() -> None:
    pairs = {pair.what: pair for pair in contrast_pairs(load_scheme("ammonia-2014"))}
    assert not pairs["HIGH band"].clear
    assert not pairs["LOW band"].clear
    assert pairs["ammonia"].clear
