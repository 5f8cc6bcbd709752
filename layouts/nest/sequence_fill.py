"""Frames of a roll filled along the skyline by a sequence of items and by scores of their fit.

Items go one by one to the highest place; the item whose sides match the place best goes there, and
among equals the first in sequence. Source: Leung, Zhang and Sim, "A two-stage intelligent search
algorithm for the two-dimensional strip packing problem", 2011; the scores are our own. Lengths are
micrometers grown by the gap.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import gcd

from layouts.nest.problem import Bin, Problem
from layouts.nest.skyline import Skyline

_CELLS = 4000
"""Most cells of the table of widths that pieces side by side fill."""
SLACKS = 400
"""A piece is as wide as a place when this part of the roll's width, or less, stays beside it."""
STEP_WORK = 12
"""What a step of a fill costs besides its probes at pieces, in probes."""

Place = tuple[int, int, int, int, bool]
"""Piece, frame, x and y in grown micrometers, turned."""

Orientation = tuple[int, int, int, bool]
"""Piece, width and height as it lies, turned."""

Spot = tuple[int, int, int, int]
"""A place: its width, the room below, and how high the walls to its left and right stand."""

WIDE, ROW = 4, 1
"""Points of a way as wide as its place, and of one that leaves a width which pieces fill; up to 3
more where it is as high as a wall beside it. Any other has none."""


@dataclass(slots=True)
class State:
    """A fill under way: the skyline of the frame in hand, and the area lost so far."""

    frame: int
    line: Skyline
    lost: int

    def copy(self) -> "State":
        """The same state, to go its own way."""
        return State(self.frame, self.line.copy(), self.lost)


@dataclass(slots=True)
class Step:
    """One placement: the state and the place before it, and what went there."""

    state: State
    spot: Spot
    points: int
    rank: int
    """Where the piece stands in the order."""
    place: Place


@dataclass(slots=True)
class Fill:
    """A fill done, by the order it follows."""

    order: list[int]
    steps: list[Step]
    out: int
    """Area left out."""


class Queue:
    """An order with some of its pieces taken; equal pieces go first come, first served."""

    def __init__(self, order: list[int], kinds: int, taken: set[int]) -> None:
        """`taken` are ranks in the order, `heads` the first rank left of each piece."""
        end = len(order)
        self.order = order
        self.heads = [end] * kinds
        self._nexts = [end] * end
        self._first = 0
        for n in range(end - 1, -1, -1):
            if n not in taken:
                self._nexts[n] = self.heads[order[n]]
                self.heads[order[n]] = n

    def take(self, rank: int) -> None:
        """Take the piece at a rank, the first left of its kind."""
        self.heads[self.order[rank]] = self._nexts[rank]

    def first(self) -> int:
        """The first rank left; the order's length when all are taken."""
        order, heads, n = self.order, self.heads, self._first
        while n < len(order) and n < heads[order[n]]:
            n += 1
        self._first = n
        return n

    def rest(self) -> list[int]:
        """The pieces left."""
        first = self.first()
        return [i for n, i in enumerate(self.order[first:], first) if n >= self.heads[i]]


