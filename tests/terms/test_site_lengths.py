"""Lengths as they are said on site, against a rule and a tape."""

from __future__ import annotations

import pytest

from layouts.terms.site_lengths import feet_and_inches, legible_text, ruler_text


@pytest.mark.parametrize(
    ("inches", "text"),
    [(18.75, "18-3/4 in"), (5.9, "5-7/8 in"), (9.868, "9-7/8 in"), (0.01, "0 in"), (12.0, "12 in")],
)
def test_a_ruler_reads_to_the_nearest_sixteenth(inches: float, text: str) -> None:
    assert ruler_text(inches * 25.4) == text


@pytest.mark.parametrize(
    ("feet", "text"),
    [(15.6, "15 ft 7 in"), (78.0, "78 ft"), (0.75, "9 in"), (0.0, "0 in"), (11.99, "12 ft")],
)
def test_a_tape_reads_feet_and_inches(feet: float, text: str) -> None:
    assert feet_and_inches(feet * 304.8) == text


@pytest.mark.parametrize(
    ("letter", "text"),
    # 300:1 (ANSI Z535.2-2011, 9.2.3): 1.25 in carries 31.25 ft, 3.5 in 87.5 ft, 2.5 in 62.5 ft.
    [(1.25, "31 ft"), (3.5, "87 ft"), (2.5, "62 ft"), (0.24, "6 ft"), (0.02, "6 in")],
)
def test_a_reading_distance_is_never_rounded_up(letter: float, text: str) -> None:
    assert legible_text(letter * 25.4 * 300) == text
