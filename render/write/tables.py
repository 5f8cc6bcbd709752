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
from render.files.spreadsheet import text_cell

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
    """Rows as CSV: UTF-8, RFC 4180 except for ``\
`` line ends; no cell is a formula."""
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\n")
    writer.writerows([text_cell(cell) for cell in row] for row in rows)
    return text.getvalue().encode()


def markers_csv(markers: Iterable[Marker]) -> bytes:
    """One row per distinct marker, in the order given; RFC 4180 except for ``\
`` line ends."""
    rows = (
        (
            marker.id,
            str(marker.plan.kind),
            marker.face.words,
            _in_inches(marker.face.measures.letter_height),
            _in_inches(marker.face.measures.height),
            _in_inches(marker.face.measures.length),
            "; ".join(dict.fromkeys(plan.row for plan in marker.plans)),
            _reason(marker),
            mount_text(marker),
            str(marker.quantity),
        )
        for marker in markers
    )
    return csv_file((MARKER_COLUMNS, *rows))


def _reason(marker: Marker) -> str:
    """Why the marker has its size: row and letters for every pipe that it is for."""
    reasons = dict.fromkeys(
        reason.text
        for plan in marker.plans
        for reason in plan.reasons
        if reason.topic in _SIZE_TOPICS
    )
    return "; ".join(reasons or dict.fromkeys(plan.letter_reason for plan in marker.plans))


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
