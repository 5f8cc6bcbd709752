"""A piece that fits no stock is told the smallest that would do, its zones where they are."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from layouts.nest import (
    Cutting,
    KeepOut,
    Margins,
    NestRequest,
    Piece,
    RollStock,
    SheetStock,
    Turn,
    nest,
)


def least(piece: Piece, stock: SheetStock | RollStock, gap: int = 0) -> tuple[int, int]:
    """Width and length of the smallest stock that the nester names."""
    found = nest(NestRequest((piece,), (stock,), gap, Cutting.FREE, 0))
    return found.unplaced[0].width_um, found.unplaced[0].height_um


def grown(stock: SheetStock | RollStock, width: int, length: int) -> SheetStock | RollStock:
    """The stock in another size."""
    if isinstance(stock, RollStock):
        return replace(stock, width_um=width, frame_um=length)
    return replace(stock, width_um=width, height_um=length)


def fits(piece: Piece, stock: SheetStock | RollStock, gap: int) -> bool:
    return not nest(NestRequest((piece,), (stock,), gap, Cutting.FREE, 0)).unplaced


def test_a_zone_across_the_middle_asks_for_length_behind_it() -> None:
    """By hand: 10 x 10 with a band from 4 to 6; 6 high begins behind the band, so 12 are needed."""
    stock = SheetStock("s", 10, 10, keep_outs=(KeepOut(0, 4, 10, 2),))
    piece = Piece("p", 10, 6, 1, Turn.LOCKED)
    assert least(piece, stock) == (10, 12)


def test_a_clamp_in_the_corner_costs_the_cheaper_side() -> None:
    """By hand: a clamp of 1 x 3 at the corner; beside it 1 + 9 wide is less than 3 + 9 long."""
    stock = SheetStock("s", 9, 9, keep_outs=(KeepOut(0, 0, 1, 3),))
    assert least(Piece("p", 9, 9, 1), stock) == (10, 9)


@pytest.mark.parametrize("seed", range(60))
def test_the_stock_named_does_and_no_smaller_one(seed: int) -> None:
    """Every smaller area, tried one by one, leaves the piece out."""
    chance = random.Random(seed)
    zones = tuple(
        KeepOut(chance.randint(0, 8), chance.randint(0, 8), chance.randint(1, 4), 2)
        for _ in range(chance.randint(1, 3))
    )
    margins = Margins(*(chance.randint(0, 2) for _ in range(4)))
    gap = chance.choice((0, 1))
    stock: SheetStock | RollStock = SheetStock("s", 12, 12, margins, zones)
    if seed % 2:
        stock = RollStock("r", 12, margins, 12, leader_um=1, keep_outs=zones)
    turn = chance.choice((Turn.FREE, Turn.LOCKED))
    piece = Piece("p", chance.randint(6, 14), chance.randint(6, 14), 1, turn)
    if fits(piece, stock, gap):
        return
    width, length = least(piece, stock, gap)
    assert fits(piece, grown(stock, width, length), gap)
    smaller = [(w, h) for w in range(12, 36) for h in range(12, 36) if w * h < width * length]
    assert not any(fits(piece, grown(stock, w, h), gap) for w, h in smaller)
