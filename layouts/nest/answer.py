"""From patterns with copies to the answer: straight cuts, arrangements, one long offcut.

Lengths are micrometers in sheet coordinates, without the gap that the problem's sizes have.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace
from operator import itemgetter

from layouts.nest.model import (
    Arrangement,
    CutStep,
    Cutting,
    Lack,
    Nest,
    NestRequest,
    RollStock,
    SheetStock,
    Slot,
    StageRun,
    Unplaced,
)
from layouts.nest.problem import Best, Pattern, Problem, used_length

Rect = tuple[int, int, int, int]
"""Left, top, right, bottom in micrometers."""
Group = tuple[int, list[Rect]]
"""Where it ends, and what is in it."""
_FULL = 0.85
"""A sheet that is fuller than this leaves no offcut worth keeping."""
_OFFCUT_EFFORT = 10
"""The effort spent on the shortest stretch of the emptiest sheet."""


def finish(
    request: NestRequest,
    problem: Problem,
    best: Best,
    unplaced: tuple[Unplaced, ...],
    stages: tuple[StageRun, ...],
) -> Nest:
    """The nest: fullest and most repeated arrangements first."""
    arrangements = [
        arrangement_of(problem, pattern, copies) for pattern, copies in best.plan.items()
    ]
    arrangements.sort(key=repeated_first)
    areas = [p.width_um * p.height_um for p in request.pieces]
    used = sum(a.copies * areas[slot.piece] for a in arrangements for slot in a.slots)
    stock = sum(a.copies * a.width_um * a.length_um for a in arrangements)
    return Nest(
        tuple(arrangements), unplaced, best.bound, best.guillotine_bound, used, stock, stages
    )


def cost_of(request: NestRequest, nest: Nest) -> int:
    """What a nest costs in the request's own unit: sheets, or micrometers of roll, by cost."""
    costs = {stock.key: stock.cost for stock in request.stocks}
    roll = any(isinstance(stock, RollStock) for stock in request.stocks)
    return sum(a.copies * costs[a.stock] * (a.length_um if roll else 1) for a in nest.arrangements)


def repeated_first(arrangement: Arrangement) -> tuple[int, int, tuple[Slot, ...]]:
    """The sort key of the arrangements."""
    return -arrangement.copies, -len(arrangement.slots), arrangement.slots


def arrangement_of(problem: Problem, pattern: Pattern, copies: int) -> Arrangement:
    """A layout as it is handed out."""
    bin_ = problem.bins[pattern.bin]
    length = used_length(problem, pattern) if bin_.roll else bin_.stock_height
    cuts = None
    if problem.guillotine:
        panel = (0, 0, bin_.stock_width, length)
        cuts = cut_steps(panel, rects_of(problem, pattern), problem.gap)
    return Arrangement(bin_.key, copies, pattern.slots, bin_.stock_width, length, cuts or ())


def rects_of(problem: Problem, pattern: Pattern) -> list[Rect]:
    """The pieces' boxes in sheet coordinates, without the gap."""
    rects = []
    for s in pattern.slots:
        w, h = problem.widths[s.piece] - problem.gap, problem.heights[s.piece] - problem.gap
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
            Lack.USED_UP,
            request.pieces[i].width_um,
            request.pieces[i].height_um,
        )
        for i, count in enumerate(left)
        if count
    )


def slot_rects(request: NestRequest, slots: Sequence[Slot]) -> list[Rect]:
    """The boxes of the pieces where they lie, without the gap."""
    rects = []
    for slot in slots:
        piece = request.pieces[slot.piece]
        width, height = piece.width_um, piece.height_um
        if slot.turned:
            width, height = height, width
        rects.append((slot.x_um, slot.y_um, slot.x_um + width, slot.y_um + height))
    return rects


def cut_steps(panel: Rect, rects: Sequence[Rect], gap: int) -> tuple[CutStep, ...] | None:
    """The cuts that free every rectangle exactly, or None if edge-to-edge cuts cannot.

    Blocks are separated along the near edge of the gap; the gap itself falls off as trim.
    """
    steps: list[CutStep] = []
    work: list[tuple[Rect, list[Rect], int]] = [(panel, list(rects), 0)]
    while work:
        panel, inside, depth = work.pop()
        if not inside:
            continue
        if len(inside) == 1 and inside[0] == panel:
            continue
        edges = _bounds(inside)
        if edges != panel:
            depth = _trim(panel, edges, depth, steps)
            panel = edges
        if len(inside) == 1:
            continue
        split = _split_groups(inside, gap)
        if split is None:
            return None
        vertical, groups = split
        work.extend(reversed(_part(panel, vertical, groups, depth, steps)))
    return tuple(steps)


def _bounds(rects: Sequence[Rect]) -> Rect:
    lefts, tops, rights, bottoms = zip(*rects, strict=True)
    return min(lefts), min(tops), max(rights), max(bottoms)


