"""Patterns by linear programming: problem in, best plan and bound out.

The Gilmore-Gomory way through guillotine cutting: `grid` makes a bin a table of rooms, `pricing`
finds the patterns worth most at given dual prices (`kernels` and `bounded_kernels` are its compiled
loops), `master` solves the covering LP over them, `dive` takes the integer parts of its solution
and `residual` lays out the rest; `roll` does the same for sections of rolls; `bars` proves a bound
for any packing. Compiler and solver are loaded only when one of these stages runs.
"""

from collections.abc import Sequence

from layouts.nest.problem import Best, Problem


def bar_bound(problem: Problem, best: Best, target: int) -> Best:
    """The bound from bars, by a linear program; the plan stays."""
    from layouts.nest.patterns import bars

    return best.proven(bars.bar_bound(problem))


def column_generation(problem: Problem, best: Best, target: int) -> Best:
    """Patterns from the linear program, where they cost less than the best so far."""
    from layouts.nest.patterns.dive import PatternSearch
    from layouts.nest.patterns.roll import roll_plan

    if problem.is_roll:
        plan, work = roll_plan(problem, target)
        return best.improved(problem, plan, work)
    search = PatternSearch(problem)
    straight = search.bound()
    aim = target if straight is None else max(target, straight.cost)
    plan = search.plan(aim) if best.cost(problem) > aim else None
    best = best.improved(problem, plan, search.work)
    if straight is not None and problem.guillotine:
        best = best.proven(straight)
    return best.proven_for_straight_cuts(straight)


def warm_loops(problem: Problem, worths: Sequence[int]) -> None:
    """Call every compiled loop of these stages, with tables wide enough for each worth of an item.

    Compiled code is kept beside the package, or in the user's cache where that is read-only.
    """
    import numpy as np

    from layouts.nest.patterns import bars
    from layouts.nest.patterns.pricing import Pricer

    demands = np.array(problem.demands)
    pricer = Pricer(problem, problem.bins[0], 1)
    for worth in worths:
        values = np.full(len(demands), worth)
        pricer.best_column(values)
        pricer.bounded_column(values, demands)
    bars.bar_bound(problem)
