"""The best-fit filling of one bin along its skyline, from the top edge down, for a contour cutter.

The skyline is the lower outline of what lies already. The next item always goes to its highest
place, the one that wastes least there. Source: Burke, Kendall and Whitwell, "A new placement
heuristic for the orthogonal stock-cutting problem", 2004 (doi:10.1287/opre.1040.0109); the weighing
of fits is our own. Lengths are micrometers grown by the gap.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from math import inf
from operator import itemgetter
from random import Random
from typing import Final, TypeAlias

from layouts.nest.problem import Box, Problem

_CELLS = 600
"""Cells of the table of widths that pieces side by side can fill."""
_TABLES = 256
"""Most of these tables kept."""
_FILL_WORK, _PLACE_WORK = 100, 25
"""What a fill and a place cost besides, in probes at orientations."""

Place: TypeAlias = tuple[int, int, int, bool]
"""Piece, x and y in grown micrometers from the corner of the printable room, turned."""

Weighed: TypeAlias = tuple[float, float, int, int, int, bool]
"""A piece as it lies: the value of placing it, the same flush with a neighbor, its width and
height, piece, turned."""
_WIDTH: Final = 2
_HEIGHT: Final = 3
PIECE: Final = 4
"""Where a way names its piece."""


class DeadWidths(dict[int, int]):
    """For a number of cells of free width, the width that no row of pieces can fill.

    Widths round up, so that a row that fits in cells fits.
    """

    def __init__(self, sizes: Collection[int], width: int) -> None:
        """`sizes` are the pieces' widths and `width` is the bin's."""
        super().__init__()
        self.cell = cell = -(-width // _CELLS)
        cells = width // cell
        mask = (1 << (cells + 1)) - 1
        reach = 1
        for size in sizes:
            step = -(-size // cell)
            while step <= cells:
                reach |= (reach << step) & mask
                step *= 2
        self._filled = bin(reach)[:1:-1]

    def __missing__(self, cells: int) -> int:
        """What lies beyond the widest row within the cells."""
        widest = self._filled.rfind("1", 0, cells + 1)
        self[cells] = dead = (cells - widest) * self.cell
        return dead


@dataclass(frozen=True, slots=True)
class Weights:
    """How a fill weighs its choices: drawn again for each, so that fills differ."""

    pieces: tuple[int, ...]
    ways: list[Weighed]
    """Pieces as they may lie, by falling value."""
    flush: float
    """What a straight edge with a neighbor is worth: the piece's worth times this."""
    dead: float
    """What an area is worth that nothing can fill any more."""
    in_rows: bool
    """Whether equal pieces go side by side as far as there is room."""


@dataclass(frozen=True, slots=True)
class FilledBox:
    """What lies in a box, how far down it reaches, and the work: probes at orientations."""

    places: list[Place]
    reach: int
    work: int


