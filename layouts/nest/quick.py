"""The quick first answer, free of any compiler: fill one sheet well, repeat it, go on.

A sheet is filled by the guillotine method: each piece goes to the free box it fits best, and the
rest of that box is split in two. Several orders of pieces and split rules are tried.
"""

from collections.abc import Sequence
from itertools import product

from layouts.nest.job import Box, Job, Layout, Plan, Plate, plan_cost
from layouts.nest.model import Slot

_WORK = 600_000
"""Looks at a free box, over all rules: about half a second."""
_MANY = 500
"""Above this number of pieces a few rules suffice: the later stages do better anyway."""

Order = tuple[int, ...]


def quick_plan(job: Job) -> tuple[Plan, list[int]]:
    """The best of several quick plans, and what stock limits left over by piece."""
    best: tuple[tuple[int, int, int], Plan, list[int]] | None = None
    many = job.effort and sum(job.demands) > _MANY
    work = [_WORK // 20 if many else _WORK]
    areas = job.areas
    for order, split in product(_orders(job), range(3)):
        plan, left = _repeat_fill(job, order, split, work)
        lost = sum(n * a for n, a in zip(left, areas, strict=True))
        key = (lost, plan_cost(job, plan), len(plan))
        if best is None or key < best[0]:
            best = (key, plan, left)
        if work[0] <= 0 or not plan:
            break
    assert best is not None
    return best[1], best[2]


def _orders(job: Job) -> list[Order]:
    w, h = job.widths, job.heights
    wanted = [i for i, d in enumerate(job.demands) if d]
    keys = (
        lambda i: (-max(w[i], h[i]), -min(w[i], h[i]), i),
        lambda i: (-w[i] * h[i], -max(w[i], h[i]), i),
        lambda i: (-min(w[i], h[i]), -max(w[i], h[i]), i),
        lambda i: (-w[i] - h[i], -max(w[i], h[i]), i),
    )
    return [tuple(sorted(wanted, key=key)) for key in keys]


def _repeat_fill(job: Job, order: Order, split: int, work: list[int]) -> tuple[Plan, list[int]]:
    left = list(job.demands)
    limits = [plate.limit for plate in job.plates]
    plan: Plan = {}
    todo = [i for i in order if left[i]]
    while todo:
        found = _best_fill(job, todo, left, limits, split, work)
        if found is None:
            break
        counts: dict[int, int] = {}
        for slot in found.slots:
            counts[slot.piece] = counts.get(slot.piece, 0) + 1
        copies = min(left[i] // n for i, n in counts.items())
        limit = limits[found.plate]
        if limit is not None:
            copies = min(copies, limit)
            limits[found.plate] = limit - copies
        plan[found] = plan.get(found, 0) + copies
        for i, n in counts.items():
            left[i] -= n * copies
        todo = [i for i in todo if left[i]]
    return plan, left


def _best_fill(
    job: Job,
    todo: Sequence[int],
    left: Sequence[int],
    limits: Sequence[int | None],
    split: int,
    work: list[int],
) -> Layout | None:
    """The filled plate with the most piece area for its cost."""
    best: tuple[int, int, Layout] | None = None
    for plate in job.plates:
        if limits[plate.index] == 0:
            continue
        for way in plate.regions:
            slots, area, end = fill(job, plate, way, todo, left, split, work)
            if not slots:
                continue
            cost = plate.cost * (end + plate.overhead if plate.roll else 1)
            layout = Layout(plate.index, slots)
            if best is None or area * best[1] > best[0] * cost:
                best = (area, cost, layout)
    return None if best is None else best[2]


def fill(
    job: Job,
    plate: Plate,
    boxes: Sequence[Box],
    todo: Sequence[int],
    left: Sequence[int],
    split: int,
    work: list[int],
) -> tuple[tuple[Slot, ...], int, int]:
    """Pieces of `todo`, in that order, into the boxes: slots, grown area, used height."""
    free = list(boxes)
    slots: list[Slot] = []
    area = end = 0
    for i in todo:
        w, h = job.widths[i], job.heights[i]
        for _ in range(left[i]):
            work[0] -= len(free)
            spot = _best_box(free, w, h, job.turnable[i], plate.roll)
            if spot is None:
                break
            at, turned = spot
            a, b = (h, w) if turned else (w, h)
            x, y, _, _ = free[at]
            slots.append(Slot(i, plate.left + x, plate.top + y, turned))
            area += w * h
            end = max(end, y + b)
            free[at : at + 1] = _split(free[at], a, b, split)
        if not free:
            break
    return tuple(sorted(slots)), area, end


def _best_box(
    free: Sequence[Box], w: int, h: int, turnable: bool, low: bool
) -> tuple[int, bool] | None:
    """The free box with the least room to spare on its tighter side; on a roll the nearest."""
    best: tuple[int, int, int, bool] | None = None
    for at, (_, y, fw, fh) in enumerate(free):
        for turned in (False, True) if turnable else (False,):
            a, b = (h, w) if turned else (w, h)
            if a > fw or b > fh:
                continue
            short, long = sorted((fw - a, fh - b))
            key = (y + b, fw - a, at, turned) if low else (short, long, at, turned)
            if best is None or key < best:
                best = key
    return None if best is None else (best[2], best[3])


def _split(box: Box, a: int, b: int, rule: int) -> list[Box]:
    """The two rests of a box with a piece in its corner: the first cut lies or stands."""
    x, y, w, h = box
    rest_w, rest_h = w - a, h - b
    if rule == 0:
        lying = rest_w <= rest_h
    elif rule == 1:
        lying = a * rest_h > rest_w * b
    else:
        lying = True
    if lying:
        rests = [(x, y + b, w, rest_h), (x + a, y, rest_w, b)]
    else:
        rests = [(x, y + b, a, rest_h), (x + a, y, rest_w, h)]
    return [r for r in rests if r[2] > 0 and r[3] > 0]
