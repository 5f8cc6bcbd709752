"""Kits kept together, discs in hexagonal rows, several stocks."""

from layouts.nest import (
    Cutting,
    Margins,
    NestRequest,
    Piece,
    SheetStock,
    judge_nest,
    nest,
)
from layouts.nest.discs import hexagonal_places
from layouts.sheets.areas import nest_kits
from tests.nest.orders import request, sheet


def test_hexagonal_rows_hold_more_discs() -> None:
    # 10 x 10 with discs of 1: a grid holds 100, hexagonal rows of 10 and 9 hold 105 (11 rows).
    # Source: the classic count, e.g. E. Specht's tables of circles in a square (n = 105 > 100).
    assert len(hexagonal_places(1000, 10_000, 10_000)) == 105


def test_discs_nest_only_for_a_contour_cutter() -> None:
    disc = (Piece("tag", 1000, 1000, 210, round=True),)
    stock = (SheetStock("s", 10_000, 10_000),)
    free = NestRequest(disc, stock, 0, Cutting.FREE)
    straight = NestRequest(disc, stock, 0, Cutting.GUILLOTINE)
    assert judge_nest(free, nest(free)) == ()
    assert judge_nest(straight, nest(straight)) == ()
    assert (nest(free).sheets, nest(straight).sheets) == (2, 3)


def test_kits_stay_together_and_tell_their_price() -> None:
    order = request([(10, 4, 12), (6, 4, 12)], sheet(20, 20))
    kits = {"boiler house": {0: 7, 1: 3}, "cold store": {0: 5, 1: 9}}
    found = nest_kits(order, kits)
    assert judge_nest(order, found.nest) == ()
    assert found.price_sheets == found.nest.sheets - nest(order).sheets
    for kit, wanted in kits.items():
        made = {0: 0, 1: 0}
        for arrangement, names in zip(found.nest.arrangements, found.kits, strict=True):
            for slot, name in zip(arrangement.slots, names, strict=True):
                made[slot.piece] += arrangement.copies * (name == kit)
        assert made == wanted


def test_cheap_limited_sheets_go_first() -> None:
    # An offcut of 10 x 10 at no great cost takes four; the other four need one full sheet.
    stocks = (
        SheetStock("offcut", 10, 10, cost=1, limit=1),
        SheetStock("full", 10, 20, Margins(), cost=10),
    )
    order = NestRequest((Piece("a", 5, 5, 12),), stocks, 0, Cutting.GUILLOTINE)
    found = nest(order)
    assert judge_nest(order, found) == ()
    assert {a.stock: a.copies for a in found.arrangements} == {"offcut": 1, "full": 1}


def test_short_stock_takes_all_it_can() -> None:
    """By hand: four of 30 x 20 lie on 60 x 40, none of them turned."""
    short = SheetStock("offcut", 60, 40, limit=1)
    found = nest(NestRequest((Piece("a", 30, 20, 5),), (short,), 0, Cutting.FREE))
    assert [len(sheet.slots) for sheet in found.arrangements] == [4]
    assert [rest.count for rest in found.unplaced] == [1]
