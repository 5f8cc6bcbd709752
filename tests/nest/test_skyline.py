"""Fills along the skyline: nothing overlaps, nothing is lost, and rows are no special case."""

from random import Random

from hypothesis import given
from hypothesis import strategies as st

from layouts.nest import Cutting, SheetStock
from layouts.nest.problem import make_problem
from layouts.nest.skyline import DeadWidths, Skyline, SkylineFiller
from tests.nest.orders import request

_sizes = st.lists(
    st.tuples(st.integers(1, 40), st.integers(1, 40), st.integers(1, 9)), min_size=1, max_size=6
)


@given(_sizes, st.integers(20, 90), st.integers(20, 90), st.integers(0, 1000))
def test_a_fill_keeps_its_box_and_its_counts(
    sizes: list[tuple[int, int, int]], width: int, height: int, seed: int
) -> None:
    order = request(sizes, SheetStock("s", width, height), cutting=Cutting.FREE)
    problem, _ = make_problem(order)
    filler, random = SkylineFiller(problem), Random(seed)
    left = list(problem.demands)
    pieces = [i for i, n in enumerate(left) if n]
    weights = filler.random_weights(pieces, [1.0] * len(left), random)
    filled = filler.fill((3, 5, width, height), weights, left)
    cells: set[tuple[int, int]] = set()
    made = [0] * len(left)
    lowest = 5
    for piece, x, y, turned in filled.places:
        made[piece] += 1
        w, h = problem.widths[piece], problem.heights[piece]
        if turned:
            w, h = h, w
        assert 3 <= x <= 3 + width - w
        assert 5 <= y <= 5 + height - h
        covered = {(a, b) for a in range(x, x + w) for b in range(y, y + h)}
        assert not covered & cells
        cells |= covered
        lowest = max(lowest, y + h)
    assert [a + b for a, b in zip(made, left, strict=True)] == list(problem.demands)
    assert filled.reach == lowest


@given(st.sets(st.integers(1, 50), min_size=1, max_size=8), st.integers(1, 600))
def test_dead_widths_are_what_rows_leave(sizes: set[int], width: int) -> None:
    # Every row of pieces, by plain search; one cell is one unit up to a width of 600.
    dead = DeadWidths(sizes, width)
    rows = {0}
    for reach in range(1, width + 1):
        if any(reach - size in rows for size in sizes):
            rows.add(reach)
    for free in range(width + 1):
        assert dead[free] == free - max(row for row in rows if row <= free)


@given(st.lists(st.tuples(st.booleans(), st.integers(1, 30), st.integers(1, 9)), max_size=20))
def test_a_skyline_stays_one_line(moves: list[tuple[bool, int, int]]) -> None:
    line = Skyline([0], [0], [30])
    for to_left, width, height in moves:
        at, start, y, free = line.highest()
        width = min(width, free)
        begins = line.cover(at, to_left, width, y + height)
        assert begins == (start if to_left or width == free else start + free - width)
        ends = [a + b for a, b in zip(line.starts, line.widths, strict=True)]
        assert line.starts == [0, *ends[:-1]]
        assert ends[-1] == 30
        assert all(a != b for a, b in zip(line.tops, line.tops[1:], strict=False))
