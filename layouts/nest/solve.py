"""From a request to its nest: a first answer, then stages that only ever improve it.

`STAGES` is the whole search. Each stage gets the problem and the best so far (a plan with
the bound that is proven) and returns a plan that is no costlier and a bound that is no lower; the
search ends where the plan meets the bound. What ran, and what it brought, is kept in the answer.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

from layouts.nest.answer import finish, left_over, with_one_offcut
from layouts.nest.bounds import area_bound, row_bound
from layouts.nest.discs import hexagonal_bins
from layouts.nest.guillotine_fill import guillotine_fill
from layouts.nest.model import (
    DEFAULT_EFFORT,
    Cutting,
    Nest,
    NestRequest,
    Piece,
    RollStock,
    SheetStock,
    StageRun,
)
from layouts.nest.patterns import bar_bound, column_generation, warm_loops
from layouts.nest.patterns.roll import sections
from layouts.nest.problem import Best, Problem, longest_cost, make_problem, open_bin, with_demands
from layouts.nest.recreate import RuinAndRecreate, recreate
from layouts.nest.repeats import with_repeats
from layouts.nest.shorten import goal_lengths
from layouts.nest.straight import straight_goals

_FEW, _FEW_ON_ROLLS = 300, 1000
"""Up to this number of items an order is searched item by item, without compiler and solver."""
_FEW_BINS, _FEW_OF_FEW_SIZES = 20, 10
"""Up to this number of frames ruin and recreate empties all of them in turn."""
_BY_FILLS = "patterns by fills"
_WIDE = 1 << 40
"""An item's price that no narrow table has room for."""
_MOST_RECREATED = 2000
"""Up to this number of items on sheets the linear program's patterns are searched item by item."""


@dataclass(frozen=True, slots=True)
class Stage:
    """One stage of the search: where it applies, and how it improves the best so far.

    `run` takes the problem, the best so far and the cost at which to stop.
    """

    name: str
    applies: Callable[[Problem, Best], bool]
    run: Callable[[Problem, Best, int], Best]


def few_items(problem: Problem) -> bool:
    """Whether the order is small enough to be searched item by item."""
    return problem.items <= (_FEW_ON_ROLLS if problem.is_roll else _FEW)


def without_sections(problem: Problem) -> bool:
    """Whether a roll has no sections that the linear program could use, or limited frames."""
    limited = any(bin_.limit is not None for bin_ in problem.bins)
    return problem.is_roll and (limited or sections(problem) is None)


def in_rows(problem: Problem, best: Best) -> bool:
    """Whether rows of items prove a bound: not where discs may lie nearer than their boxes."""
    few = few_items(problem) or without_sections(problem) or by_fills(problem, best)
    return few and not problem.nested_discs


def few_straight_cuts(problem: Problem, best: Best) -> bool:
    """Whether goals for straight cuts are in reach."""
    return problem.guillotine and problem.items <= _FEW and open_bin(problem) is not None


def by_fills(problem: Problem, best: Best) -> bool:
    """Whether fills find patterns for a linear program: many items or frames by contour."""
    open_bins = all(bin_.limit is None and len(bin_.regions[0]) == 1 for bin_ in problem.bins)
    if problem.guillotine or problem.nested_discs or not open_bins:
        return False
    if not problem.is_roll:
        return problem.items > _FEW
    frame = max(bin_.cost * (bin_.height + bin_.overhead) for bin_ in problem.bins)
    most = _FEW_OF_FEW_SIZES if problem.few_sizes else _FEW_BINS
    long = best.bound.cost > most * frame
    return long and (few_items(problem) or without_sections(problem))


def searched_singly(problem: Problem, best: Best) -> bool:
    """Whether ruin and recreate comes before any linear program."""
    few = few_items(problem) or without_sections(problem)
    return few and not by_fills(problem, best)


def contour_roll(problem: Problem, best: Best) -> bool:
    """Whether it is a small order on rolls for a contour cutter."""
    return problem.is_roll and not problem.guillotine and few_items(problem)


def by_patterns(problem: Problem, best: Best) -> bool:
    """Whether column generation pays: straight cuts, and contours of many items.

    Straight cuts of few items at less than the usual effort forgo it. So do contours on sheets of
    a few sizes where fills came within one sheet of the bound: it would not gain that sheet.
    """
    if problem.guillotine:
        hasty = problem.effort < DEFAULT_EFFORT and few_straight_cuts(problem, best)
        return not hasty and not (problem.is_roll and sections(problem) is None)
    if few_items(problem) or without_sections(problem):
        return False
    if not problem.few_sizes or not by_fills(problem, best):
        return True
    return best.cost(problem) > best.bound.cost + max(bin_.cost for bin_ in problem.bins)


def in_bars(problem: Problem, best: Best) -> bool:
    """Whether the bar relaxation proves a bound that the linear program does not."""
    proven_else = problem.guillotine and not problem.is_roll
    return by_patterns(problem, best) and not proven_else and not problem.nested_discs


def contours_of_patterns(problem: Problem, best: Best) -> bool:
    """Whether patterns on sheets may still be bettered by contours that no straight cut parts."""
    many = _FEW < problem.items <= _MOST_RECREATED
    contours = not problem.is_roll and not problem.guillotine
    return many and contours and by_patterns(problem, best)


