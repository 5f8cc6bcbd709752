"""Round pieces in hexagonal rows: denser than rows and columns once a sheet holds a few of them.

Only a contour cutter can cut them out.
"""

from math import isqrt

from layouts.nest.model import Slot
from layouts.nest.problem import Bin, Pattern, Plan, Problem, with_demands


def hexagonal_bins(problem: Problem) -> tuple[Plan, Problem] | None:
    """Whole sheets of hexagonal rows where they hold more than a grid, and what is left over."""
    if problem.guillotine or problem.is_roll or not any(problem.rounds):
        return None
    plan: Plan = {}
    rest = list(problem.demands)
    bin_ = min(problem.bins, key=lambda p: (p.cost / (p.width * p.height), p.index))
    if bin_.limit is not None or len(bin_.regions[0]) != 1:
        return None
    for i, disc in enumerate(problem.rounds):
        if not disc or not rest[i]:
            continue
        places = hexagonal_places(problem.widths[i], bin_.width, bin_.height)
        grid = (bin_.width // problem.widths[i]) * (bin_.height // problem.widths[i])
        sheets = rest[i] // max(1, len(places))
        if len(places) > grid and sheets:
            plan[_pattern(bin_, i, places)] = sheets
            rest[i] -= sheets * len(places)
    if not plan:
        return None
    return plan, with_demands(problem, tuple(rest))


def hexagonal_places(diameter: int, width: int, height: int) -> list[tuple[int, int]]:
    """Top-left corners of discs in hexagonal rows or columns, whichever holds more."""
    rows = _rows(diameter, width, height)
    columns = [(y, x) for x, y in _rows(diameter, height, width)]
    return max(rows, columns, key=len)


def _rows(diameter: int, width: int, height: int) -> list[tuple[int, int]]:
    # Neighbors in the next row are half a diameter over, the nearer one rounded down.
    half = diameter // 2
    pitch = isqrt(diameter * diameter - half * half - 1) + 1
    places = []
    for row, y in enumerate(range(0, height - diameter + 1, pitch)):
        start = diameter - half if row % 2 else 0
        places += [(x, y) for x in range(start, width - diameter + 1, diameter)]
    return places


def _pattern(bin_: Bin, piece: int, places: list[tuple[int, int]]) -> Pattern:
    slots = [Slot(piece, bin_.left + x, bin_.top + y) for x, y in places]
    return Pattern(bin_.index, tuple(sorted(slots)))
