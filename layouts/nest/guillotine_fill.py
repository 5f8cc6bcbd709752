"""The first answer, without a compiler: fill one bin well by straight cuts, repeat, go on.

Each item goes to the free box it fits best, and the rest of that box is split in two. Several
orders of items and split rules are tried. Source: Jylanki, "A thousand ways to pack the bin", 2010
(the guillotine method, best short side fit and its split rules).
"""

from collections.abc import Sequence
from itertools import product

from layouts.nest.model import Slot
from layouts.nest.problem import Bin, Box, Pattern, Plan, Problem, plan_cost

_WORK = 200_000
"""Probes at a piece or at a free box for it, over all rules: about a quarter of a second."""
_MANY = 500
"""Above this number of pieces, and for contours, a few rules suffice: later stages do better."""

_SIZE_BITS = 40
"""Room for a length in micrometers: two make one number, the first of them compared first."""
_NEVER = 1 << 2 * _SIZE_BITS
"""Beyond any such number: the piece does not fit."""

Order = tuple[int, ...]


def guillotine_fill(problem: Problem) -> tuple[Plan, list[int], int]:
    """The best of several plans, what stock limits left over of each item, and the work."""
    best: tuple[tuple[int, int, int], Plan, list[int]] | None = None
    many = problem.effort and (not problem.guillotine or sum(problem.demands) > _MANY)
    whole = _WORK // 20 if many else _WORK
    work = [whole]
    for order, split in product(_orders(problem), range(3)):
        plan, left = _repeat_fill(problem, order, split, work)
        key = (problem.lost(left), plan_cost(problem, plan), len(plan))
        if best is None or key < best[0]:
            best = (key, plan, left)
        if work[0] <= 0 or not plan:
            break
    assert best is not None
    return best[1], best[2], whole - work[0]


def _orders(problem: Problem) -> list[Order]:
    w, h = problem.widths, problem.heights
    wanted = [i for i, d in enumerate(problem.demands) if d]
    keys = (
        lambda i: (-max(w[i], h[i]), -min(w[i], h[i]), i),
        lambda i: (-w[i] * h[i], -max(w[i], h[i]), i),
        lambda i: (-min(w[i], h[i]), -max(w[i], h[i]), i),
        lambda i: (-w[i] - h[i], -max(w[i], h[i]), i),
    )
    return [tuple(sorted(wanted, key=key)) for key in keys]


def _repeat_fill(
    problem: Problem, order: Order, split: int, work: list[int]
) -> tuple[Plan, list[int]]:
    left = list(problem.demands)
    limits = [bin_.limit for bin_ in problem.bins]
    plan: Plan = {}
    todo = [i for i in order if left[i]]
    while todo:
        found = _best_fill(problem, todo, left, limits, split, work)
        if found is None:
            break
        counts: dict[int, int] = {}
        for slot in found.slots:
            counts[slot.piece] = counts.get(slot.piece, 0) + 1
        copies = min(left[i] // n for i, n in counts.items())
        limit = limits[found.bin]
        if limit is not None:
            copies = min(copies, limit)
            limits[found.bin] = limit - copies
        plan[found] = plan.get(found, 0) + copies
        for i, n in counts.items():
            left[i] -= n * copies
        todo = [i for i in todo if left[i]]
    return plan, left


def _best_fill(
    problem: Problem,
    todo: Sequence[int],
    left: Sequence[int],
    limits: Sequence[int | None],
    split: int,
    work: list[int],
) -> Pattern | None:
    """The filled bin with the most piece area for its cost."""
    best: tuple[int, int, Bin, list[tuple[int, int, int, bool]]] | None = None
    for bin_ in problem.bins:
        if limits[bin_.index] == 0:
            continue
        for region in bin_.regions:
            placed, area, end = fill(problem, bin_, region, todo, left, split, work)
            if not placed:
                continue
            cost = bin_.cost * (end + bin_.overhead if bin_.roll else 1)
            if best is None or area * best[1] > best[0] * cost:
                best = (area, cost, bin_, placed)
    if best is None:
        return None
    _, _, bin_, placed = best
    slots = (Slot(i, bin_.left + x, bin_.top + y, turned) for i, x, y, turned in sorted(placed))
    return Pattern(bin_.index, tuple(slots))


def fill(
    problem: Problem,
    bin_: Bin,
    boxes: Sequence[Box],
    todo: Sequence[int],
    left: Sequence[int],
    split: int,
    work: list[int],
) -> tuple[list[tuple[int, int, int, bool]], int, int]:
    """Pieces of `todo`, in that order, into the boxes: places, grown area, how far they reach.

    A place is a piece, x and y in grown micrometers from the corner of the room, and turned.
    """
    widths, heights, low = problem.widths, problem.heights, bin_.roll
    free = list(boxes)
    placed: list[tuple[int, int, int, bool]] = []
    area = end = 0
    least = min(min(widths), min(heights))
    short, long = _largest(free)
    for i in todo:
        w, h = widths[i], heights[i]
        work[0] -= 1
        if w > long or h > long or (w > short and h > short):
            continue
        sides = ((w, h), (h, w)) if problem.turnable[i] else ((w, h),)
        # How badly the piece fits each free box; equal pieces look only at new boxes.
        misfits = [_misfit(box, sides, low) for box in free]
        work[0] -= len(free)
        before = len(placed)
        for _ in range(left[i]):
            worst = min(misfits)
            if worst == _NEVER:
                break
            at = misfits.index(worst)
            turned = _misfit(free[at], sides[:1], low) != worst
            a, b = sides[turned]
            x, y, _, _ = free[at]
            placed.append((i, x, y, turned))
            end = max(end, y + b)
            rests = [
                r for r in _split_box(free[at], a, b, split) if r[2] >= least and r[3] >= least
            ]
            work[0] -= len(rests)
            free[at : at + 1] = rests
            misfits[at : at + 1] = [_misfit(rest, sides, low) for rest in rests]
            if not free:
                break
        area += w * h * (len(placed) - before)
        if not free:
            break
        if len(placed) > before:
            short, long = _largest(free)
    return placed, area, end


def _largest(boxes: Sequence[Box]) -> tuple[int, int]:
    """No piece fits a box whose short side is longer than the first, its long side the second."""
    return max([min(w, h) for _, _, w, h in boxes]), max([max(w, h) for _, _, w, h in boxes])


def _misfit(box: Box, sides: Sequence[tuple[int, int]], low: bool) -> int:
    """The room to spare on the tighter side, then on the other; on a roll how far it reaches."""
    best = _NEVER
    _, y, width, height = box
    for a, b in sides:
        across, down = width - a, height - b
        if across < 0 or down < 0:
            continue
        if low:
            key = (y + b << _SIZE_BITS) + across
        elif across < down:
            key = (across << _SIZE_BITS) + down
        else:
            key = (down << _SIZE_BITS) + across
        best = min(best, key)
    return best


def _split_box(box: Box, a: int, b: int, rule: int) -> list[Box]:
    """The two remainders of a box with a piece in its corner: first cut horizontal or vertical."""
    x, y, w, h = box
    rest_w, rest_h = w - a, h - b
    if rule == 0:
        orientations_in = rest_w <= rest_h
    elif rule == 1:
        orientations_in = a * rest_h > rest_w * b
    else:
        orientations_in = True
    if orientations_in:
        rests = [(x, y + b, w, rest_h), (x + a, y, rest_w, b)]
    else:
        rests = [(x, y + b, a, rest_h), (x + a, y, rest_w, h)]
    return [r for r in rests if r[2] > 0 and r[3] > 0]
