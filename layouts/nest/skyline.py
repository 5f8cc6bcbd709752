"""The skyline of one bin, and its best-fit filling from the top edge down, for a contour cutter.

The skyline is the lower outline of what lies already. The next item always goes to its highest
place, the one that wastes least there. Source: Burke, Kendall and Whitwell, "A new placement
heuristic for the orthogonal stock-cutting problem", 2004 (doi:10.1287/opre.1040.0109); the weighing
of fits is our own. Lengths are micrometers grown by the gap.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from math import inf
from random import Random

from layouts.nest.problem import Box, Problem

_CELLS = 600
"""Cells of the table of widths that pieces side by side can fill."""
_TABLES = 256
"""Most of these tables kept."""
_FILL_WORK, _PLACE_WORK = 100, 25
"""What a fill and a place cost besides, in probes at orientations."""

Tables = dict[tuple[int, frozenset[int]], tuple[list[int], int]]
"""Tables of dead widths made before, by the box's width and the pieces'."""

Place = tuple[int, int, int, bool]
"""Piece, x and y in grown micrometers from the corner of the printable room, turned."""


@dataclass(frozen=True, slots=True)
class Orientation:
    """A piece in one orientation, and the value of placing it now."""

    piece: int
    width: int
    height: int
    turned: bool
    worth: float


@dataclass(frozen=True, slots=True)
class Weights:
    """How a fill weighs its choices: drawn again for each, so that fills differ."""

    orientations: tuple[Orientation, ...]
    flush: float
    """What a straight edge with a neighbor is worth, as a part of the piece's worth."""
    dead: float
    """What an area is worth that nothing can fill any more."""
    in_rows: bool
    """Whether equal pieces go side by side as far as there is room."""


def random_weights(
    problem: Problem, pieces: Sequence[int], worths: Sequence[float], random: Random
) -> Weights:
    """Random weights, and random worths around one of the pieces' measures times `worths`."""
    learned = random.random() < 0.7
    measure = random.randrange(4)
    noise = random.choice((0.0, 0.05, 0.15, 0.4))
    orientations_in = random.choice((0.0, 0.0, 0.2, -0.2))
    orientations = []
    for i in pieces:
        w, h = problem.widths[i], problem.heights[i]
        base = (w * h, max(w, h) ** 2, min(w, h) ** 2, (w + h) ** 2 / 4)[measure]
        base *= 1 + noise * random.uniform(-1, 1)
        if learned:
            base *= worths[i]
        sides = [(w, h, False), (h, w, True)] if problem.turnable[i] else [(w, h, False)]
        for a, b, turned in sides:
            orientations.append(
                Orientation(i, a, b, turned, base * (1 + orientations_in * (a > b)))
            )
    orientations.sort(key=lambda way: -way.worth)
    flush, dead = random.choice((0.0, 0.1, 0.3)), random.choice((0.3, 1.0, 3.0))
    return Weights(tuple(orientations), flush, dead, random.random() < 0.5)


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
    dead: list[int] = []
    # After each reachable cell the unreachable ones; one past the end means an end.
    reach |= 1 << width // cell + 2
    for gap in f"{reach:b}"[::-1].split("1")[1:-1]:
        dead.extend(range(0, (len(gap) + 1) * cell, cell))
    return dead, cell


def fill_box(
    box: Box, weights: Weights, left: list[int], tables: Tables
) -> tuple[list[Place], int]:
    """Pieces into the box as long as they fit; `left` is counted down.

    Gives the places and the work: probes at orientations, and what else costs as much.
    """
    x0, y0, width, height = box
    key = (width, frozenset(w.width for w in weights.orientations if w.width <= width))
    work = _FILL_WORK + len(weights.orientations)
    if key not in tables:
        if len(tables) >= _TABLES:
            tables.clear()
        tables[key] = dead_widths(sorted(key[1]), width)
        work += _CELLS // 2
    table = tables[key]
    line = Skyline([0], [0], [width])
    orientations = [
        w for w in weights.orientations if left[w.piece] and w.width <= width and w.height <= height
    ]
    places: list[Place] = []
    while orientations:
        at, x, y, free = line.highest()
        if y >= height:
            break
        before = line.tops[at - 1] if at else height
        after = line.tops[at + 1] if at + 1 < len(line.tops) else height
        way, probes = _best_orientation(
            orientations, free, height - y, before - y, after - y, weights, table
        )
        work += probes + _PLACE_WORK
        if way is None:
            line.tops[at] = min(before, after)
            line.join(at)
            continue
        count = min(free // way.width, left[way.piece]) if weights.in_rows else 1
        left[way.piece] -= count
        if not left[way.piece]:
            orientations = [w for w in orientations if w.piece != way.piece]
        # Against the longer neighbor, where the piece leaves no crack.
        start = x if before >= after else x + free - count * way.width
        lefts = range(x0 + start, x0 + start + count * way.width, way.width)
        places += [(way.piece, each, y0 + y, way.turned) for each in lefts]
        line.cover(at, start, count * way.width, y + way.height)
    return places, work


@dataclass(slots=True)
class Skyline:
    """The steps from left to right: where each begins, how far it reaches down, how wide."""

    starts: list[int]
    tops: list[int]
    widths: list[int]

    def copy(self) -> "Skyline":
        """The same steps, to go their own way."""
        return Skyline(self.starts[:], self.tops[:], self.widths[:])

    def highest(self) -> tuple[int, int, int, int]:
        """The step with most room below: its number, start, y and width."""
        y = min(self.tops)
        at = self.tops.index(y)
        return at, self.starts[at], y, self.widths[at]

    def cover(self, at: int, start: int, width: int, level: int) -> None:
        """Put pieces of that width at either end of a step."""
        rest = self.widths[at] - width
        if rest and start == self.starts[at]:
            self.starts.insert(at + 1, start + width)
            self.tops.insert(at + 1, self.tops[at])
            self.widths.insert(at + 1, rest)
        elif rest:
            self.widths[at] = rest
            at += 1
            self.starts.insert(at, start)
            self.tops.insert(at, level)
            self.widths.insert(at, width)
        self.widths[at], self.tops[at] = width, level
        self.join(at)

    def join(self, at: int) -> None:
        """Make a step one with its neighbors of the same level."""
        for n in (at + 1, at):
            if 0 < n < len(self.tops) and self.tops[n] == self.tops[n - 1]:
                self.widths[n - 1] += self.widths[n]
                del self.starts[n], self.tops[n], self.widths[n]


def _best_orientation(
    orientations: Sequence[Orientation],
    free: int,
    room: int,
    before: int,
    after: int,
    weights: Weights,
    table: tuple[Sequence[int], int],
) -> tuple[Orientation | None, int]:
    """The orientation that suits the step best, and the probes it took; `ways` by falling worth."""
    best, most, probes = None, -inf, 0
    flush, waste = 1 + weights.flush, weights.dead
    dead, cell = table
    for way in orientations:
        worth, a, b = way.worth, way.width, way.height
        if worth * flush <= most:
            break
        probes += 1
        if a > free or b > room:
            continue
        if b in (before, after):
            worth *= flush
        score = worth - waste * dead[(free - a) // cell] * b
        if score > most:
            best, most = way, score
    return best, probes