def discs_on_sheets(problem: Problem, best: Best) -> bool:
    """Whether round items may lie in hexagonal rows."""
    return problem.nested_discs and not problem.is_roll


def prove_rows(problem: Problem, best: Best, target: int) -> Best:
    """The bound from rows of items."""
    return best.proven(row_bound(problem))


def fill_patterns(problem: Problem, best: Best, target: int) -> Best:
    """Patterns that fills find for a linear program."""
    # Loads the solver.
    from layouts.nest.fill_patterns import patterns_by_fills

    return patterns_by_fills(problem, best, target)


def hexagonal_rows(problem: Problem, best: Best, target: int) -> Best:
    """Whole sheets of discs in hexagonal rows, and the remainder by all the other stages."""
    hexagonal = hexagonal_bins(problem)
    if hexagonal is None:
        return best
    plan, rest = hexagonal
    first, left, work = guillotine_fill(rest)
    if any(left):
        return best
    found, runs = improve(rest, Best(first, area_bound(rest)), 0)
    for pattern, copies in found.plan.items():
        plan[pattern] = plan.get(pattern, 0) + copies
    return best.improved(problem, plan, work + sum(run.work for run in runs))


STAGES = (
    Stage("bound by rows", in_rows, prove_rows),
    Stage("straight goals", few_straight_cuts, straight_goals),
    Stage(_BY_FILLS, by_fills, fill_patterns),
    Stage("ruin and recreate", searched_singly, recreate),
    Stage("goal lengths", contour_roll, goal_lengths),
    Stage("bound by bars", in_bars, bar_bound),
    Stage("column generation", by_patterns, column_generation),
    Stage("ruin and recreate of patterns", contours_of_patterns, recreate),
    Stage("hexagonal rows", discs_on_sheets, hexagonal_rows),
)


def improve(problem: Problem, best: Best, goal: int) -> tuple[Best, tuple[StageRun, ...]]:
    """The best after all stages that apply, and what each brought.

    It ends where the plan costs no more than its bound, than the goal or than its longest piece.
    """
    runs: list[StageRun] = []
    goal = max(goal, longest_cost(problem))
    cost = best.cost(problem)
    for stage in STAGES:
        target = max(goal, best.bound.cost)
        if cost <= target:
            break
        if not stage.applies(problem, best):
            continue
        best = stage.run(problem, replace(best, work=0), target)
        before, cost = cost, best.cost(problem)
        runs.append(StageRun(stage.name, before, cost, best.work))
    return best, tuple(runs)


def nest(request: NestRequest) -> Nest:
    """Lay the pieces out on the stocks, on as few sheets (or as little roll length) as possible.

    Same request, same nest, on any machine. Pieces that fit no stock come back as `unplaced`. Then,
    at no more cost, fewer different sheets are sought (from half the usual effort on), and the
    emptiest sheet is pushed together, so that one offcut as long as can be is left of it.
    """
    found = lay_out(request)
    if request.effort == 0:
        return found
    if request.effort >= DEFAULT_EFFORT // 2:
        on_roll = isinstance(request.stocks[0], RollStock) if request.stocks else True
        items = sum(piece.demand for piece in request.pieces)
        # Frames that were searched item by item are fuller than any that a fill could repeat, and
        # those of the linear program over fills repeat as it is.
        by_length = on_roll and (items <= _FEW_ON_ROLLS or found.stages[-1].name == _BY_FILLS)
        if not by_length:
            found = with_repeats(request, found, lay_out)
    return with_one_offcut(request, found, lay_out)


def lay_out(request: NestRequest, goal: int = 0) -> Nest:
    """The nest of least cost that the stages find; one at the goal's cost or below ends them."""
    problem, misfits = make_problem(request)
    plan, left, work = guillotine_fill(problem)
    if any(left) and problem.effort:
        plan, left = RuinAndRecreate(problem).most(plan, left)
    short = left_over(request, left)
    placed = tuple(d - n for d, n in zip(problem.demands, left, strict=True))
    problem = with_demands(problem, placed)
    best = Best(plan, area_bound(problem))
    runs: tuple[StageRun, ...] = (StageRun("guillotine fill", None, best.cost(problem), work),)
    if problem.effort:
        best, more = improve(problem, best, goal)
        runs += more
    return finish(request, problem, best, (*misfits, *short), runs)


def compiles(request: NestRequest) -> bool:
    """Whether nesting it is sure to call compiled loops; up to 300 straight items may not."""
    problem, _ = make_problem(request)
    first = Best({}, area_bound(problem))
    if not problem.bins or few_straight_cuts(problem, first):
        return False
    return problem.effort > 0 and by_patterns(problem, first)


def warm(every: bool = True) -> None:
    """Compile the loops that large orders call, or load them where that was done before.

    A set-up runs this once; `every` includes those for stock in short supply, whose prices need
    tables of wider numbers. Processes forked afterwards have the loops.
    """
    pieces = (Piece("a", 50, 30, 9), Piece("b", 40, 20, 7), Piece("c", 30, 70, 8))
    request = NestRequest(pieces, (SheetStock("s", 100, 120),), 1, Cutting.FREE)
    problem, _ = make_problem(request)
    warm_loops(problem, (1, _WIDE) if every else (1,))
