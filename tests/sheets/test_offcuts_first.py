"""Offcuts: used where they save a sheet or roll length, else left on the shelf and named."""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import replace

import pytest

from layouts.drawing import Rect, Size, rectangle
from layouts.face.model import Part
from layouts.nest import cost_of
from layouts.papers.amounts import shelf_text
from layouts.sheets.offcuts import Group, plan_group
from layouts.sheets.pieces import Wanted
from layouts.sheets.sheetplan import SheetPlan
from layouts.sheets.stock import Stock, StockForm
from layouts.terms.words import PartRole
from render.shop.offcuts import offcut_of
from render.shop.shopfile import load_shop

PLATE = replace(load_shop().stocks["plate-48x96in"], margin=10.0, gap=2.0)


def wanted(name: str, width: float, height: float, quantity: int) -> Wanted:
    size = Size(width, height)
    outline = rectangle(Rect(0.0, 0.0, width, height))
    return Wanted(name, Part(PartRole.PLATE, size, outline, None, (), 0.0), quantity)


def offcut(number: int, width: float, length: float, of: Stock = PLATE) -> Stock:
    return replace(offcut_of(of, f"offcut-{number}", width, length), sheets=1)


def group(parts: list[Wanted]) -> Group:
    return Group(PartRole.PLATE, 1, "plate", parts, False)


def whole_cost(plans: tuple[SheetPlan, ...]) -> int:
    return sum(cost_of(plan.request, plan.nest) for plan in plans if not plan.is_offcut)


def test_an_offcut_that_saves_no_sheet_stays_on_the_shelf() -> None:
    parts = [wanted("A", 300, 200, 4)]
    plans, findings = plan_group(group(parts), [PLATE], [offcut(1, 320, 220)])
    (plan,) = plans
    assert not findings
    assert (plan.key, plan.is_offcut, plan.copies) == ("plate-1", False, 1)
    assert shelf_text(plan) == (
        "left on the shelf because it would save no sheet: offcut 320 x 220 mm of 48 x 96 in plate"
    )


def test_an_offcut_that_saves_the_only_sheet_is_used_alone() -> None:
    """Four of 300 x 200 lie on 640 x 440; the smaller offcut is not needed besides."""
    parts = [wanted("A", 300, 200, 4)]
    plans, _ = plan_group(group(parts), [PLATE], [offcut(1, 320, 220), offcut(2, 640, 440)])
    (plan,) = plans
    assert plan.is_offcut
    assert {sheet.stock.key for sheet in plan.sheets} == {"offcut-2"}
    assert [each.key for each in plan.shelved] == ["offcut-1"]


def test_offcuts_count_where_only_together_they_save_a_sheet() -> None:
    parts = [wanted("A", 300, 200, 4)]
    plans, _ = plan_group(group(parts), [PLATE], [offcut(1, 320, 430), offcut(2, 320, 430)])
    (plan,) = plans
    assert (plan.is_offcut, plan.copies, plan.shelved) == (True, 2, ())


def test_every_offcut_saves_roll_length() -> None:
    roll = replace(PLATE, key="roll", form=StockForm.ROLL, width=620.0, length=3000.0)
    parts = [wanted("A", 300, 200, 9)]
    plans, _ = plan_group(group(parts), [roll], [offcut(1, 320, 220, roll)])
    assert [plan.key for plan in plans] == ["plate-1", "plate-2"]
    assert plans[1].nest.length_um < plan_group(group(parts), [roll], [])[0][0].nest.length_um


@pytest.mark.parametrize("seed", range(20))
def test_nothing_lost_and_never_more_sheets(seed: int) -> None:
    chance = random.Random(seed)
    small = replace(PLATE, width=600.0, length=900.0)
    parts = [
        wanted(f"P{n}", chance.randint(80, 500), chance.randint(60, 300), chance.randint(1, 5))
        for n in range(5)
    ]
    offcuts = [
        offcut(n, chance.randint(100, 600), chance.randint(100, 900), small) for n in range(3)
    ]
    plans, findings = plan_group(group(parts), [small], offcuts)
    assert not findings
    made: Counter[str] = Counter()
    for plan in plans:
        for sheet in plan.sheets:
            for each in sheet.placed:
                made[each.name] += sheet.copies
    assert made == {each.name: each.quantity for each in parts}
    without = whole_cost(plan_group(group(parts), [small], [])[0])
    used = {sheet.stock.key for plan in plans if plan.is_offcut for sheet in plan.sheets}
    assert whole_cost(plans) < without if used else whole_cost(plans) == without
    assert {each.key for each in plans[-1].shelved} == {each.key for each in offcuts} - used
