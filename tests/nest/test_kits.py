"""Kits on random orders of every kind: nothing lost, each kit whole, the price as it is."""

from __future__ import annotations

import random
from collections import Counter

import pytest

from layouts.nest import Cutting, RollStock, SheetStock, judge_nest, nest
from layouts.nest.model import Margins, NestRequest, Piece
from layouts.sheets.areas import KitNest, nest_kits
from tests.nest.orders import any_order, request, sheet

Kits = dict[str, dict[int, int]]


def dealt(order: NestRequest, names: str, seed: int) -> Kits:
    """Every piece wanted, dealt to the kits at random."""
    rng = random.Random(seed)
    kits: Kits = {name: {} for name in names}
    for index, piece in enumerate(order.pieces):
        for _ in range(piece.demand):
            kit = kits[rng.choice(names)]
            kit[index] = kit.get(index, 0) + 1
    return kits


def made(found: KitNest) -> Counter[tuple[str, int]]:
    counts: Counter[tuple[str, int]] = Counter()
    for arrangement, names in zip(found.nest.arrangements, found.kits, strict=True):
        for slot, name in zip(arrangement.slots, names, strict=True):
            counts[name, slot.piece] += arrangement.copies
    return counts


@pytest.mark.parametrize("seed", range(40))
def test_a_kit_nest_passes_the_judge_and_loses_nothing(seed: int) -> None:
    order = any_order(seed, 10)
    kits = dealt(order, "abc", seed)
    found = nest_kits(order, kits)
    assert judge_nest(order, found.nest) == ()
    wanted = Counter({(kit, n): count for kit, own in kits.items() for n, count in own.items()})
    if not found.nest.unplaced:
        assert made(found) == wanted
    assert made(found) <= wanted


def test_on_a_roll_one_kit_comes_after_the_other() -> None:
    roll = RollStock("roll", 100, Margins(), 1000)
    order = NestRequest((Piece("a", 50, 20, 12),), (roll,), 0, Cutting.FREE)
    found = nest_kits(order, {"a": {0: 4}, "b": {0: 8}})
    (frame,) = found.nest.arrangements
    # By hand: two side by side, so the first kit ends at 40 and the second at 120.
    ends = {
        kit: max(s.y_um + 20 for s, k in zip(frame.slots, found.kits[0], strict=True) if k == kit)
        for kit in "ab"
    }
    assert ends == {"a": 40, "b": 120}
    assert (found.price_sheets, found.price_length_um) == (0, 0)


def test_a_kit_that_fills_half_a_sheet_shares_it() -> None:
    # By hand: each kit fills a strip of 10 on sheets of 20 x 20; together they take two sheets,
    # and apart they would take four.
    order = request([(10, 10, 8)], sheet(20, 20))
    found = nest_kits(order, {name: {0: 2} for name in "abcd"})
    assert found.nest.sheets == 2
    assert found.price_sheets == 0
    assert all(len(set(kits)) == 2 for kits in found.kits)


def test_where_the_stock_is_limited_each_kit_takes_its_own_and_no_more_than_there_is() -> None:
    stocks = (SheetStock("few", 20, 20, limit=1), SheetStock("many", 20, 40, cost=3))
    order = NestRequest((Piece("a", 10, 10, 8),), stocks, 0, Cutting.GUILLOTINE)
    found = nest_kits(order, {"a": {0: 4}, "b": {0: 4}})
    assert judge_nest(order, found.nest) == ()
    assert Counter(a.stock for a in found.nest.arrangements) == {"few": 1, "many": 1}
    assert found.price_sheets == found.nest.sheets - nest(order).sheets