def _trim(panel: Rect, to: Rect, depth: int, steps: list[CutStep]) -> int:
    """Cut the panel's blank edges off; the depth after it."""
    left, top, right, bottom = panel
    for vertical, side in ((True, 0), (False, 1), (True, 2), (False, 3)):
        if panel[side] == to[side]:
            continue
        start, end = (top, bottom) if vertical else (left, right)
        steps.append(CutStep(depth, vertical, to[side], start, end))
        depth += 1
        if side == 0:
            left = to[0]
        elif side == 1:
            top = to[1]
        elif side == 2:
            right = to[2]
    return depth


def _split_groups(rects: list[Rect], gap: int) -> tuple[bool, list[Group]] | None:
    """Groups separated by straight gaps: across if that separates anything, otherwise along."""
    across = _groups(rects, 1, gap)
    along = _groups(rects, 0, gap)
    if len(along) > 1 and (len(across) == 1 or len(along) < len(across)):
        return True, along
    return (False, across) if len(across) > 1 else None


def _groups(rects: list[Rect], side: int, gap: int) -> list[Group]:
    """Rectangles between which no straight gap runs, from the left or the top on."""
    groups: list[Group] = []
    group: list[Rect] = []
    end = 0
    for rect in sorted(rects, key=itemgetter(side)):
        if group and rect[side] >= end + gap:
            groups.append((end, group))
            group = []
        end = max(end, rect[side + 2]) if group else rect[side + 2]
        group.append(rect)
    return [*groups, (end, group)]


def _part(
    panel: Rect, vertical: bool, groups: list[Group], depth: int, steps: list[CutStep]
) -> list[tuple[Rect, list[Rect], int]]:
    """Cut the groups off one after the other; returns the resulting panels."""
    panels: list[tuple[Rect, list[Rect], int]] = []
    left, top, right, bottom = panel
    for n, (edge, group) in enumerate(groups):
        if n < len(groups) - 1:
            start, end = (top, bottom) if vertical else (left, right)
            steps.append(CutStep(depth, vertical, edge, start, end))
            depth += 1
        if vertical:
            panels.append(((left, top, edge, bottom), group, depth))
            left = edge
        else:
            panels.append(((left, top, right, edge), group, depth))
            top = edge
    return panels


def with_one_offcut(
    request: NestRequest, found: Nest, lay_out: Callable[[NestRequest], Nest]
) -> Nest:
    """The same sheets, the emptiest of them laid out again on the shortest stretch of its length.

    ``lay_out`` nests the pieces of that one sheet on a roll as wide as the sheet. Whatever does
    not make the offcut longer leaves the nest as it was.
    """
    stocks = {stock.key: stock for stock in request.stocks}
    single = [a for a in found.arrangements if a.copies == 1]
    emptiest = min(single, key=lambda a: (_area(request, a), a.slots), default=None)
    if emptiest is None:
        return found
    stock = stocks[emptiest.stock]
    whole = emptiest.width_um * emptiest.length_um
    if not isinstance(stock, SheetStock) or stock.keep_outs:
        return found
    if _area(request, emptiest) > _FULL * whole:
        return found
    slots, work = _shortest(request, stock, emptiest, lay_out)
    if not slots or _reach(request, slots) >= _reach(request, emptiest.slots):
        return found
    again = _with_slots(request, emptiest, slots)
    others = tuple(again if a is emptiest else a for a in found.arrangements)
    cost = cost_of(request, found)
    run = StageRun("one offcut", cost, cost, work)
    return replace(found, arrangements=others, stages=(*found.stages, run))


def _shortest(
    request: NestRequest,
    stock: SheetStock,
    sheet: Arrangement,
    lay_out: Callable[[NestRequest], Nest],
) -> tuple[tuple[Slot, ...], int]:
    """The sheet's items on a short stretch of it and the work; no slots where they do not fit."""
    counts = Counter(slot.piece for slot in sheet.slots)
    pieces = tuple(each.times(counts[i]) for i, each in enumerate(request.pieces))
    roll = RollStock(stock.key, stock.width_um, stock.margins, stock.height_um)
    # Straight cuts would load the compiled search only for this; the first answer serves.
    effort = 0 if request.cutting is Cutting.GUILLOTINE else min(request.effort, _OFFCUT_EFFORT)
    one = lay_out(replace(request, pieces=pieces, stocks=(roll,), effort=effort))
    work = sum(run.work for run in one.stages)
    if one.unplaced or len(one.arrangements) != 1 or one.arrangements[0].copies != 1:
        return (), work
    return one.arrangements[0].slots, work


def _with_slots(request: NestRequest, sheet: Arrangement, slots: tuple[Slot, ...]) -> Arrangement:
    cuts = sheet.cuts
    if request.cutting is Cutting.GUILLOTINE:
        rects = slot_rects(request, slots)
        cuts = cut_steps((0, 0, sheet.width_um, sheet.length_um), rects, request.gap_um) or ()
    return replace(sheet, slots=slots, cuts=cuts)


def _area(request: NestRequest, sheet: Arrangement) -> int:
    pieces = (request.pieces[slot.piece] for slot in sheet.slots)
    return sum(piece.width_um * piece.height_um for piece in pieces)


def _reach(request: NestRequest, slots: tuple[Slot, ...]) -> int:
    """How far down the sheet its pieces lie."""
    return max(bottom for _, _, _, bottom in slot_rects(request, slots))