class SkylineFiller:
    """Fills boxes with the pieces of one problem."""

    def __init__(self, problem: Problem) -> None:
        """Sizes and measures of the pieces, read once."""
        sizes = list(zip(problem.widths, problem.heights, strict=True))
        self._measures: tuple[list[float], ...] = (
            [w * h for w, h in sizes],
            [max(w, h) ** 2 for w, h in sizes],
            [min(w, h) ** 2 for w, h in sizes],
            [(w + h) ** 2 / 4 for w, h in sizes],
        )
        self._ways = [
            [(w, h, i, False), (h, w, i, True)][: 1 + turnable]
            for i, ((w, h), turnable) in enumerate(zip(sizes, problem.turnable, strict=True))
        ]
        self._tables: dict[tuple[int, frozenset[int]], DeadWidths] = {}
        self._widths: dict[tuple[int, tuple[int, ...]], frozenset[int]] = {}

    def random_weights(
        self, pieces: Sequence[int], worths: Sequence[float], random: Random
    ) -> Weights:
        """Random weights, and random worths around one of the pieces' measures times `worths`."""
        draw = random.random
        learned = draw() < 0.7
        measure = self._measures[random.randrange(4)]
        noise = random.choice((0.0, 0.05, 0.15, 0.4))
        lying = random.choice((0.0, 0.0, 0.2, -0.2))
        bases = [measure[i] * (1 + noise * (2 * draw() - 1)) for i in pieces]
        if learned:
            bases = [base * worths[i] for i, base in zip(pieces, bases, strict=True)]
        flush, dead = 1 + random.choice((0.0, 0.1, 0.3)), random.choice((0.3, 1.0, 3.0))
        factors = 1.0, 1 + lying
        ways: list[Weighed] = [
            (worth := base * factors[a > b], worth * flush, a, b, i, turned)
            for i, base in zip(pieces, bases, strict=True)
            for a, b, _, turned in self._ways[i]
        ]
        ways.sort(key=itemgetter(0), reverse=True)
        return Weights(tuple(pieces), ways, flush, dead, draw() < 0.5)

    def fill(self, box: Box, weights: Weights, left: list[int]) -> FilledBox:
        """Pieces into the box as long as they fit; `left` is counted down."""
        x0, y0, width, height = box
        table, work = self._table(width, weights)
        cell, waste, in_rows = table.cell, weights.dead, weights.in_rows
        work += _FILL_WORK + len(weights.ways)
        ways = [w for w in weights.ways if w[_WIDTH] <= width and w[_HEIGHT] <= height]
        ways = [way for way in ways if left[way[PIECE]]]
        narrowest = min(map(itemgetter(_WIDTH), ways), default=0)
        lowest = min(map(itemgetter(_HEIGHT), ways), default=0)
        line = Skyline([0], [0], [width])
        tops, widths = line.tops, line.widths
        places: list[Place] = []
        reach = 0
        while ways:
            y = min(tops)
            if y >= height:
                break
            at = tops.index(y)
            free, room = widths[at], height - y
            # How far the neighbors reach beyond the step.
            before = tops[at - 1] - y if at else room
            after = tops[at + 1] - y if at + 1 < len(tops) else room
            best, most, probes = None, -inf, 0
            if free < narrowest or room < lowest:
                probes = len(ways)
            else:
                for way in ways:
                    worth, flush, a, b, _, _ = way
                    if flush <= most:
                        break
                    probes += 1
                    if a <= free and b <= room:
                        if b in (before, after):
                            worth = flush
                        score = worth - waste * table[(free - a) // cell] * b
                        if score > most:
                            best, most = way, score
            work += probes + _PLACE_WORK
            if best is None:
                line.raise_step(at, y + min(before, after))
                continue
            _, _, a, b, i, turned = best
            count = min(free // a, left[i]) if in_rows else 1
            left[i] -= count
            if not left[i]:
                ways = [each for each in ways if each[PIECE] != i]
            # Against the longer neighbor, where the piece leaves no crack.
            start = x0 + line.cover(at, before >= after, count * a, y + b)
            if count == 1:
                places.append((i, start, y0 + y, turned))
            else:
                lefts = range(start, start + count * a, a)
                places += [(i, each, y0 + y, turned) for each in lefts]
            if y + b > reach:
                reach = y + b
        return FilledBox(places, y0 + reach, work)

    def _table(self, width: int, weights: Weights) -> tuple[DeadWidths, int]:
        """The table for these pieces in a bin of that width, and the work of making it."""
        pieces = width, weights.pieces
        sizes = self._widths.get(pieces)
        if sizes is None:
            if len(self._widths) >= _TABLES:
                self._widths.clear()
            sizes = frozenset(way[_WIDTH] for way in weights.ways if way[_WIDTH] <= width)
            self._widths[pieces] = sizes
        table = self._tables.get((width, sizes))
        if table is not None:
            return table, 0
        if len(self._tables) >= _TABLES:
            self._tables.clear()
        table = self._tables[width, sizes] = DeadWidths(sorted(sizes), width)
        return table, _CELLS // 2


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

    def cover(self, at: int, to_left: bool, width: int, level: int) -> int:
        """Put pieces of that width at the left or right end of a step; where they begin."""
        starts, tops, widths = self.starts, self.tops, self.widths
        start = starts[at]
        rest = widths[at] - width
        if not rest:
            self.raise_step(at, level)
            return start
        widths[at] = rest
        if to_left:
            starts[at] = start + width
            if at and tops[at - 1] == level:
                widths[at - 1] += width
                return start
        else:
            start += rest
            at += 1
            if at < len(tops) and tops[at] == level:
                starts[at] = start
                widths[at] += width
                return start
        starts.insert(at, start)
        tops.insert(at, level)
        widths.insert(at, width)
        return start

    def raise_step(self, at: int, level: int) -> None:
        """A whole step reaches down to that level, one with its neighbors of the same level."""
        starts, tops, widths = self.starts, self.tops, self.widths
        after = at + 1
        if after < len(tops) and tops[after] == level:
            widths[at] += widths.pop(after)
            del starts[after], tops[after]
        if at and tops[at - 1] == level:
            widths[at - 1] += widths.pop(at)
            del starts[at], tops[at]
        else:
            tops[at] = level
