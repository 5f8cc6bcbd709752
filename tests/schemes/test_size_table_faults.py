"""A plant's own size table: its rows meet, grow and begin at nothing, to a micrometer."""

from __future__ import annotations

import math

import pytest

from layouts.schemes.loader import scheme_from_toml
from layouts.schemes.model import SizeTable
from layouts.schemes.sizes import choose_row, row_for_letter
from layouts.terms.errors import InputError

HEAD = 'extends = "ammonia-2014"\nkey = "plant"\n[sizes]\n'


def row(over: str, up_to: str | None, letters: str = "1 in", height: str = "2 in") -> str:
    end = f'up_to = "{up_to}", ' if up_to else ""
    label = "up to 1.25 in" if over == "0 in" else f"over {over}"
    return (
        f'{{ label = "{label}", over = "{over}", {end}letters = "{letters}", height = "{height}", '
        'length = "10 in", source = "plant standard 7", status = "confirmed" }'
    )


REMOVED = [
    f'{{ label = "{label}", remove = true }}'
    for label in (
        "up to 1.25 in",
        "over 1.25 to 2 in",
        "over 2 to 7 in",
        "over 7 to 10 in",
        "over 10 in",
    )
]


def written(*rows: str, rule: str = "none", more: str = "") -> str:
    own = [each.replace('"up to 1.25 in"', '"small"') for each in rows]
    own = [each.replace('"over 10 in"', '"large"') for each in own]
    return f'{HEAD}gap_rule = "{rule}"\n{more}rows = [{", ".join([*REMOVED, *own])}]\n'


def table(*rows: str, rule: str = "none", more: str = "") -> SizeTable:
    return scheme_from_toml(written(*rows, rule=rule, more=more), "plant.toml").sizes


def faults(*rows: str, rule: str = "none", more: str = "") -> list[tuple[str, str]]:
    with pytest.raises(InputError) as caught:
        scheme_from_toml(written(*rows, rule=rule, more=more), "plant.toml")
    return [(each.code, each.what) for each in caught.value.findings]


def test_rows_that_meet_are_a_table_in_rising_order() -> None:
    sizes = table(row("50 mm", None, "2 in", "3 in"), row("0 in", "50 mm"))
    assert [each.od_over for each in sizes.rows] == [0.0, 50.0]
    assert sizes.rows[-1].od_up_to == math.inf
    # A table without bands has none.
    assert {each.band_width for each in sizes.rows} == {0.0}


@pytest.mark.parametrize(
    ("over", "code", "what"),
    [
        ("50.001 mm", None, ""),
        ("50.003 mm", "scheme-size-hole", "in is in no row"),
        ("49.999 mm", None, ""),
        ("49.997 mm", "scheme-size-overlap", "overlap"),
    ],
)
def test_rows_may_miss_each_other_by_a_micrometer(over: str, code: str | None, what: str) -> None:
    rows = (row("0 in", "50 mm"), row(over, None))
    if code is None:
        assert len(table(*rows).rows) == 2
        return
    ((found, said),) = faults(*rows)
    assert found == code
    assert what in said
    # A table that gives a gap to the next larger row may have one, and may not overlap.
    if code == "scheme-size-hole":
        assert len(table(*rows, rule="next larger row").rows) == 2
    else:
        assert faults(*rows, rule="next larger row")[0][0] == code


def test_a_table_begins_at_nothing_or_where_tags_end() -> None:
    late = row("20 mm", None)
    ((code, what),) = faults(late, more='tag_below = "20 mm"\ntag_required = false\n')
    assert (code, what) == (
        "scheme-size-hole",
        "nothing says what a diameter under 0.787 in gets",
    )
    assert faults(row("0.5 mm", None), more='tag_below = "20 mm"\ntag_required = false\n')
    required = 'tag_below = "20 mm"\ntag_required = true\n'
    assert table(late, more=required).tag_required
    assert table(row("20.001 mm", None), more=required).rows
    assert faults(row("20.003 mm", None), more=required)


def test_a_table_ends_open() -> None:
    ((code, what),) = faults(row("0 in", "10 in"))
    assert (code, what) == ("scheme-size-hole", "nothing says what a diameter over 10 in gets")


