"""Tables for machines: the markers of an order as CSV, its nesting as JSON."""

from __future__ import annotations

import csv
import io
import json
from collections import Counter
from collections.abc import Iterable

from layouts.face.model import PartRole
from layouts.geometry import Size
from layouts.marker import Marker
from layouts.packing import mount_text
from layouts.sheetplan import SheetPlan, border_of
from layouts.units import MM_PER_INCH

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


def markers_csv(markers: Iterable[Marker]) -> bytes:
    """One row a distinct marker, in the order given; RFC 4180 but for its ``\\n`` line ends."""
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(MARKER_COLUMNS)
    for marker in markers:
        measures = marker.face.measures
        writer.writerow(
            (
                marker.id,
                str(marker.plan.kind),
                marker.face.words,
                _in_inches(measures.letter_height),
                _in_inches(measures.height),
                _in_inches(measures.length),
                "; ".join(dict.fromkeys(plan.row for plan in marker.plans)),
                _reason(marker),
                mount_text(marker),
                str(marker.quantity),
            )
        )
    return text.getvalue().encode()


def nest_json(plans: Iterable[SheetPlan]) -> bytes:
    """Per stock and build what was nested, and the proven bound with all it takes to check it.

    ``pieces`` stand in the order that the bound's ``duals`` refer to; sizes include the border.
    No clock times: the same order gives the same bytes.
    """
    groups = [_group(plan) for plan in plans]
    text = json.dumps({"version": 1, "groups": groups}, indent=1, sort_keys=True)
    return text.encode() + b"\n"


def bound_value(plan: SheetPlan) -> float | int:
    """The proven minimum: sheets, or for a roll the length in mm."""
    bound = plan.nest.bound
    return bound.length_um / 1000 if plan.is_roll else bound.sheets


def utilization(plan: SheetPlan) -> float:
    """Area of the parts with their borders over that of the stock used; 0 where none is."""
    used_um2, stock_um2 = plan.nest.utilization
    return used_um2 / stock_um2 if stock_um2 else 0.0


def _group(plan: SheetPlan) -> dict[str, object]:
    return {
        "key": plan.key,
        "stock": plan.stock.key,
        "role": str(plan.role),
        "build": plan.build,
        "parts": sum(plan.quantities.values()),
        "distinct": len(plan.parts),
        "sheets": len(plan.sheets),
        "copies": plan.copies,
        "used_length_mm": plan.nest.length_um / 1000 if plan.is_roll else None,
        "utilization": round(utilization(plan), 6),
        "unplaced": sum(left.count for left in plan.nest.unplaced),
        "bound": _bound(plan),
        "pieces": _pieces(plan),
    }


def _bound(plan: SheetPlan) -> dict[str, object]:
    bound = plan.nest.bound
    return {
        "value": bound_value(plan),
        "unit": "mm" if plan.is_roll else "sheets",
        "kind": bound.kind,
        "cost": bound.cost,
        "duals": list(bound.duals),
        "scale": bound.scale,
        "grid_um": bound.unit_um,
    }


def _reason(marker: Marker) -> str:
    """Why the marker has its size: row and letters, of every pipe that asked for it."""
    reasons = dict.fromkeys(
        reason.text
        for plan in marker.plans
        for reason in plan.reasons
        if reason.topic in _SIZE_TOPICS
    )
    return "; ".join(reasons or dict.fromkeys(plan.letter_reason for plan in marker.plans))


def _pieces(plan: SheetPlan) -> list[dict[str, object]]:
    """Distinct sizes with what is wanted of each, the largest first as the nester had them."""
    border = border_of(plan.stock, plan.role)
    wanted: Counter[tuple[int, int, bool]] = Counter()
    for name, part in plan.parts.items():
        size = Size(part.size.width + 2 * border, part.size.height + 2 * border)
        disc = part.role is not PartRole.FILM and part.round
        wanted[round(size.width * 1000), round(size.height * 1000), disc] += plan.quantities[name]
    return [
        {"width_um": width_um, "height_um": height_um, "round": disc, "parts": parts}
        for (width_um, height_um, disc), parts in sorted(wanted.items(), reverse=True)
    ]


def _in_inches(mm: float) -> str:
    """Inches to four decimals, without needless zeros."""
    return f"{mm / MM_PER_INCH:.4f}".rstrip("0").rstrip(".")
