"""The way from a request to its nest: quick answer, bound, then improvement within the effort."""

from layouts.nest.bounds import area_bound
from layouts.nest.finish import finish, left_over
from layouts.nest.job import make_job, with_demands
from layouts.nest.model import Nest, NestRequest
from layouts.nest.quick import quick_plan


def nest(request: NestRequest) -> Nest:
    """Lay the pieces out on the stocks, on as few sheets (or as little roll length) as possible.

    Same request, same nest, on any machine. What fits no stock comes back as `unplaced`.
    """
    job, misfits = make_job(request)
    plan, left = quick_plan(job)
    short = left_over(request, left)
    placed = tuple(d - n for d, n in zip(job.demands, left, strict=True))
    job = with_demands(job, placed)
    bound = area_bound(job)
    return finish(request, job, plan, (*misfits, *short), bound, None)
