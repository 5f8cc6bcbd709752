"""The way from a request to its nest: quick answer, bound, then improvement within the effort."""

from layouts.nest.bounds import area_bound
from layouts.nest.emptying import emptied, is_various, may_empty
from layouts.nest.finish import finish, left_over
from layouts.nest.hexrows import hex_sheets
from layouts.nest.job import Job, Plan, make_job, plan_cost, with_demands
from layouts.nest.model import DEFAULT_EFFORT, Bound, Nest, NestRequest
from layouts.nest.offcut import with_one_offcut
from layouts.nest.quick import quick_plan
from layouts.nest.repeats import with_repeats
from layouts.nest.rows import row_bound
from layouts.nest.scales import scale_bound
from layouts.nest.search import PlainSearch
from layouts.nest.sections import sections
from layouts.nest.straight import straight_plan
from layouts.nest.strip import strip_plan

_PLAIN_PARTS, _PLAIN_ROLL_PARTS = 300, 1000
"""Up to this number of parts, on sheets and on rolls, a contour cutter needs no compiled stage;
straight cuts need none up to the first where the bound is met."""


def nest(request: NestRequest) -> Nest:
    """Lay the pieces out on the stocks, on as few sheets (or as little roll length) as possible.

    Same request, same nest, on any machine. What fits no stock comes back as `unplaced`. Of the
    emptiest sheet one offcut is left, as long as can be. Fewer different sheets are sought from
    half the usual effort on.
    """
    found = _nest(request)
    if request.effort == 0:
        return found
    if request.effort >= DEFAULT_EFFORT // 2:
        found = with_repeats(request, found, _nest)
    return with_one_offcut(request, found, _nest)


def _nest(request: NestRequest, goal: int = 0) -> Nest:
    """The nest on as few sheets as the search finds; one at the goal's cost or below ends it."""
    job, misfits = make_job(request)
    plan, left = quick_plan(job)
    if any(left) and job.effort:
        plan, left = PlainSearch(job).most(plan, left)
    short = left_over(request, left)
    placed = tuple(d - n for d, n in zip(job.demands, left, strict=True))
    job = with_demands(job, placed)
    bound, straight, plan = _search(job, plan, goal)
    return finish(request, job, plan, (*misfits, *short), bound, straight)


def _search(job: Job, plan: Plan, goal: int) -> tuple[Bound, Bound | None, Plan]:
    """The bound and the best plan found, starting from the quick one."""
    bound, straight, plan = _search_square(job, plan, goal)
    hexagonal = hex_sheets(job)
    if hexagonal is not None:
        fixed, rest = hexagonal
        first, left = quick_plan(rest)
        if not any(left):
            for layout, copies in _search_square(rest, first, 0)[2].items():
                fixed[layout] = fixed.get(layout, 0) + copies
            plan = _cheaper(job, plan, fixed)
    return bound, straight, plan


def _search_square(job: Job, plan: Plan, goal: int) -> tuple[Bound, Bound | None, Plan]:
    """The same with round pieces laid out as squares."""
    bound = area_bound(job)
    cost = plan_cost(job, plan)
    if cost > max(goal, bound.cost) and job.effort:
        return _improve(job, plan, cost, bound, goal)
    return bound, None, plan


def _improve(
    job: Job, plan: Plan, cost: int, bound: Bound, goal: int
) -> tuple[Bound, Bound | None, Plan]:
    """A better bound and a better plan.

    The compiled stages are loaded only for large orders, for straight cuts where the plain search
    leaves something to gain, and for more effort than usual.
    """
    few = sum(job.demands) <= (_PLAIN_ROLL_PARTS if job.is_roll else _PLAIN_PARTS)
    plain = few or (job.is_roll and not job.guillotine and sections(job) is None)
    singly = may_empty(job) and (job.effort > DEFAULT_EFFORT if plain else is_various(job))
    if (plain or singly) and not _nested_discs(job):
        rows, scales = row_bound(job) or bound, scale_bound(job, cost) or bound
        bound = max(bound, rows, scales, key=lambda b: b.cost)
    target = max(goal, bound.cost)
    straight = None
    if cost > target and job.guillotine and sum(job.demands) <= _PLAIN_PARTS:
        straight = straight_plan(job, plan, target)
    if cost > target and singly:
        plan = emptied(job, plan, target)
    elif cost > target and straight is not None:
        plan = straight
    elif cost > target and plain:
        plan = PlainSearch(job).plan(plan, target)
    cost = plan_cost(job, plan)
    if cost > target and few and job.is_roll and not job.guillotine:
        plan = _cheaper(job, plan, strip_plan(job, cost, target))
        cost = plan_cost(job, plan)
    if job.guillotine:
        # The linear program saves sheets and length: only less than the usual effort forgoes it.
        plain = straight is not None and job.effort < DEFAULT_EFFORT
    if cost <= target or plain:
        return bound, None, plan
    return _improve_compiled(job, plan, cost, bound, goal)


def _improve_compiled(
    job: Job, plan: Plan, cost: int, bound: Bound, goal: int
) -> tuple[Bound, Bound | None, Plan]:
    """The same by column generation."""
    from layouts.nest.bars import bar_bound
    from layouts.nest.roll import roll_plan
    from layouts.nest.sheets import SheetSearch

    if not _nested_discs(job) and (job.is_roll or not job.guillotine):
        bound = max(bound, bar_bound(job), key=lambda b: b.cost)
    target = max(goal, bound.cost)
    if cost <= target:
        return bound, None, plan
    if job.is_roll:
        other = roll_plan(job, target) or PlainSearch(job).plan(plan, target)
        return bound, None, _cheaper(job, plan, other)
    search = SheetSearch(job)
    straight = search.bound()
    aim = target if straight is None else max(target, straight.cost)
    if cost > aim:
        plan = _cheaper(job, plan, search.plan(aim))
    if plan_cost(job, plan) > target and may_empty(job):
        plan = emptied(job, plan, target)
    if job.guillotine and straight is not None and straight.cost > bound.cost:
        bound = straight
    return bound, straight, plan


def _nested_discs(job: Job) -> bool:
    """Whether discs may lie nearer than their boxes."""
    return not job.guillotine and any(job.rounds)


def _cheaper(job: Job, plan: Plan, other: Plan | None) -> Plan:
    """The cheaper plan, of equal ones that with fewer arrangements."""
    if other is None:
        return plan
    return min(plan, other, key=lambda each: (plan_cost(job, each), len(each)))
