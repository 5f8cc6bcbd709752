"""The judge measures as a ruler would: gaps, edges, zones and cuts at their last micrometer.

Distances are held against a count of unit squares, and against Pythagoras where discs lie.
"""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest

from layouts.nest import (
    Arrangement,
    Cutting,
    KeepOut,
    Margins,
    Nest,
    NestRequest,
    Piece,
    RollStock,
    SheetStock,
    Slot,
    Turn,
    judge_nest,
)
from layouts.nest.model import Bound, CutStep

NOTHING_PROVEN = Bound("area", sheets=0, length_um=0, cost=0)
BIG = SheetStock("sheet", 60, 60)


def layout_faults(
    pieces: tuple[Piece, ...],
    slots: tuple[Slot, ...],
    stock: SheetStock | RollStock = BIG,
    *,
    gap: int = 0,
    length: int = 60,
    cutting: Cutting = Cutting.FREE,
    cuts: tuple[CutStep, ...] = (),
) -> tuple[str, ...]:
    order = NestRequest(pieces, (stock,), gap, cutting)
    one = Arrangement(stock.key, 1, slots, stock.width_um, length, cuts)
    return judge_nest(order, Nest((one,), (), NOTHING_PROVEN))


def cells(slot: Slot, piece: Piece, grown: int = 0) -> set[tuple[int, int]]:
    """The unit squares that a piece covers, with those nearer than a distance along either axis."""
    width, height = piece.width_um, piece.height_um
    if slot.turned:
        width, height = height, width
    across = range(slot.x_um - grown, slot.x_um + width + grown)
    down = range(slot.y_um - grown, slot.y_um + height + grown)
    return set(itertools.product(across, down))


@pytest.mark.parametrize("gap", [0, 1, 3])
@pytest.mark.parametrize("sizes", [((4, 2), (3, 5)), ((2, 6), (2, 2))])
def test_two_pieces_are_too_near_where_one_reaches_into_the_others_gap(
    gap: int, sizes: tuple[tuple[int, int], tuple[int, int]]
) -> None:
    one, two = (Piece(name, *size, 1) for name, size in zip("ab", sizes, strict=True))
    first = Slot(0, 20, 20)
    seen = set()
    for x, y in itertools.product(range(12, 32), repeat=2):
        second = Slot(1, x, y)
        near = bool(cells(first, one, gap) & cells(second, two))
        seen.add(near)
        found = layout_faults((one, two), (first, second), gap=gap)
        assert found == (
            ("arrangement 1: pieces a and b overlap or lie nearer than the gap",)
            if near and x >= 20
            else ("arrangement 1: pieces b and a overlap or lie nearer than the gap",)
            if near
            else ()
        )
    assert seen == {True, False}


@pytest.mark.parametrize("gap", [0, 2])
def test_discs_are_apart_by_the_distance_of_their_centers(gap: int) -> None:
    # Radii 5 and 3 a gap apart: with centers 8 + gap away, by Pythagoras on whole numbers.
    big, small = Piece("big", 10, 10, 1, round=True), Piece("small", 6, 6, 1, round=True)
    seen = set()
    for dx, dy in itertools.product(range(-14, 15), repeat=2):
        slots = (Slot(0, 20, 20), Slot(1, 25 + dx - 3, 25 + dy - 3))
        near = dx**2 + dy**2 < (8 + gap) ** 2
        seen.add(near)
        assert bool(layout_faults((big, small), slots, gap=gap)) is near, (dx, dy)
    assert seen == {True, False}


def test_a_disc_beside_a_rectangle_is_measured_by_its_box() -> None:
    disc, plate = Piece("disc", 10, 10, 1, round=True), Piece("plate", 10, 10, 1)
    # Corner to corner the disc's rim is two micrometers away, and its box overlaps by one.
    assert layout_faults((disc, plate), (Slot(0, 0, 0), Slot(1, 9, 9)))
    assert not layout_faults((disc, plate), (Slot(0, 0, 0), Slot(1, 10, 9)))


MARGINS = Margins(left_um=3, right_um=4, top_um=5, bottom_um=6)
ROLL = RollStock("roll", 40, MARGINS, 60, leader_um=7, trailer_um=8)


@pytest.mark.parametrize(
    ("stock", "length", "left", "top", "right", "bottom"),
    [
        (SheetStock("sheet", 40, 50, MARGINS), 50, 3, 5, 36, 44),
        # A frame begins after the roll's leader and ends before its trailer.
        (ROLL, 50, 3, 12, 36, 36),
    ],
)
def test_a_piece_may_touch_each_margin_and_not_cross_it(
    stock: SheetStock | RollStock, length: int, left: int, top: int, right: int, bottom: int
) -> None:
    piece = (Piece("a", 10, 6, 1),)
    ends = (left, right - 10), (top, bottom - 6)
    for x, y in itertools.product(*ends):
        assert not layout_faults(piece, (Slot(0, x, y),), stock, length=length)
    for x, y in [(left - 1, 20), (right - 9, 20), (left, top - 1), (left, bottom - 5)]:
        found = layout_faults(piece, (Slot(0, x, y),), stock, length=length)
        assert found == (f"arrangement 1: piece a at {x}, {y} is over the edge",)


