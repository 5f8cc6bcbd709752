"""The judge sees each fault that is planted in a clean nest, and passes the clean one."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from layouts.nest import (
    Arrangement,
    Cutting,
    KeepOut,
    Margins,
    Nest,
    SheetStock,
    Slot,
    Turn,
    judge_nest,
    nest,
)
from tests.nest.orders import request

STOCK = SheetStock("sheet", 60, 40, Margins(2, 2, 2, 2), (KeepOut(50, 30, 5, 5),))
ORDER = request([(10, 8, 7), (20, 6, 3)], STOCK, gap=1)
CLEAN = nest(ORDER)


def _slots(change: Callable[[list[Slot]], list[Slot]]) -> Nest:
    first, *others = CLEAN.arrangements
    changed = replace(first, slots=tuple(change(list(first.slots))))
    return replace(CLEAN, arrangements=(changed, *others))


def _moved(dx: int, dy: int) -> Nest:
    return _slots(lambda s: [replace(s[0], x_um=s[0].x_um + dx, y_um=s[0].y_um + dy), *s[1:]])


def _first(**change: object) -> Nest:
    first, *others = CLEAN.arrangements
    changed: Arrangement = replace(first, **change)  # type: ignore[arg-type]
    return replace(CLEAN, arrangements=(changed, *others))


def test_the_clean_nest_passes() -> None:
    assert judge_nest(ORDER, CLEAN) == ()


@pytest.mark.parametrize(
    ("fault", "nested"),
    [
        ("over the edge", _moved(0, -8)),
        ("over the edge", _moved(100, 0)),
        ("nearer than the gap", _slots(lambda s: [*s[:1], replace(s[0]), *s[2:]])),
        ("nearer than the gap", _slots(lambda s: [*s[:-1], replace(s[-1], x_um=s[-2].x_um)])),
        ("accounted for", _slots(lambda s: s[1:])),
        ("accounted for", _first(copies=CLEAN.arrangements[0].copies + 1)),
        ("no copies", _first(copies=0)),
        ("unknown piece", _slots(lambda s: [*s, Slot(99, 0, 0)])),
        ("was not offered", _first(stock="other")),
        ("is not that of stock", _first(width_um=59)),
        ("is not that of stock", _first(length_um=41)),
        ("does not free", _first(cuts=())),
        ("edge to edge", _first(cuts=CLEAN.arrangements[0].cuts[1:])),
        ("is not proven", replace(CLEAN, bound=replace(CLEAN.bound, cost=99))),
        ("above the answer", replace(CLEAN, bound=replace(CLEAN.bound, sheets=99))),
    ],
)
def test_a_planted_fault_is_found(fault: str, nested: Nest) -> None:
    assert any(fault in found for found in judge_nest(ORDER, nested))


def test_keep_out_turn_and_limit_faults_are_found() -> None:
    locked = replace(ORDER, pieces=tuple(replace(p, turn=Turn.LOCKED) for p in ORDER.pieces))
    turned = _slots(lambda s: [replace(slot, turned=True) for slot in s])
    assert any("may not be" in fault for fault in judge_nest(locked, turned))
    blocked = replace(STOCK, keep_outs=(KeepOut(0, 0, 60, 40),))
    assert any("keep-out" in f for f in judge_nest(replace(ORDER, stocks=(blocked,)), CLEAN))
    none_left = replace(ORDER, stocks=(replace(STOCK, limit=0),))
    assert any("used of 0" in fault for fault in judge_nest(none_left, CLEAN))


def test_a_pinwheel_is_no_straight_cut_layout() -> None:
    order = request([(2, 3, 4), (1, 1, 1)], SheetStock("sheet", 5, 5))
    slots = (
        Slot(0, 0, 0),
        Slot(0, 2, 0, turned=True),
        Slot(0, 3, 2),
        Slot(0, 0, 3, turned=True),
        Slot(1, 2, 2),
    )
    pinwheel = Nest(
        (Arrangement("sheet", 1, slots, 5, 5),), (), replace(nest(order).bound, sheets=1, cost=1)
    )
    assert any("straight cuts" in fault for fault in judge_nest(order, pinwheel))


@pytest.mark.parametrize(
    ("kind", "sizes", "side", "cutting"),
    [
        ("bar", [(6, 6, 2), (1, 1, 1)], 10, Cutting.FREE),
        ("guillotine", [(3, 2, 4), (1, 1, 1)], 5, Cutting.GUILLOTINE),
    ],
)
def test_forged_prices_prove_nothing(
    kind: str, sizes: list[tuple[int, int, int]], side: int, cutting: Cutting
) -> None:
    order = request(sizes, SheetStock("sheet", side, side), cutting=cutting)
    found = nest(order)
    assert found.bound.kind == kind
    forged = replace(found.bound, duals=tuple(2 * d + 1 for d in found.bound.duals), cost=9)
    assert any("not proven" in f for f in judge_nest(order, replace(found, bound=forged)))
