"""Writes the markers of an order as CSV, for programs."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Sequence

from layouts.markers.gather import Marker
from layouts.papers.materials.hardware import mount_text
from layouts.sheets.gang import Gang, placements_record
from layouts.sheets.nest_record import nest_record
from layouts.sheets.sheetplan import SheetPlan
from layouts.terms.units import MM_PER_INCH
from render.files.spreadsheet import text_row

MARKER_COLUMNS = (
    "id",
    "kind",
    "legend",
    "letter_height_in",
    "marker_height_in",
    "length_in",
    "size_row",
    "reason",
    "mounting",
    "qty",
)
_SIZE_TOPICS = frozenset({"size row", "letters"})


def csv_file(rows: Iterable[Sequence[object]]) -> bytes:
    """Rows as CSV: UTF-8, RFC 4180 except for LF line ends; no cell is a formula."""
    data = io.BytesIO()
    # A StringIO would hold four bytes for each letter of a long list.
    with io.TextIOWrapper(data, "utf-8", newline="") as text:
        csv.writer(text, lineterminator="\n").writerows(map(text_row, rows))
        text.flush()
        return data.getvalue()


def one_buffer(pieces: Iterable[bytes]) -> bytes:
    """The pieces as one, none of them held twice."""
    data = io.BytesIO()
    data.writelines(pieces)
    return data.getvalue()


def markers_csv(markers: Iterable[Marker]) -> bytes:
    """One row per distinct marker, in the order given; RFC 4180 except for LF line ends."""
    return csv_file((MARKER_COLUMNS, *map(_marker_row, markers)))


def _marker_row(marker: Marker) -> tuple[str, ...]:
    measures = marker.face.measures
    return (
        marker.id,
        str(marker.plan.kind),
        marker.face.words,
        _in_inches(measures.letter_height),
        _in_inches(measures.height),
        _in_inches(measures.length),
        *_row_and_reason(marker),
        mount_text(marker),
        str(marker.quantity),
    )


def _row_and_reason(marker: Marker) -> tuple[str, str]:
    """Its rows of the size table and why it has its size, for every pipe that it is for."""
    plans = marker.plans
    reasons = dict.fromkeys(
        reason.text for plan in plans for reason in plan.reasons if reason.topic in _SIZE_TOPICS
    )
    why = reasons or dict.fromkeys(plan.letter_reason for plan in plans)
    return "; ".join(dict.fromkeys(plan.row for plan in plans)), "; ".join(why)


def _in_inches(mm: float) -> str:
    """Inches to four decimals, without trailing zeros."""
    return f"{mm / MM_PER_INCH:.4f}".rstrip("0").rstrip(".")


def nest_json(plans: Sequence[SheetPlan], gang: Gang | None = None) -> bytes:
    """Per stock and build the request, the answer and its proven bound, with its dual prices.

    ``pieces`` are in the order that the bound's ``duals`` refer to; sizes include the border.
    There are no clock times, so the same order gives the same bytes. Where orders share the sheets
    (``gang``), ``placements`` name the order of each piece.
    """
    groups = [nest_record(plan) for plan in plans]
    table: dict[str, object] = {"version": 1, "groups": groups}
    if gang is not None:
        table["orders"] = dict(gang.names)
        for plan, record in zip(plans, groups, strict=True):
            record["placements"] = placements_record(plan, gang)
    text = json.dumps(table, indent=1, sort_keys=True)
    return text.encode() + b"\n"
