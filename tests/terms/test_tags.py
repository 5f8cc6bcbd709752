"""Ranges of tags. What a range stands for is common practice, no source: both ends in."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layouts.terms.tags import MOST_IN_A_RANGE, TagRangeError, expand_tags, natural_key, split_tag


@pytest.mark.parametrize(
    ("text", "tags"),
    [
        ("HV-101", ["HV-101"]),
        ("King valve", ["King valve"]),
        ("HV-101..HV-104", ["HV-101", "HV-102", "HV-103", "HV-104"]),
        ("HV-101 .. 103", ["HV-101", "HV-102", "HV-103"]),
        ("HV-9…HV-11", ["HV-9", "HV-10", "HV-11"]),
        ("V-08..V-11", ["V-08", "V-09", "V-10", "V-11"]),
        ("XV-1A..XV-3A", ["XV-1A", "XV-2A", "XV-3A"]),
        ("2HV-7..2HV-8, MOV-3; hv-9", ["2HV-7", "2HV-8", "MOV-3", "hv-9"]),
        ("HV-5..HV-5", ["HV-5"]),
    ],
)
def test_what_a_cell_stands_for(text: str, tags: list[str]) -> None:
    assert expand_tags(text) == tags


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("HV-101..", "not a range; write its two ends"),
        ("HV-1..HV-3..HV-5", "not a range; write its two ends"),
        ("HV-101..HV-103,", "empty place"),
        ("", "empty place"),
        ("HV-A..HV-D", "HV-A has no number"),
        ("HV-1..HV-D", "HV-D has no number"),
        ("HV-101..XV-118", "differ in more than their number"),
        ("HV-1A..HV-3B", "differ in more than their number"),
        ("HV-118..HV-101", "HV-101..HV-118"),
        ("HV-1..HV-99999", f"at most {MOST_IN_A_RANGE}"),
        ("HV-01..HV-100", "with as many digits"),
        ("HV-1..HV-3, HV-2", "HV-2 twice"),
    ],
)
def test_what_cannot_be_spelled_out_is_told_with_what_would_be_right(text: str, said: str) -> None:
    with pytest.raises(TagRangeError, match=re.escape(said)):
        expand_tags(text)


@given(
    st.from_regex(r"[A-Z]{1,3}-", fullmatch=True),
    st.integers(0, 5000),
    st.integers(0, MOST_IN_A_RANGE - 1),
    st.integers(0, 5),
)
def test_a_range_holds_every_number_once_in_order(
    prefix: str, start: int, more: int, width: int
) -> None:
    """Nothing lost, nothing twice, and each tag reads back to its number."""
    first, last = f"{start:0{width}d}", f"{start + more:0{width}d}"
    if (first.startswith("0") or last.startswith("0")) and len(first) != len(last):
        return  # refused, see above
    tags = expand_tags(f"{prefix}{first}..{prefix}{last}")
    assert [int(tag.removeprefix(prefix)) for tag in tags] == list(range(start, start + more + 1))
    assert len({len(tag) for tag in tags}) == 1 or len(first) != len(last)
    assert all((parts := split_tag(tag)) is not None and parts.prefix == prefix for tag in tags)


def test_tags_sort_as_people_count() -> None:
    shuffled = ["HV-10", "hv-9", "HV-100A", "HV-100", "AV-2", "HV-1"]
    assert sorted(shuffled, key=natural_key) == [
        "AV-2",
        "HV-1",
        "hv-9",
        "HV-10",
        "HV-100",
        "HV-100A",
    ]