def test_a_turned_piece_is_measured_as_it_lies() -> None:
    piece, stock = (Piece("a", 10, 6, 1),), SheetStock("sheet", 40, 50, MARGINS)
    assert not layout_faults(piece, (Slot(0, 30, 34, turned=True),), stock, length=50)
    assert layout_faults(piece, (Slot(0, 31, 34, turned=True),), stock, length=50)
    assert layout_faults(piece, (Slot(0, 30, 35, turned=True),), stock, length=50)


@pytest.mark.parametrize("turn", [Turn.LOCKED, Turn.HALF])
def test_a_quarter_turn_is_only_for_pieces_that_may_turn(turn: Turn) -> None:
    piece = (Piece("a", 10, 6, 1, turn),)
    assert not layout_faults(piece, (Slot(0, 5, 5),))
    turned = layout_faults(piece, (Slot(0, 5, 5, turned=True),))
    assert turned == ("arrangement 1: piece a turned, though it may not be",)


def test_a_piece_may_touch_a_keep_out_zone_and_not_enter_it() -> None:
    zone = KeepOut(20, 24, 6, 8)
    stock = replace(BIG, keep_outs=(zone,))
    piece = Piece("a", 5, 3, 1)
    barred = set(itertools.product(range(20, 26), range(24, 32)))
    for x, y in itertools.product(range(12, 30), range(18, 36)):
        on = bool(cells(Slot(0, x, y), piece) & barred)
        found = layout_faults((piece,), (Slot(0, x, y),), stock)
        assert bool(found) is on, (x, y)
        assert all("keep-out zone" in each for each in found)


def test_a_frame_of_a_roll_is_as_long_as_it_needs_and_never_longer_than_a_frame() -> None:
    piece, slot = (Piece("a", 10, 6, 1),), (Slot(0, 10, 20),)
    assert not layout_faults(piece, slot, ROLL, length=60)
    assert not layout_faults(piece, slot, ROLL, length=45)
    assert layout_faults(piece, slot, ROLL, length=61) == ("arrangement 1: length 61 above 60",)


def test_each_use_of_a_limited_stock_counts() -> None:
    stock = SheetStock("sheet", 10, 10, limit=3)
    order = NestRequest((Piece("a", 10, 10, 4),), (stock,), 0, Cutting.FREE)
    slots = (Slot(0, 0, 0),)

    def faults(*copies: int) -> tuple[str, ...]:
        made = tuple(Arrangement("sheet", each, slots, 10, 10) for each in copies)
        left = replace(order, pieces=(Piece("a", 10, 10, sum(copies)),))
        return judge_nest(left, Nest(made, (), NOTHING_PROVEN))

    assert faults(3) == faults(2, 1) == ()
    assert faults(4) == faults(2, 2) == ("stock sheet: 4 used of 3",)


SQUARE = tuple(Piece(name, 10, 10, 1) for name in "ab")
SIDE_BY_SIDE = (Slot(0, 0, 0), Slot(1, 12, 0))


def cut_faults(*cuts: CutStep, gap: int = 2) -> tuple[str, ...]:
    stock = SheetStock("sheet", 22, 10)
    cutting = Cutting.GUILLOTINE
    return layout_faults(
        SQUARE, SIDE_BY_SIDE, stock, gap=gap, length=10, cutting=cutting, cuts=cuts
    )


def test_the_cuts_are_made_on_a_blank_sheet_and_must_free_each_piece() -> None:
    first, second = CutStep(0, True, 10, 0, 10), CutStep(0, True, 12, 0, 10)
    assert cut_faults(first, second) == ()
    assert cut_faults(first) == ("arrangement 1: the cut sequence does not free 1 pieces",)
    assert cut_faults() == ("arrangement 1: the cut sequence does not free 2 pieces",)
    stray = "arrangement 1: a cut of the sequence does not run from edge to edge of a panel"
    # A cut along an edge parts nothing, and one made twice finds no panel any more.
    for cut in (
        CutStep(0, True, 0, 0, 10),
        CutStep(0, True, 22, 0, 10),
        CutStep(0, True, 10, 0, 9),
    ):
        assert cut_faults(cut) == (stray,)
    assert cut_faults(first, first) == (stray,)


