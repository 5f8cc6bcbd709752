"""Line numbers taken apart; pipe diameters by ASME B36.10M (NPS 4 is 4.500 in, from memory)."""

from __future__ import annotations

import pytest

from layouts.crosscheck.line_number import line_numbers, pipe_diameter, take_apart

KNOWN = frozenset({"HPL", "HTRS", "LTRL", "HSD", "HGD"})


@pytest.mark.parametrize(
    ("text", "size", "service", "number", "piping_class"),
    [
        ('4"-HPL-101-A1A', '4"', "HPL", "101", "A1A"),
        ("4”-hpl-101-A1A", '4"', "HPL", "101", "A1A"),
        ("HTRS-6-125", "6", "HTRS", "125", ""),
        ("HPL-1-1/4-135", "1-1/4", "HPL", "135", ""),
        ('1 1/2"-LTRL-205-B2', '1-1/2"', "LTRL", "205", "B2"),
        ("DN100-HPL-101", "DN100", "HPL", "101", ""),
        ("NPS 3-HPL-101", "NPS 3", "HPL", "101", ""),
        ('HPL-4"-101-A1A-2"IC', '4"', "HPL", "101", "A1A"),
        ('6"-HSD-0102A-A1A', '6"', "HSD", "0102A", "A1A"),
        ("3/4-HGD-77", "3/4", "HGD", "77", ""),
        ("HPL-101", "", "HPL", "101", ""),
        ('2"-XYZ-9', '2"', "XYZ", "9", ""),
    ],
)
def test_common_forms_are_taken_apart(
    text: str, size: str, service: str, number: str, piping_class: str
) -> None:
    line = take_apart(text, KNOWN)
    assert line is not None
    assert (line.size, line.service, line.number, line.piping_class) == (
        *(size, service, number),
        piping_class,
    )


@pytest.mark.parametrize(
    "text", ["HV-118", "HV-118-A", "R-101", "HPL", "101", "", "A-B-C", "XYZ-4-9"]
)
def test_what_is_no_line_number_is_left_alone(text: str) -> None:
    assert take_apart(text, KNOWN) is None


def test_leading_zeros_and_case_name_the_same_line() -> None:
    one, other = take_apart('4"-HPL-0101', KNOWN), take_apart("hpl-101", KNOWN)
    assert one is not None
    assert other is not None
    assert one.key == other.key == ("HPL", "101")


@pytest.mark.parametrize(
    ("size", "od"),
    [('4"', 114.3), ("4", 114.3), ("NPS 4", 114.3), ("DN100", 114.3), ('1-1/2"', 48.26)],
)
def test_sizes_are_pipes(size: str, od: float) -> None:
    assert pipe_diameter(size) == pytest.approx(od, abs=0.01)


def test_a_size_that_no_pipe_has_is_none() -> None:
    assert pipe_diameter('7"') is None
    assert pipe_diameter("") is None


def test_every_number_of_a_text_is_found() -> None:
    text = 'FROM 4"-HPL-101-A1A TO HPR-1, THEN 1 1/2"-LTRL-205; SEE HV-118, R-101'
    assert [line.key for line in line_numbers(text, KNOWN)] == [("HPL", "101"), ("LTRL", "205")]


def test_a_long_text_is_searched_to_its_end() -> None:
    text = "X " * 5_000 + '4"-HPL-101'
    assert {line.key for line in line_numbers(text, KNOWN)} == {("HPL", "101")}
