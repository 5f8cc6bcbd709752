"""Strips: sets cut at random from a full strip, whose least height is known by construction."""

import random
from dataclasses import replace

import pytest

from layouts.nest import Cutting, Margins, NestRequest, RollStock, Turn, judge_nest, nest
from layouts.nest.problem import make_problem
from layouts.nest.sequence_fill import SequenceFiller
from layouts.nest.shorten import GoalLengths
from tests.nest.orders import request

Size = tuple[int, int]


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


def _strip(sizes: list[Size], width: int, turn: Turn, frame: int = 1000) -> NestRequest:
    roll = RollStock("strip", width, Margins(), frame)
    wanted = [(w, h, 1) for w, h in sizes]
    return request(wanted, roll, cutting=Cutting.FREE, turn=turn)


def _judged_length(order: NestRequest) -> int:
    found = nest(order)
    assert judge_nest(order, found) == ()
    assert not found.unplaced
    return found.length_um


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("turn", [Turn.FREE, Turn.LOCKED])
def test_a_cut_up_strip_is_put_together_again(seed: int, turn: Turn) -> None:
    # Within 5 percent of the least height, our own limit: some tenths of a second of search.
    assert 60 <= _judged_length(_strip(_cut(40, 60, 30, seed), 40, turn)) <= 63


def test_a_ring_of_four_round_a_fifth() -> None:
    # Worked by hand: 2 x 1 and 1 x 2, twice each, round a 1 x 1 fill 3 x 3. Straight cuts cannot.
    ring = [(2, 1), (1, 2), (2, 1), (1, 2), (1, 1)]
    assert _judged_length(_strip(ring, 3, Turn.LOCKED)) == 3


def test_two_frames_share_what_one_cannot_hold() -> None:
    # Worked by hand: eight 5 x 4 on a roll of 10 in frames of 8 fill two frames of 8.
    assert _judged_length(_strip([(5, 4)] * 8, 10, Turn.FREE, frame=8)) == 16


def _shuffled(order: list[int], seed: int) -> list[int]:
    order = order[:]
    random.Random(seed).shuffle(order)
    return order


@pytest.mark.parametrize("seed", range(20))
def test_steps_said_to_stay_do_stay(seed: int) -> None:
    problem, _ = make_problem(_strip(_cut(40, 60, 40, seed) * 2, 40, Turn.FREE))
    bin_ = problem.bins[0]
    filler = SequenceFiller(problem, bin_, 0)
    order = _shuffled(GoalLengths(problem, bin_, 0).first_orders()[0], seed)
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


def test_same_order_same_strip() -> None:
    order = _strip(_cut(40, 60, 30, 1), 40, Turn.LOCKED)
    assert nest(order) == nest(replace(order))