class SequenceFiller:
    """Fills frames of one roll with all pieces of a problem, and counts the work."""

    def __init__(self, problem: Problem, bin_: Bin, work: int) -> None:
        """Tables of pieces by their sides; `work` is the most probes to spend."""
        self.problem = problem
        self.bin = bin_
        self.work = work
        self.areas = problem.areas
        self.total = sum(a * d for a, d in zip(problem.areas, problem.demands, strict=True))
        self.parts = sum(problem.demands)
        self.orientations: list[list[tuple[int, int, bool]]] = []
        self.slack = max(1, bin_.width // SLACKS)
        self.by_width: dict[int, list[Orientation]] = {}
        self.by_height: dict[int, list[tuple[int, int, bool]]] = {}
        for i, demand in enumerate(problem.demands):
            w, h = problem.widths[i], problem.heights[i]
            sides = [(w, h, False), (h, w, True)] if problem.turnable[i] else [(w, h, False)]
            orientations = [s for s in sides if s[0] <= bin_.width and s[1] <= bin_.height]
            self.orientations.append(orientations if demand else [])
            for a, b, turned in self.orientations[i]:
                for cell in (a // self.slack, a // self.slack + 1):
                    self.by_width.setdefault(cell, []).append((i, a, b, turned))
                self.by_height.setdefault(b, []).append((i, a, turned))
        sizes = sorted({a for orientations in self.orientations for a, _, _ in orientations})
        self.least = sizes[0]
        self.grain = gcd(*sizes, *self.by_height)
        self.unit, self.fillable = fillable_widths(sizes, bin_.width)

    def same_steps(self, fill: Fill, near: int, far: int) -> int:
        """How many steps stay as they are when the pieces at two ranks change places."""
        orientations = self.orientations[fill.order[far]]
        for n, step in enumerate(fill.steps):
            rank = step.rank
            if rank in (near, far):
                return n
            if rank > near and self._points(orientations, step.spot) == step.points:
                return n
        return len(fill.steps)

    def fill(
        self, order: list[int], heights: list[int], base: Fill | None, same: int, limit: int
    ) -> Fill | None:
        """Frames filled in an order, or None when more than `limit` must stay out.

        The first steps are the `same` as those of `base`.
        """
        parts = len(order)
        steps = base.steps[:same] if base else []
        queue = Queue(order, len(self.orientations), {step.rank for step in steps})
        if base and same == len(base.steps):
            return Fill(order, steps, base.out)
        empty = Skyline([0], [0], [self.bin.width])
        state = base.steps[same].state.copy() if base else State(0, empty.copy(), 0)
        spare = self.bin.width * sum(heights) - self.total + limit
        while state.frame < len(heights) and queue.first() < parts:
            step = self._step(state, heights[state.frame], queue, spare)
            if state.lost > spare:
                return None
            if step is None:
                state = State(state.frame + 1, empty.copy(), state.lost)
                continue
            queue.take(step.rank)
            steps.append(step)
        out = sum(self.areas[i] for i in queue.rest())
        return Fill(order, steps, out) if out <= limit else None

    def _step(self, state: State, height: int, queue: Queue, spare: int) -> Step | None:
        """Place the piece that suits best at the highest place where one fits; None: frame full."""
        line = state.line
        tops = line.tops
        while True:
            at, _, y, free = line.highest()
            room = height - y
            if not room:
                return None
            left = tops[at - 1] - y if at else room
            right = tops[at + 1] - y if at + 1 < len(tops) else room
            self.work -= STEP_WORK
            spot = (free, room, left, right)
            way = self._choice(queue, spot) if free >= self.least else None
            if way is not None:
                break
            low = min(left, right)
            state.lost += free * low
            if state.lost > spare:
                return None
            line.raise_step(at, y + low)
        i, a, b, turned = way
        before = state.copy()
        to_left = b == left or (b != right and left >= right)
        x = line.cover(at, to_left, a, y + b)
        points = self._points([(a, b, turned)], spot)
        return Step(before, spot, points, queue.heads[i], (i, state.frame, x, y, turned))

    def _points(self, orientations: Sequence[tuple[int, int, bool]], spot: Spot) -> int:
        """The most points that one of the ways has for a place; -1 where none fits."""
        free, room, left, right = spot
        high, low = (left, right) if left > right else (right, left)
        most = -1
        for a, b, _ in orientations:
            if a > free or b > room:
                continue
            if free - a < self.slack:
                points = WIDE + (3 if b == high else 2 if b == low else b > high)
            elif self.fillable[(free - a) // self.unit]:
                points = ROW + (2 if b == high else b == low)
            else:
                points = 0
            most = max(most, points)
        return most

    def _choice(self, queue: Queue, spot: Spot) -> Orientation | None:
        """The way with most points for a place, of equal ones that first in the order."""
        free, room, left, right = spot
        high, low = (left, right) if left > right else (right, left)
        heads, end = queue.heads, len(queue.order)
        best, most, first = None, -1, end
        for i, a, b, turned in self.by_width.get(free // self.slack, ()):
            n = heads[i]
            if n == end or b > room or not 0 <= free - a < self.slack:
                continue
            points = 3 if b == high else 2 if b == low else int(b > high)
            if points > most or (points == most and n < first):
                best, most, first = (i, a, b, turned), points, n
        if best is not None:
            return best
        unit, fillable = self.unit, self.fillable
        for b in (high, low):
            for i, a, turned in self.by_height.get(b, ()):
                if heads[i] < first and a < free and fillable[(free - a) // unit]:
                    best, first = (i, a, b, turned), heads[i]
            if best is not None:
                return best
        return self._next(queue, free, room)

    def _next(self, queue: Queue, free: int, room: int) -> Orientation | None:
        """The first piece of the order that fits, if any so that the rest can be filled."""
        unit, fillable, order, heads = self.unit, self.fillable, queue.order, queue.heads
        begin, end = queue.first(), len(queue.order)
        best: Orientation | None = None
        for n in range(begin, end):
            i = order[n]
            if n != heads[i]:
                continue
            for a, b, turned in self.orientations[i]:
                if a < free and b <= room:
                    if fillable[(free - a) // unit]:
                        self.work -= n - begin
                        return i, a, b, turned
                    best = best or (i, a, b, turned)
        self.work -= end - begin
        return best


def fillable_widths(sizes: Sequence[int], width: int) -> tuple[int, list[bool]]:
    """A unit of width, and for each number of units whether pieces side by side fill it."""
    unit = max(gcd(*sizes), -(-width // _CELLS))
    cells = width // unit
    mask = (1 << cells + 1) - 1
    reach = 1
    for size in sizes:
        step = size // unit
        while step <= cells:
            reach |= (reach << step) & mask
            step *= 2
    return unit, [bool(reach >> n & 1) for n in range(cells + 1)]
