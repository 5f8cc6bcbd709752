"""Size rows against the published tables, read by hand from them."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from layouts.schemes.loader import load_scheme
from layouts.schemes.model import GapRule
from layouts.schemes.sizes import choose_row, row_for_letter
from layouts.terms.pipes import covered_diameter, parse_pipe

IN = 25.4

# Ammonia piping identification guideline, 2014 edition, dimension table (second-hand):
# over, up to, marker height, length, letters, band width, inches.
AMMONIA_2014 = [
    (0, 1.25, 1, 8, 0.5, 0.5),
    (1.25, 2, 1.5, 8, 0.75, 0.75),
    (2, 7, 2.5, 12, 1.25, 1),
    (7, 10, 3.5, 24, 2.5, 1.5),
    (10, math.inf, 4.5, 32, 3.5, 2),
]
# ASME A13.1 size table, 1996 erratum to 2015 (second-hand): from, to, field length, letters.
A13_1 = [
    (0.75, 1.25, 8, 0.5),
    (1.5, 2, 8, 0.75),
    (2.5, 6, 12, 1.25),
    (8, 10, 24, 2.5),
    (10, math.inf, 32, 3.5),
]
# NPS, OD, and the letters of: A13.1 on the diameter, gap up; A13.1 read as nominal; ammonia.
# The sizes where the readings disagree, worked by hand from both tables.
READINGS = [
    ("1/2", 0.840, 0.5, None, 0.5),
    ("1", 1.315, 0.75, 0.5, 0.75),
    ("1-1/4", 1.660, 0.75, 0.5, 0.75),
    ("2", 2.375, 1.25, 0.75, 1.25),
    ("6", 6.625, 2.5, 1.25, 1.25),
    ("10", 10.750, 3.5, 2.5, 3.5),
    # and some where they agree
    ("3/4", 1.050, 0.5, 0.5, 0.5),
    ("1-1/2", 1.900, 0.75, 0.75, 0.75),
    ("4", 4.500, 1.25, 1.25, 1.25),
    ("8", 8.625, 2.5, 2.5, 2.5),
    ("12", 12.750, 3.5, 3.5, 3.5),
    ("24", 24.000, 3.5, 3.5, 3.5),
]


@pytest.mark.parametrize("key", ["ammonia-2014", "ammonia-2018", "ammonia-1991"])
def test_ammonia_rows(key: str) -> None:
    rows = [
        tuple(
            value / IN
            for value in (
                row.od_over,
                row.od_up_to,
                row.marker_height,
                row.length,
                row.letter_height,
                row.band_width,
            )
        )
        for row in load_scheme(key).sizes.rows
    ]
    assert len(rows) == len(AMMONIA_2014)
    for row, published in zip(rows, AMMONIA_2014, strict=True):
        assert row == pytest.approx(published)


def test_a13_1_rows() -> None:
    rows = load_scheme("asme-a13-1").sizes.rows
    assert len(rows) == len(A13_1)
    for row, published in zip(rows, A13_1, strict=True):
        found = (row.od_over, row.od_up_to, row.length, row.letter_height)
        assert tuple(value / IN for value in found) == pytest.approx(published)
        assert row.band_width == 0
        # A13.1 gives no marker height: ours is twice the letters, or the ammonia heights
        assert row.marker_height in (
            pytest.approx(2 * row.letter_height),
            *(pytest.approx(each[2] * IN) for each in AMMONIA_2014),
        )


@pytest.mark.parametrize(("nps", "od_in", "by_od", "by_name", "ammonia"), READINGS)
def test_the_three_readings(
    nps: str, od_in: float, by_od: float, by_name: float | None, ammonia: float
) -> None:
    pipe = parse_pipe(f"NPS {nps}")
    assert pipe.od == pytest.approx(od_in * IN)
    table = load_scheme("asme-a13-1").sizes
    named = replace(table, gap_rule=GapRule.NOMINAL)
    row = choose_row(table, pipe.od, pipe.nominal_in).row
    assert row is not None
    assert row.letter_height == pytest.approx(by_od * IN)
    choice = choose_row(named, pipe.od, pipe.nominal_in)
    if by_name is None:
        assert choice.row is None
        assert choice.tag
    else:
        assert choice.row is not None
        assert choice.row.letter_height == pytest.approx(by_name * IN)
        assert GapRule.NOMINAL.value in choice.reason
    ammonia_row = choose_row(load_scheme().sizes, pipe.od, pipe.nominal_in).row
    assert ammonia_row is not None
    assert ammonia_row.letter_height == pytest.approx(ammonia * IN)


@pytest.mark.parametrize(
    ("od_in", "label"),
    [
        (1.25, "up to 1.25 in"),  # "up to" includes its edge
        (1.2505, "over 1.25 to 2 in"),
        (2.0, "over 1.25 to 2 in"),
        (2.001, "over 2 to 7 in"),
        (7.0, "over 2 to 7 in"),
        (7.001, "over 7 to 10 in"),
        (10.0, "over 7 to 10 in"),
        (10.001, "over 10 in"),
    ],
)
def test_ammonia_edges(od_in: float, label: str) -> None:
    row = choose_row(load_scheme().sizes, od_in * IN).row
    assert row is not None
    assert row.label == label


@pytest.mark.parametrize(
    ("od_in", "label"),
    [
        (0.75, "3/4 to 1-1/4 in"),
        (1.25, "3/4 to 1-1/4 in"),
        (1.3, "1-1/2 to 2 in"),
        (2.0, "1-1/2 to 2 in"),
        (2.4, "2-1/2 to 6 in"),
        (6.0, "2-1/2 to 6 in"),
        (7.0, "8 to 10 in"),
        (10.0, "8 to 10 in"),
        (10.1, "over 10 in"),
    ],
)
def test_a13_1_edges_and_gaps(od_in: float, label: str) -> None:
    choice = choose_row(load_scheme("asme-a13-1").sizes, od_in * IN)
    assert choice.row is not None
    assert choice.row.label == label
    assert (GapRule.NEXT_LARGER.value in choice.reason) is (od_in in (1.3, 2.4, 7.0))


def test_a_sum_of_inches_keeps_its_row() -> None:
    # 4.500 in pipe and 1-1/4 in of covering is 7 in, an edge of the table
    choice = choose_row(load_scheme().sizes, covered_diameter(4.5 * IN, 1.25 * IN))
    assert choice.row is not None
    assert choice.row.label == "over 2 to 7 in"


def test_tags_below_three_quarters() -> None:
    od = parse_pipe("NPS 3/8").od  # 0.675 in
    taken = choose_row(load_scheme("asme-a13-1").sizes, od)
    assert (taken.row, taken.tag) == (None, True)
    offered = choose_row(load_scheme().sizes, od)
    assert offered.row is not None
    assert offered.tag
    assert "offered" in offered.reason


def test_a_reason_names_table_row_and_source() -> None:
    for key in ("ammonia-2014", "asme-a13-1"):
        table = load_scheme(key).sizes
        choice = choose_row(table, 4.5 * IN)
        assert choice.row is not None
        for part in (table.title, choice.row.label, choice.row.source):
            assert part in choice.reason


def test_the_row_for_a_letter() -> None:
    table = load_scheme().sizes
    # 300:1: 20 ft needs 0.8 in letters, which the 1.25 in row has first
    row = row_for_letter(table, 0.8 * IN)
    assert row is not None
    assert row.letter_height == pytest.approx(1.25 * IN)
    exact = row_for_letter(table, 0.75 * IN)
    assert exact is not None
    assert exact.letter_height == pytest.approx(0.75 * IN)
    assert row_for_letter(table, 3.6 * IN) is None


def test_a_table_without_a_row_for_it_says_so() -> None:
    table = replace(load_scheme().sizes, rows=())
    choice = choose_row(table, 4.5 * IN)
    assert (choice.row, choice.tag) == (None, False)
    assert table.title in choice.reason


@pytest.mark.parametrize(
    ("od_in", "words"),
    [
        (3.9, "3-7/8 in outside diameter"),  # NPS 1-1/2 of ASME B36.10M with 1 in of covering
        (7.01, "7.010 in outside diameter"),  # 7 in would name the row below
        (6.625, "6-5/8 in outside diameter"),
    ],
)
def test_a_diameter_is_said_to_a_sixteenth_unless_that_is_another_row(
    od_in: float, words: str
) -> None:
    table = load_scheme("ammonia-2014").sizes
    assert choose_row(table, od_in * IN).reason.startswith(words)
