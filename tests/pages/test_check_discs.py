"""Round tags on a sheet: the judge measures from rim to rim, by plane geometry."""

from __future__ import annotations

from dataclasses import replace

import pytest

from layouts.drawing.typeset import Typesetter
from layouts.face import compose
from layouts.order.order import ValveTag
from layouts.pages.margin import SheetText
from layouts.plan import plan
from layouts.schemes.loader import load_scheme
from layouts.sheets.pieces import Wanted
from layouts.sheets.planning import plan_sheets
from layouts.sheets.sheetplan import SheetPlan
from layouts.sheets.stock import Printer
from layouts.terms.words import PartRole
from render.read.fonts import default_typefaces
from render.shop.shopfile import load_shop
from tests.helpers.sheet_pages import assemble, check_sheets


@pytest.fixture(scope="module")
def tags() -> SheetPlan:
    spec = ValveTag.model_validate(
        {"kind": "valve", "tag": "HV-1", "service": "HPL", "shape": "round"}
    )
    plans, _ = plan(spec, {"ammonia-2014": load_scheme("ammonia-2014")}, "ammonia-2014")
    (part,) = compose(plans[0].design, default_typefaces()).parts
    assert part.round
    shop = load_shop()
    (stock, *_) = shop.of_role(PartRole.TAG)
    group, left = plan_sheets("tag-1", (stock,), PartRole.TAG, "tag", [Wanted("A", part, 20)])
    assert not left
    return group


def faults_of(group: SheetPlan) -> tuple[str, ...]:
    text = SheetText("t", ())
    document = assemble(group, text, Printer(), Typesetter(default_typefaces().text))
    return check_sheets(group, document)


def moved(group: SheetPlan, index: int, dx: float, dy: float) -> SheetPlan:
    sheet = group.sheets[0]
    placed = list(sheet.placed)
    placed[index] = replace(placed[index], x=placed[index].x + dx, y=placed[index].y + dy)
    return replace(group, sheets=(replace(sheet, placed=tuple(placed)), *group.sheets[1:]))


def test_round_tags_as_nested_are_clean(tags: SheetPlan) -> None:
    assert faults_of(tags) == ()


def test_a_round_tag_pushed_onto_its_neighbor_is_found(tags: SheetPlan) -> None:
    first = tags.sheets[0].placed[0]
    near = min(
        range(1, len(tags.sheets[0].placed)),
        key=lambda n: (
            abs(tags.sheets[0].placed[n].x - first.x) + abs(tags.sheets[0].placed[n].y - first.y)
        ),
    )
    other = tags.sheets[0].placed[near]
    dx, dy = (first.x - other.x) * 0.1, (first.y - other.y) * 0.1
    assert any("are closer than" in fault for fault in faults_of(moved(tags, near, dx, dy)))


def test_two_discs_may_lie_in_each_others_boxes(tags: SheetPlan) -> None:
    size = tags.parts["A"].size.width + tags.stock.gap
    sheet = tags.sheets[0]
    first = replace(sheet.placed[0], x=100.0, y=100.0)
    # Rims exactly one gap apart along a diagonal: the boxes overlap by 29 percent of a side.
    second = replace(first, x=100.0 + size / 2**0.5, y=100.0 + size / 2**0.5)
    apart = replace(sheet, placed=(first, second), copies=1)
    two = replace(tags, sheets=(apart,), quantities={"A": 2})
    assert faults_of(two) == ()
    nearer = replace(second, x=second.x - 0.05)
    close = replace(two, sheets=(replace(apart, placed=(first, nearer)),))
    assert any("are closer than" in fault for fault in faults_of(close))
