"""Reading distances against ANSI Z535.2, round surfaces against the projection formula."""

from __future__ import annotations

import math

import pytest

from layouts.legibility import (
    EDGE_LIMIT,
    Reading,
    contrast_pairs,
    edge_scale,
    girth_share,
    half_angle,
    letter_for_distance,
    lines_that_fit,
    projected_share,
    reading_distance,
    visible_girth_share,
    worst_line_scale,
)
from layouts.schemes.loader import load_scheme, scheme_keys

IN, FT = 25.4, 304.8

# OD, letter, marker in inches; letter half angle (deg) and ratio; marker half angle and edge
# scale; share of girth; lines at a pitch of 1.5 letters. Worked by hand from
# projected = D cos(phi) sin(h / D).
ROUND = [
    (1.050, 0.5, 1.0, 27, 0.96, 55, 0.58, 30, 4),
    (1.315, 0.75, 1.5, 33, 0.95, 65, 0.42, 36, 3),
    (2.375, 1.25, 2.5, 30, 0.95, 60, 0.50, 34, 3),
    (4.5, 1.25, 2.5, 16, 0.99, 32, 0.85, 18, 7),
    (8.625, 2.5, 3.5, 17, 0.99, 23, 0.92, 13, 7),
    (12.75, 3.5, 4.5, 16, 0.99, 20, 0.94, 11, 7),
]


@pytest.mark.parametrize(
    ("letter_in", "far_ft", "signal_ft"),
    [
        # ANSI Z535.2-2011, 9.2.3: 1 in for 25 ft; signal word 1 in for 12.5 ft
        (0.5, 12.5, 6.25),
        (1.0, 25.0, 12.5),
        (2.5, 62.5, 31.25),
        (3.5, 87.5, 43.75),
    ],
)
def test_reading_distance(letter_in: float, far_ft: float, signal_ft: float) -> None:
    assert reading_distance(letter_in * IN) / FT == pytest.approx(far_ft)
    assert reading_distance(letter_in * IN, Reading.SIGNAL_WORD) / FT == pytest.approx(signal_ft)
    assert letter_for_distance(far_ft * FT) / IN == pytest.approx(letter_in)


def test_the_smallest_letter() -> None:
    # ANSI Z535.2/.4 annex table: no type below 0.16 in; 5 ft needs 0.20 in
    assert letter_for_distance(0) / IN == pytest.approx(0.16)
    assert letter_for_distance(5 * FT) / IN == pytest.approx(0.20)


@pytest.mark.parametrize(
    ("od", "letter", "marker", "angle", "ratio", "edge_angle", "edge", "share", "lines"), ROUND
)
def test_round_surface(
    od: float, letter: float, marker: float, angle: float, ratio: float,
    edge_angle: float, edge: float, share: float, lines: int,
) -> None:  # fmt: skip
    assert math.degrees(half_angle(letter, od)) == pytest.approx(angle, abs=0.51)
    assert projected_share(letter, od) == pytest.approx(ratio, abs=0.006)
    assert math.degrees(half_angle(marker, od)) == pytest.approx(edge_angle, abs=0.51)
    assert edge_scale(marker, od) == pytest.approx(edge, abs=0.006)
    assert 100 * girth_share(marker, od) == pytest.approx(share, abs=0.51)
    assert lines_that_fit(od, letter) == lines


def test_off_axis_by_projecting_points() -> None:
    # the seen height is the shadow of the arc on a plane, here summed from many short chords
    od, height, off = 2.0, 1.5, 1.1
    count = 20_000
    seen = 0.0
    for step in range(count):
        turn = off + (2 * (step + 0.5) / count - 1) * height / od
        if abs(turn) < math.pi / 2:
            seen += math.cos(turn) * height / count
    assert projected_share(height, od, off) == pytest.approx(seen / height, abs=1e-4)
    assert projected_share(0.1, od, 2.0) == 0.0
    assert edge_scale(height, od, off) == pytest.approx(0.0, abs=1e-12)


def test_edge_limit_is_half_height() -> None:
    assert math.cos(EDGE_LIMIT) == pytest.approx(0.5)
    # h <= 1.05 D keeps the edges within 60 degrees
    assert half_angle(1.047, 1.0) < EDGE_LIMIT < half_angle(1.05, 1.0)


@pytest.mark.parametrize(("lines", "scale"), [(1, 0), (2, 0), (3, 0.5), (4, 0.71), (6, 0.87)])
def test_lines_round_a_pipe(lines: int, scale: float) -> None:
    assert worst_line_scale(lines) == pytest.approx(scale, abs=0.005)


def test_visible_share() -> None:
    # a pipe of 10 in seen from 5 and 10 ft shows 47 and 49 percent of its girth
    assert visible_girth_share(10 * IN, 5 * FT) == pytest.approx(0.473, abs=0.001)
    assert visible_girth_share(10 * IN, 10 * FT) == pytest.approx(0.487, abs=0.001)
    assert visible_girth_share(10.0, 1.0) == 0.0


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
