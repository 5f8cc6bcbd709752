"""Sizing: from an outside diameter, covering included, to the row of a scheme's table."""

from __future__ import annotations

from dataclasses import dataclass

from layouts.schemes.model import GapRule, SizeRow, SizeTable
from layouts.terms.units import MM_PER_INCH, inches

# A covering of 1-1/4 in on a 4.500 in pipe is 7 in, whatever the last bit of the sum says.
EDGE_SLACK = 0.001


@dataclass(frozen=True, slots=True)
class RowChoice:
    """The row for a diameter and why.

    ``tag`` without a row: a tag takes the place of the marker. ``tag`` with a row: a tag is
    offered, and the row is the smallest that the table has.
    """

    row: SizeRow | None
    tag: bool
    reason: str


def choose_row(table: SizeTable, od: float, nominal: float | None = None) -> RowChoice:
    """The row for an outside diameter in mm, covering included.

    ``nominal`` is the nominal pipe size in inches of bare pipe; a table whose gap rule reads its
    ranges as nominal sizes uses it, and reads the diameter where there is none. The reason names
    table, row, gap rule and source.
    """
    by_name = table.gap_rule is GapRule.NOMINAL and nominal is not None
    size = nominal * MM_PER_INCH if by_name and nominal is not None else od
    what = (
        f"NPS {inches(size).removesuffix(' in')}" if by_name else f"{inches(od)} outside diameter"
    )
    tag = table.tag_below is not None and size < table.tag_below - EDGE_SLACK
    if tag and table.tag_required:
        return RowChoice(None, True, f"{what}: a tag in place of a marker ({table.tag_source})")
    row = _row_holding(table, size)
    gap = ""
    if row is None:
        row = _row_above(table, size)
        gap = f", between the printed ranges: {GapRule.NEXT_LARGER.value}"
    if row is None:
        return RowChoice(None, False, f"{what} is in no row of {table.title} ({table.source})")
    rule = f", {table.gap_rule.value}" if by_name else gap
    reason = f"{what}{rule}: row {row.label!r} of {table.title} ({row.source})"
    if tag:
        reason += f"; a tag is offered ({table.tag_source})"
    return RowChoice(row, tag, reason)


def row_for_letter(table: SizeTable, min_letter: float) -> SizeRow | None:
    """The smallest row whose letters are at least so high, mm; None where none is."""
    fitting = (row for row in table.rows if row.letter_height >= min_letter - EDGE_SLACK)
    return min(fitting, key=lambda row: row.letter_height, default=None)


def _row_holding(table: SizeTable, size: float) -> SizeRow | None:
    """The row whose range holds the size; at a shared edge the lower row, upper end included."""
    for row in table.rows:
        low = row.od_over - EDGE_SLACK if table.lower_inclusive else row.od_over + EDGE_SLACK
        if low < size <= row.od_up_to + EDGE_SLACK:
            return row
    return None


def _row_above(table: SizeTable, size: float) -> SizeRow | None:
    return next((row for row in table.rows if row.od_over >= size - EDGE_SLACK), None)