def test_lying_cuts_are_made_too() -> None:
    stock = SheetStock("sheet", 10, 22)
    cuts = (CutStep(0, False, 10, 0, 10), CutStep(0, False, 12, 0, 10))
    slots = (Slot(0, 0, 0), Slot(1, 0, 12))

    def faults(*made: CutStep) -> tuple[str, ...]:
        return layout_faults(
            SQUARE, slots, stock, gap=2, length=22, cutting=Cutting.GUILLOTINE, cuts=made
        )

    assert faults(*cuts) == ()
    assert len(faults(cuts[0])) == 1
    assert len(faults(CutStep(0, False, 22, 0, 10))) == 1


def test_straight_cuts_must_part_the_layout_at_every_stage() -> None:
    stock = SheetStock("sheet", 20, 20)
    # Two rows, of which the second is parted by upright cuts, and then one half by a lying one.
    pieces = tuple(
        Piece(name, *size, 1)
        for name, size in zip("abcd", [(20, 10), (10, 10), (10, 5), (10, 5)], strict=True)
    )
    slots = (Slot(0, 0, 0), Slot(1, 0, 10), Slot(2, 10, 10), Slot(3, 10, 15))
    cuts = (
        CutStep(0, False, 10, 0, 20),
        CutStep(0, True, 10, 10, 20),
        CutStep(0, False, 15, 10, 20),
    )
    parted = layout_faults(pieces, slots, stock, length=20, cutting=Cutting.GUILLOTINE, cuts=cuts)
    assert parted == ()
    # The same on a contour cutter needs no cuts at all.
    assert layout_faults(pieces, slots, stock, length=20) == ()


def test_a_gap_that_is_too_narrow_for_a_straight_cut_is_said() -> None:
    # Three in a row: the middle one bridges both gaps with its length below the others.
    pieces = (Piece("a", 6, 4, 1), Piece("b", 4, 6, 1), Piece("c", 6, 4, 1), Piece("d", 4, 6, 1))
    slots = (Slot(0, 0, 0), Slot(1, 6, 0), Slot(2, 4, 6), Slot(3, 0, 4))
    stock = SheetStock("sheet", 10, 10)
    found = layout_faults(pieces, slots, stock, length=10, cutting=Cutting.GUILLOTINE)
    assert found == ("arrangement 1: cannot be parted by straight cuts from edge to edge",)


@pytest.mark.parametrize("down", [False, True])
def test_every_panel_of_a_cut_is_parted_in_its_turn(down: bool) -> None:
    """A pinwheel beside a piece that one cut frees: the pinwheel itself cannot be parted."""
    wheel = [((2, 3), (0, 0)), ((3, 2), (2, 0)), ((2, 3), (3, 2)), ((3, 2), (0, 3))]
    boxes = [*wheel, ((1, 1), (2, 2)), ((2, 5), (5, 0))]
    if down:
        boxes = [(size[::-1], place[::-1]) for size, place in boxes]
    pieces = tuple(Piece(f"p{n}", *size, 1) for n, (size, _) in enumerate(boxes))
    slots = tuple(Slot(n, *place) for n, (_, place) in enumerate(boxes))
    width, height = (5, 7) if down else (7, 5)
    stock = SheetStock("sheet", width, height)
    found = layout_faults(pieces, slots, stock, length=height, cutting=Cutting.GUILLOTINE)
    assert found == ("arrangement 1: cannot be parted by straight cuts from edge to edge",)
    assert layout_faults(pieces, slots, stock, length=height) == ()


def test_lower_edges_that_differ_are_no_cut() -> None:
    # The pinwheel with its pieces of other heights: no edge runs through, though each ends lower.
    pieces = (Piece("a", 4, 3, 1), Piece("b", 3, 5, 1), Piece("c", 4, 4, 1), Piece("d", 3, 4, 1))
    slots = (Slot(0, 0, 0), Slot(1, 4, 0), Slot(2, 3, 5), Slot(3, 0, 3))
    stock = SheetStock("sheet", 7, 9)
    found = layout_faults(pieces, slots, stock, length=9, cutting=Cutting.GUILLOTINE)
    assert found == ("arrangement 1: cannot be parted by straight cuts from edge to edge",)


@pytest.mark.parametrize("down", [False, True])
def test_a_cut_behind_two_stacked_pieces_is_found(down: bool) -> None:
    boxes = [((5, 5), (0, 0)), ((5, 5), (0, 5)), ((5, 10), (5, 0))]
    cuts = ((True, 5, 0, 10), (False, 5, 0, 5))
    if down:
        boxes = [(size[::-1], place[::-1]) for size, place in boxes]
        cuts = ((False, 5, 0, 10), (True, 5, 0, 5))
    pieces = tuple(Piece(f"p{n}", *size, 1) for n, (size, _) in enumerate(boxes))
    slots = tuple(Slot(n, *place) for n, (_, place) in enumerate(boxes))
    found = layout_faults(
        pieces,
        slots,
        SheetStock("sheet", 10, 10),
        length=10,
        cutting=Cutting.GUILLOTINE,
        cuts=tuple(CutStep(0, *each) for each in cuts),
    )
    assert found == ()
