"""Ids of pieces: one each, kept when a list moves or grows, and carried by a part of an order."""

from __future__ import annotations

import random
import re
from pathlib import Path

from layouts.markers.piece_ids import PlacedPiece, placed_pieces
from layouts.markers.positions import part_of
from layouts.order.normal import normalize, order_json
from layouts.order.order import Order
from render.decide import decide
from render.folder.compare import diff
from render.read import read
from tests.folder.conftest import LIQUID, OPTIONS, ROWS, SUCTION, order_of, with_place, with_spec


def pieces(order: Order) -> tuple[PlacedPiece, ...]:
    return placed_pieces(decide(normalize(order), OPTIONS).gathered.markers)


def ids(order: Order) -> set[str]:
    return {piece.id for piece in pieces(order)}


def test_every_piece_has_one_id_that_people_can_read() -> None:
    # 3 on HTRS, 2 positions on both sides of HPL, 4 on HSD, a valve and a vessel
    found = [piece.id for piece in pieces(order_of())]
    assert len(found) == len(set(found)) == 3 + 4 + 4 + 1 + 1
    # Crockford's base 32 (2002) leaves out I, L, O and U
    assert all(re.fullmatch(r"[A-Z][0-9A-HJKMNP-TV-Z]{6}(-\d+)?", each) for each in found)
    assert not any(set("ILOU") & set(each) for each in found)


def test_the_order_of_the_rows_and_what_hangs_there_change_no_id() -> None:
    rows = list(ROWS)
    random.Random(1).shuffle(rows)
    assert ids(order_of(rows)) == ids(order_of())
    again = [with_spec(SUCTION, flow="right", covering="2 in"), *ROWS[1:]]
    assert ids(order_of(again)) == ids(order_of())


def test_more_at_a_place_keep_the_ids_of_those_that_hang() -> None:
    more = [with_place(SUCTION, qty=5), *ROWS[1:]]
    assert ids(order_of()) < ids(order_of(more))
    assert len(ids(order_of(more)) - ids(order_of())) == 2


def test_another_place_is_another_id() -> None:
    moved = [with_place(SUCTION, location="bay 3"), *ROWS[1:]]
    assert len(ids(order_of()) & ids(order_of(moved))) == 13 - 3


def test_a_part_of_an_order_carries_the_ids_of_its_pieces() -> None:
    whole = normalize(order_of([LIQUID, SUCTION]))
    found = placed_pieces(decide(whole, OPTIONS).gathered.markers)
    for seed in range(12):
        chosen = random.Random(seed).sample(found, 4)
        part = part_of(whole, (piece.hanging for piece in chosen))
        assert part is not None
        assert ids(part) == {piece.id for piece in chosen}


def test_ids_come_back_from_the_order_file(tmp_path: Path) -> None:
    whole = normalize(order_of([SUCTION]))
    found = placed_pieces(decide(whole, OPTIONS).gathered.markers)
    part = part_of(whole, (piece.hanging for piece in found[1:]))
    assert part is not None
    (tmp_path / "order.json").write_bytes(order_json(part))
    again = read(tmp_path / "order.json").order
    assert again is not None
    assert order_json(again) == order_json(part)
    assert ids(again) == {piece.id for piece in found[1:]}


def test_a_difference_asks_for_the_pieces_that_are_new() -> None:
    old, new = order_of([SUCTION]), order_of([with_place(SUCTION, qty=5)], revision="B")
    wanted = diff(old, new, OPTIONS).order
    assert wanted is not None
    assert ids(wanted) == ids(new) - ids(old)
