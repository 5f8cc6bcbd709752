"""Patterns by linear programming: problem in, best plan and bound out.

The Gilmore-Gomory way through guillotine cutting: `grid` makes a bin a table of rooms, `pricing`
finds the patterns worth most at given dual prices (`kernels` and `bounded_kernels` are its compiled
loops), `master` solves the covering LP over them, `dive` takes the integer parts of its solution
and `residual` lays out the rest; `roll` does the same for sections of rolls; `bars` proves a bound
for any packing. Compiler and solver are loaded only when one of these stages runs.
"""

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
