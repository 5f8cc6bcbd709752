"""Round pieces in hexagonal rows: denser than rows and columns once a sheet holds a few of them.

Only a contour cutter can cut them out.
"""

from math import isqrt

from layouts.nest.job import Job, Layout, Plan, Plate, with_demands
from layouts.nest.model import Slot


def hex_sheets(job: Job) -> tuple[Plan, Job] | None:
    """Whole sheets of hexagonal rows where they hold more than a grid, and the job that is left."""
    if job.guillotine or job.is_roll or not any(job.rounds):
        return None
    plan: Plan = {}
    rest = list(job.demands)
    plate = min(job.plates, key=lambda p: (p.cost / (p.width * p.height), p.index))
    if plate.limit is not None or len(plate.regions[0]) != 1:
        return None
    for i, disc in enumerate(job.rounds):
        if not disc or not rest[i]:
            continue
        places = hex_places(job.widths[i], plate.width, plate.height)
        grid = (plate.width // job.widths[i]) * (plate.height // job.widths[i])
        sheets = rest[i] // max(1, len(places))
        if len(places) > grid and sheets:
            plan[_layout(plate, i, places)] = sheets
            rest[i] -= sheets * len(places)
    if not plan:
        return None
    return plan, with_demands(job, tuple(rest))


def hex_places(diameter: int, width: int, height: int) -> list[tuple[int, int]]:
    """Top-left corners of discs in hexagonal rows or columns, whichever holds more."""
    rows = _rows(diameter, width, height)
    columns = [(y, x) for x, y in _rows(diameter, height, width)]
    return max(rows, columns, key=len)


def _rows(diameter: int, width: int, height: int) -> list[tuple[int, int]]:
    # Neighbors in the next row stand half a diameter aside, the nearer one rounded down.
    half = diameter // 2
    pitch = isqrt(diameter * diameter - half * half - 1) + 1
    places = []
    for row, y in enumerate(range(0, height - diameter + 1, pitch)):
        start = diameter - half if row % 2 else 0
        places += [(x, y) for x in range(start, width - diameter + 1, diameter)]
    return places


def _layout(plate: Plate, piece: int, places: list[tuple[int, int]]) -> Layout:
    slots = [Slot(piece, plate.left + x, plate.top + y) for x, y in places]
    return Layout(plate.index, tuple(sorted(slots)))
