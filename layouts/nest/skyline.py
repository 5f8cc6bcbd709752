"""One plate filled from its top edge down, for a contour cutter: a plain skyline.

The skyline is the lower outline of what lies already. The next piece always goes to its highest
place, the one that wastes least there. Source: Burke, Kendall and Whitwell, "A new placement
heuristic for the orthogonal stock-cutting problem", 2004; the weighing of fits is our own.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from random import Random

from layouts.nest.job import Box, Job

_CELLS = 1024
"""Cells of the table of widths that pieces side by side can fill."""
_TABLES = 64
"""Most of these tables kept."""
_FILL_WORK, _PLACE_WORK = 100, 25
"""What a fill and a place cost besides, in looks at ways to lie."""

Tables = dict[tuple[int, frozenset[int]], tuple[list[int], int]]
"""Tables of dead widths made before, by the box's width and the pieces'."""

Place = tuple[int, int, int, bool]
"""Piece, x and y in grown micrometers from the corner of the printable room, turned."""


@dataclass(frozen=True, slots=True)
class Way:
    """A piece as it may lie, and what it is worth to place it now."""

    piece: int
    width: int
    height: int
    turned: bool
    worth: float


@dataclass(frozen=True, slots=True)
class Taste:
    """How a fill weighs its choices: drawn anew for each, so that fills differ."""

    ways: tuple[Way, ...]
    flush: float
    """What a straight edge with a neighbor is worth, as a part of the piece's worth."""
    dead: float
    """What an area is worth that nothing can fill any more."""
    in_rows: bool
    """Whether equal pieces go side by side as far as there is room."""


def any_taste(job: Job, pieces: Sequence[int], random: Random) -> Taste:
    """Random weights, and random worths around one of the pieces' measures."""
    measure = random.randrange(4)
    noise = random.choice((0.0, 0.05, 0.15, 0.4))
    lying = random.choice((0.0, 0.0, 0.2, -0.2))
    ways = []
    for i in pieces:
        w, h = job.widths[i], job.heights[i]
        base = (w * h, max(w, h) ** 2, min(w, h) ** 2, (w + h) ** 2 / 4)[measure]
        base *= 1 + noise * random.uniform(-1, 1)
        sides = [(w, h, False), (h, w, True)] if job.turnable[i] else [(w, h, False)]
        for a, b, turned in sides:
            ways.append(Way(i, a, b, turned, base * (1 + lying * (a > b))))
    ways.sort(key=lambda way: -way.worth)
    flush, dead = random.choice((0.0, 0.1, 0.3)), random.choice((0.3, 1.0, 3.0))
    return Taste(tuple(ways), flush, dead, random.random() < 0.5)


def dead_widths(sizes: Collection[int], width: int) -> tuple[list[int], int]:
    """For each cell of free width, what no row of pieces can fill; and the cell's size.

    Widths round up, so that a row that fits in cells fits.
    """
    cell = -(-width // _CELLS)
    reach = 1
    mask = (1 << (width // cell + 1)) - 1
    for size in sizes:
        step = -(-size // cell)
        while step <= width // cell:
            reach |= (reach << step) & mask
            step *= 2
    dead, last = [], 0
    for n in range(width // cell + 2):
        if reach >> n & 1:
            last = n
        dead.append((n - last) * cell)
    return dead, cell


def fill_box(box: Box, taste: Taste, left: list[int], tables: Tables) -> tuple[list[Place], int]:
    """Pieces into the box as long as they fit; `left` is counted down.

    Gives the places and the work: looks at ways to lie, and what else costs as much.
    """
    x0, y0, width, height = box
    key = (width, frozenset(w.width for w in taste.ways if w.width <= width))
    work = _FILL_WORK + len(taste.ways)
    if key not in tables:
        if len(tables) >= _TABLES:
            tables.clear()
        tables[key] = dead_widths(sorted(key[1]), width)
        work += _CELLS
    dead, cell = tables[key]
    line = [[0, 0, width]]  # x, y, width of each step of the skyline
    ways = [w for w in taste.ways if left[w.piece] and w.width <= width and w.height <= height]
    places: list[Place] = []
    while ways:
        at = min(range(len(line)), key=lambda n: line[n][1])
        x, y, free = line[at]
        if y >= height:
            break
        before = line[at - 1][1] if at else height
        after = line[at + 1][1] if at + 1 < len(line) else height
        work += len(ways) + _PLACE_WORK
        way = _best_way(ways, free, height - y, before - y, after - y, taste, dead, cell)
        if way is None:
            _raise(line, at, min(before, after))
            continue
        count = min(free // way.width, left[way.piece]) if taste.in_rows else 1
        left[way.piece] -= count
        if not left[way.piece]:
            ways = [w for w in ways if w.piece != way.piece]
        # Against the higher neighbor, where the piece leaves no crack.
        start = x if before >= after else x + free - count * way.width
        places += [
            (way.piece, x0 + start + n * way.width, y0 + y, way.turned) for n in range(count)
        ]
        _cover(line, at, start, count * way.width, y + way.height)
    return places, work


def _best_way(
    ways: Sequence[Way],
    free: int,
    room: int,
    before: int,
    after: int,
    taste: Taste,
    dead: Sequence[int],
    cell: int,
) -> Way | None:
    best, most = None, 0.0
    flush, waste = taste.flush, taste.dead
    for way in ways:
        a, b = way.width, way.height
        if a > free or b > room:
            continue
        score = way.worth - waste * dead[(free - a) // cell] * b
        if b in (before, after):
            score += flush * way.worth
        if best is None or score > most:
            best, most = way, score
    return best


def _raise(line: list[list[int]], at: int, level: int) -> None:
    """Give a step up: level with its lower neighbor, and one with it."""
    line[at][1] = level
    _join(line)


def _cover(line: list[list[int]], at: int, start: int, width: int, level: int) -> None:
    """Put a piece of that width on a step, from `start` on."""
    x, y, free = line[at]
    steps = [
        [x, y, start - x],
        [start, level, width],
        [start + width, y, x + free - start - width],
    ]
    line[at : at + 1] = [step for step in steps if step[2]]
    _join(line)


def _join(line: list[list[int]]) -> None:
    n = 1
    while n < len(line):
        if line[n][1] == line[n - 1][1]:
            line[n - 1][2] += line[n][2]
            del line[n]
        else:
            n += 1
