"""A group's nest as a plain table: the request, the answer and its proven bound.

Sizes are micrometers with the border, lengths millimeters; ``pieces`` are in the order that the
bound's ``duals`` refer to.
"""

from __future__ import annotations

from layouts.nest import Arrangement, Bound, Piece, RollStock, SheetStock, StageRun
from layouts.sheets.pieces import UM
from layouts.sheets.sheetplan import SheetPlan


def nest_record(plan: SheetPlan) -> dict[str, object]:
    """One group as a table for JSON: what was asked, the answer, and all it takes to judge it."""
    answer, request = plan.nest, plan.request
    return {
        "key": plan.key,
        "stock": plan.stock.key,
        "role": str(plan.role),
        "build": plan.build,
        "parts": sum(plan.quantities.values()),
        "distinct": len(plan.parts),
        "sheets": len(plan.sheets),
        "sheets_by_rows": plan.by_rows,
        "cut_files": answer.distinct,
        "copies": plan.copies,
        "used_length_mm": answer.length_um / UM if plan.is_roll else None,
        "utilization": round(plan.used_share, 6),
        "unplaced": sum(left.count for left in answer.unplaced),
        "kept_together": _price(plan),
        "offcuts_left": [offcut.title for offcut in plan.shelved],
        "cutting": request.cutting.value,
        "gap_um": request.gap_um,
        "stocks": [_stock(stock) for stock in request.stocks],
        "pieces": [_piece(piece) for piece in request.pieces],
        "arrangements": [_arrangement(each) for each in answer.arrangements],
        "bound": _bound_record(answer.bound, plan.is_roll),
        "straight_bound": (
            None
            if answer.guillotine_bound is None
            else _bound_record(answer.guillotine_bound, plan.is_roll)
        ),
        "stages": [_stage(run) for run in answer.stages],
    }


def _price(plan: SheetPlan) -> dict[str, object] | None:
    """What keeping areas together costs, none where it was not asked for."""
    if plan.price is None:
        return None
    return {"more_sheets": plan.price.sheets, "more_length_mm": plan.price.length}


def _stock(stock: SheetStock | RollStock) -> dict[str, object]:
    margins = stock.margins
    table: dict[str, object] = {
        "key": stock.key,
        "width_um": stock.width_um,
        "margins_um": [margins.left_um, margins.top_um, margins.right_um, margins.bottom_um],
        "keep_outs_um": [[z.x_um, z.y_um, z.width_um, z.height_um] for z in stock.keep_outs],
        "cost": stock.cost,
        "limit": stock.limit,
    }
    if isinstance(stock, RollStock):
        ends = {"leader_um": stock.leader_um, "trailer_um": stock.trailer_um}
        return {**table, "frame_um": stock.frame_um, **ends}
    return {**table, "height_um": stock.height_um}


def _piece(piece: Piece) -> dict[str, object]:
    return {
        "width_um": piece.width_um,
        "height_um": piece.height_um,
        "round": piece.round,
        "turn": piece.turn.value,
        "parts": piece.demand,
    }


def _arrangement(arrangement: Arrangement) -> dict[str, object]:
    """Slots in one text: ``piece,x,y`` in micrometers, ``,t`` where it lies turned."""
    return {
        "stock": arrangement.stock,
        "copies": arrangement.copies,
        "length_um": arrangement.length_um,
        "slots": " ".join(
            f"{slot.piece},{slot.x_um},{slot.y_um}{',t' * slot.turned}"
            for slot in arrangement.slots
        ),
    }


def _stage(run: StageRun) -> dict[str, object]:
    """One stage of the search: costs in the stocks' cost, work in the stage's own unit."""
    return {
        "name": run.name,
        "cost_before": run.cost_before,
        "cost_after": run.cost_after,
        "work": run.work,
    }


def _bound_record(bound: Bound, is_roll: bool) -> dict[str, object]:
    return {
        "value": bound.length_um / UM if is_roll else bound.sheets,
        "unit": "mm" if is_roll else "sheets",
        "kind": bound.kind,
        "cost": bound.cost,
        "duals": list(bound.duals),
        "scale": bound.scale,
        "grid_um": bound.unit_um,
    }
