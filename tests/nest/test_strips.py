"""Strips: sets cut at random from a full strip, whose least height is known by construction."""

import random
from dataclasses import replace

import numpy as np
import pytest

from layouts.nest import Cutting, Margins, NestRequest, RollStock, Turn, judge, nest
from layouts.nest.job import make_job
from layouts.nest.strip import RollSearch
from layouts.nest.strip_compiled import CompiledSearch
from layouts.nest.strip_fill import Filler
from layouts.nest.strip_kernels import fill_strip
from tests.nest.orders import request

Size = tuple[int, int]
MUCH = 300
"""An effort above the usual, which takes the compiled search."""


def _cut(width: int, height: int, parts: int, seed: int) -> list[Size]:
    """A full strip cut at random, the largest rest first, into so many parts."""
    chance = random.Random(seed)
    rests = [(width, height)]
    while len(rests) < parts:
        rests.sort(key=lambda rest: rest[0] * rest[1])
        w, h = rests.pop()
        if w > h:
            at = chance.randint(1, w - 1)
            rests += [(at, h), (w - at, h)]
        else:
            at = chance.randint(1, h - 1)
            rests += [(w, at), (w, h - at)]
    return rests


def _strip(
    sizes: list[Size], width: int, turn: Turn, effort: int, frame: int = 1000
) -> NestRequest:
    roll = RollStock("strip", width, Margins(), frame)
    wanted = [(w, h, 1) for w, h in sizes]
    return request(wanted, roll, cutting=Cutting.FREE, turn=turn, effort=effort)


def _judged_length(order: NestRequest) -> int:
    found = nest(order)
    assert judge(order, found) == ()
    assert not found.unplaced
    return found.length_um


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize(("turn", "over"), [(Turn.FREE, 0), (Turn.LOCKED, 1)])
def test_a_cut_up_strip_is_put_together_again(seed: int, turn: Turn, over: int) -> None:
    sizes = _cut(40, 60, 30, seed)
    assert 60 <= _judged_length(_strip(sizes, 40, turn, MUCH)) <= 60 + over


@pytest.mark.parametrize("seed", range(4))
def test_the_plain_search_comes_near(seed: int) -> None:
    # Within 5 percent, our own limit: the usual effort spends a tenth of a second here.
    assert _judged_length(_strip(_cut(40, 60, 30, seed), 40, Turn.FREE, 100)) <= 63


@pytest.mark.parametrize("effort", [100, MUCH])
def test_a_ring_of_four_round_a_fifth(effort: int) -> None:
    # Worked by hand: 2 x 1 and 1 x 2, twice each, round a 1 x 1 fill 3 x 3. Straight cuts cannot.
    ring = [(2, 1), (1, 2), (2, 1), (1, 2), (1, 1)]
    assert _judged_length(_strip(ring, 3, Turn.LOCKED, effort)) == 3


def test_two_frames_share_what_one_cannot_hold() -> None:
    # Worked by hand: eight 5 x 4 on a roll of 10 in frames of 8 fill two frames of 8.
    for effort in (100, MUCH):
        assert _judged_length(_strip([(5, 4)] * 8, 10, Turn.FREE, effort, frame=8)) == 16


def _shuffled(order: list[int], seed: int) -> list[int]:
    order = order[:]
    random.Random(seed).shuffle(order)
    return order


@pytest.mark.parametrize("seed", range(20))
def test_steps_said_to_stay_do_stay(seed: int) -> None:
    job, _ = make_job(_strip(_cut(40, 60, 40, seed) * 2, 40, Turn.FREE, 100))
    plate = job.plates[0]
    filler = Filler(job, plate, 0)
    order = _shuffled(RollSearch(job, plate, 0).first_orders()[0], seed)
    base = filler.fill(order, [70, 50], None, 0, filler.total)
    assert base is not None
    chance = random.Random(seed)
    for _ in range(30):
        near, far = sorted(chance.sample(range(len(order)), 2))
        other = order[:]
        other[near], other[far] = other[far], other[near]
        if order[near] == order[far]:
            continue
        same = filler.same_steps(base, near, far)
        short = filler.fill(other, [70, 50], base, same, filler.total)
        whole = filler.fill(other, [70, 50], None, 0, filler.total)
        assert short is not None
        assert whole is not None
        assert [s.place for s in short.steps] == [s.place for s in whole.steps]
        assert short.out == whole.out


@pytest.mark.parametrize("seed", range(20))
def test_plain_and_compiled_fill_alike(seed: int) -> None:
    turn = Turn.FREE if seed % 2 else Turn.LOCKED
    job, _ = make_job(_strip(_cut(40, 60, 50, seed), 40, turn, 100))
    plate = job.plates[0]
    search = CompiledSearch(job, plate, 0)
    filler = search.filler
    order = _shuffled(search.first_orders()[0], seed)
    plain = filler.fill(order, [55], None, 0, filler.total)
    assert plain is not None
    parts = len(order)
    places = np.zeros((parts, 3), dtype=np.int64)
    out, _ = fill_strip(
        np.array(order),
        search.sides,
        np.array([40, 55, filler.total, filler.slack, filler.unit]),
        search.fillable,
        filler.total,
        places,
        np.zeros(parts + 1, dtype=np.int64),
        np.zeros((parts + 2, 3), dtype=np.int64),
    )
    lying = {step.place[0]: (*step.place[2:4], int(step.place[4])) for step in plain.steps}
    assert out == plain.out
    assert lying == {n: tuple(row) for n, row in enumerate(places.tolist()) if row[0] >= 0}


def test_same_order_same_strip() -> None:
    order = _strip(_cut(40, 60, 30, 1), 40, Turn.LOCKED, MUCH)
    assert nest(order) == nest(replace(order))
