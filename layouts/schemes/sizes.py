"""Reading and checking the sizing table of a scheme file."""

from __future__ import annotations

import math
from itertools import pairwise

from layouts.schemes.model import GapRule, SizeRow, SizeTable
from layouts.schemes.rows import Row
from layouts.terms.site_lengths import to_sixteenth
from layouts.terms.units import MM_PER_INCH, inches
from layouts.terms.values import frozen

_SLACK = 0.001  # mm; as much as two spellings of one diameter may differ


def read_sizes(table: Row) -> SizeTable:
    """The sizing table, rows in rising order; its faults are noted in the row reader."""
    rows = sorted((_size(row) for row in table.children("rows", "label")), key=_start)
    gap_rule = table.word("gap_rule", GapRule)
    if gap_rule is None and not table.has("gap_rule"):
        table.fault("missing", "gap_rule", "the gap rule is missing", f"write {_names()}")
    sizes = SizeTable(
        rows=tuple(rows),
        gap_rule=gap_rule or GapRule.NONE,
        lower_inclusive=table.flag("lower_inclusive"),
        tag_below=table.length("tag_below") if table.has("tag_below") else None,
        tag_required=table.flag("tag_required", False),
        tag_source=table.source("tag_source") if table.has("tag_below") else "",
        title=table.text("title"),
        source=table.source(),
    )
    _check_ends(sizes, table)
    for lower, upper in pairwise(rows):
        _check_seam(sizes, lower, upper, table)
    table.close()
    return sizes


def _start(row: SizeRow) -> float:
    return math.inf if math.isnan(row.od_over) else row.od_over


def _size(row: Row) -> SizeRow:
    size = SizeRow(
        od_over=row.length("over"),
        od_up_to=row.length("up_to") if row.has("up_to") else math.inf,
        letter_height=row.length("letters"),
        marker_height=row.length("height"),
        length=row.length("length"),
        band_width=row.length("band", 0.0),
        label=row.text("label"),
        source=row.source(),
        status=row.status(),
    )
    if row.has("up_to") and size.od_up_to <= size.od_over:
        what = f"the range ends at {inches(size.od_up_to)} before it starts"
        row.fault("size-order", "up_to", what, f"write more than {inches(size.od_over)}")
    if size.letter_height <= 0 or size.letter_height > size.marker_height:
        what = f"letters of {inches(size.letter_height)} do not fit {inches(size.marker_height)}"
        row.fault("size-letter", "letters", what, "write letters lower than the marker")
    row.close()
    return size


def _check_ends(sizes: SizeTable, table: Row) -> None:
    if not sizes.rows:
        table.fault("missing", "rows", "the sizing table has no row", "write one row at least")
        return
    covered = sizes.tag_below if sizes.tag_below is not None and sizes.tag_required else 0.0
    first = sizes.rows[0]
    if first.od_over > covered + _SLACK:
        what = f"nothing says what a diameter under {inches(first.od_over)} gets"
        table.fault("size-hole", "rows", what, "start at 0 in, or write tag_below and tag_required")
    last = sizes.rows[-1]
    if math.isfinite(last.od_up_to):
        what = f"nothing says what a diameter over {inches(last.od_up_to)} gets"
        table.fault("size-hole", "rows", what, "leave out up_to in the last row")


def _check_seam(sizes: SizeTable, lower: SizeRow, upper: SizeRow, table: Row) -> None:
    gap = upper.od_over - lower.od_up_to
    if gap < -_SLACK:
        what = f"{lower.label!r} and {upper.label!r} overlap"
        table.fault("size-overlap", "rows", what, "let each row start where the one before ends")
    elif gap > _SLACK and sizes.gap_rule is GapRule.NONE:
        what = f"{inches(lower.od_up_to)} to {inches(upper.od_over)} is in no row"
        right = f"close the hole or write gap_rule = {GapRule.NEXT_LARGER.value!r}"
        table.fault("size-hole", "rows", what, right)
    if upper.letter_height < lower.letter_height or upper.marker_height < lower.marker_height:
        what = f"{upper.label!r} is smaller than {lower.label!r}"
        table.fault("size-shrinks", "rows", what, "let sizes grow with the diameter")


def _names() -> str:
    return " or ".join(repr(rule.value) for rule in GapRule)


# A covering of 1-1/4 in on a 4.500 in pipe is 7 in, whatever the last bit of the sum says.
EDGE_SLACK = 0.001


@frozen
class RowChoice:
    """The row for a diameter and why.

    ``tag`` without a row: a tag replaces the marker. ``tag`` with a row: a tag is
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
    named = f"NPS {inches(size).removesuffix(' in')}"
    what = named if by_name else f"{_diameter_text(table, od)} outside diameter"
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


def _diameter_text(table: SizeTable, od: float) -> str:
    """To a sixteenth, as a rule reads, where that leads to the same row; else exactly."""
    near = to_sixteenth(od)
    return inches(near if _row_holding(table, near) == _row_holding(table, od) else od)


def row_for_letter(table: SizeTable, min_letter: float) -> SizeRow | None:
    """The smallest row whose letters are at least that high, mm; None if there is none."""
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