@pytest.mark.parametrize(
    ("letters", "height", "fault"),
    [
        ("1 in", "2 in", False),
        ("0.9 in", "2 in", True),
        ("1 in", "1.9 in", True),
        ("1.1 in", "2.1 in", False),
    ],
)
def test_sizes_grow_with_the_diameter_or_stay(letters: str, height: str, fault: bool) -> None:
    rows = (row("0 in", "50 mm"), row("50 mm", None, letters, height))
    if fault:
        assert [code for code, _ in faults(*rows)] == ["scheme-size-shrinks"]
    else:
        assert len(table(*rows).rows) == 2


@pytest.mark.parametrize(
    ("letters", "height", "fault"),
    [("2 in", "2 in", False), ("2.1 in", "2 in", True), ("0 in", "2 in", True)],
)
def test_letters_fit_their_marker(letters: str, height: str, fault: bool) -> None:
    one = row("0 in", None, letters, height)
    if fault:
        assert "scheme-size-letter" in [code for code, _ in faults(one)]
    else:
        assert table(one).rows[0].letter_height == 2 * 25.4


def test_a_range_ends_after_it_starts_and_a_row_has_no_other_keys() -> None:
    same = faults(row("0 in", "0 in"), row("0 mm", None))
    assert "scheme-size-order" in [code for code, _ in same]
    stray = row("0 in", None).replace("status", 'color = "red", status')
    assert [code for code, _ in faults(stray)] == ["scheme-unknown-key"]


def test_each_end_of_a_range_counts_as_the_table_says() -> None:
    both = (row("0 in", "50 mm"), row("50 mm", None, "2 in", "3 in"))
    upper = table(*both)
    # At a shared edge the lower row, up to a micrometer; a table that includes its lower ends too.
    for od, letters in ((50.0, 1), (50.0009, 1), (50.0011, 2), (49.9, 1)):
        found = choose_row(upper, od).row
        assert found is not None
        assert found.letter_height == letters * 25.4
    gap = table(row("0 in", "50 mm"), row("60 mm", None, "2 in", "3 in"), rule="next larger row")
    # At the lower end of a row that does not include it, or in the gap, the next larger row.
    for od in (50.1, 59.9, 60.0, 60.1):
        found = choose_row(gap, od).row
        assert found is not None
        assert found.letter_height == 2 * 25.4
    assert "between the printed ranges" in choose_row(gap, 55.0).reason
    assert "between the printed ranges" not in choose_row(gap, 60.1).reason


def test_a_nominal_table_reads_the_name_of_the_pipe_where_it_is_known() -> None:
    named = table(
        row("0 in", "2 in"),
        row("2 in", None, "2 in", "3 in"),
        rule="ranges read as nominal pipe sizes",
    )
    # NPS 2 has 2.375 in outside (ASME B36.10M).
    by_name, by_size = choose_row(named, 60.325, 2.0), choose_row(named, 60.325)
    assert by_name.row is not None
    assert by_size.row is not None
    assert (by_name.row.letter_height, by_size.row.letter_height) == (25.4, 2 * 25.4)
    assert by_name.reason.startswith("NPS 2, ranges read as nominal pipe sizes: row")
    assert by_size.reason.startswith("2-3/8 in outside diameter: row")


def test_the_smallest_row_whose_letters_reach() -> None:
    sizes = table(row("0 in", "50 mm"), row("50 mm", None, "2 in", "3 in"))
    for letter, found in ((25.4, 25.4), (25.4009, 25.4), (25.402, 50.8), (50.8, 50.8)):
        chosen = row_for_letter(sizes, letter)
        assert chosen is not None
        assert chosen.letter_height == found
    assert row_for_letter(sizes, 51.0) is None


def test_tags_begin_below_their_limit() -> None:
    sizes = table(row("0 in", None), more='tag_below = "20 mm"\ntag_required = false\n')
    assert [choose_row(sizes, od).tag for od in (19.9, 19.9995, 20.0)] == [True, False, False]
    assert "a tag is offered" in choose_row(sizes, 19.9).reason
