"""From layouts with copies to the answer."""

from layouts.nest.cuts import Rect, cut_steps
from layouts.nest.job import Job, Layout, Plan, used_length
from layouts.nest.model import (
    Arrangement,
    Bound,
    Nest,
    NestRequest,
    RollStock,
    Slot,
    Unplaced,
)


def finish(
    request: NestRequest,
    job: Job,
    plan: Plan,
    unplaced: tuple[Unplaced, ...],
    bound: Bound,
    guillotine_bound: Bound | None,
) -> Nest:
    """The nest: fullest and most repeated arrangements first."""
    arrangements = [arrangement_of(job, layout, copies) for layout, copies in plan.items()]
    arrangements.sort(key=repeated_first)
    areas = [p.width_um * p.height_um for p in request.pieces]
    used = sum(a.copies * areas[slot.piece] for a in arrangements for slot in a.slots)
    stock = sum(a.copies * a.width_um * a.length_um for a in arrangements)
    return Nest(tuple(arrangements), unplaced, bound, guillotine_bound, used, stock)


def cost_of(request: NestRequest, nest: Nest) -> int:
    """What a nest costs in the request's own unit: sheets, or micrometers of roll, by cost."""
    costs = {stock.key: stock.cost for stock in request.stocks}
    roll = any(isinstance(stock, RollStock) for stock in request.stocks)
    return sum(a.copies * costs[a.stock] * (a.length_um if roll else 1) for a in nest.arrangements)


def repeated_first(arrangement: Arrangement) -> tuple[int, int, tuple[Slot, ...]]:
    """The key of the order in which arrangements stand."""
    return -arrangement.copies, -len(arrangement.slots), arrangement.slots


def arrangement_of(job: Job, layout: Layout, copies: int) -> Arrangement:
    """A layout as it is handed out."""
    plate = job.plates[layout.plate]
    length = used_length(job, layout) if plate.roll else plate.sheet_height
    cuts = None
    if job.guillotine:
        panel = (0, 0, plate.sheet_width, length)
        cuts = cut_steps(panel, rects_of(job, layout), job.gap)
    return Arrangement(plate.key, copies, layout.slots, plate.sheet_width, length, cuts or ())


def rects_of(job: Job, layout: Layout) -> list[Rect]:
    """The pieces' boxes in sheet coordinates, without the gap."""
    rects = []
    for s in layout.slots:
        w, h = job.widths[s.piece] - job.gap, job.heights[s.piece] - job.gap
        if s.turned:
            w, h = h, w
        rects.append((s.x_um, s.y_um, s.x_um + w, s.y_um + h))
    return rects


def left_over(request: NestRequest, left: list[int]) -> tuple[Unplaced, ...]:
    """Pieces for which the limited stock did not suffice."""
    return tuple(
        Unplaced(
            i,
            count,
            "the stock is used up",
            request.pieces[i].width_um,
            request.pieces[i].height_um,
        )
        for i, count in enumerate(left)
        if count
    )
