"""A large order cut straight says that loops are compiled, before any nest is at work."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from layouts.sheets.stock import Knife, Shop
from render.job import nest_order
from render.options import Options
from render.read import read
from render.shop.shopfile import load_shop
from tests.helpers.command import PIPE, write_list


@pytest.mark.parametrize(("knife", "compiled"), [(Knife.STRAIGHT, True), (Knife.CONTOUR, False)])
def test_only_straight_cuts_of_many_parts_compile(
    knife: Knife, compiled: bool, tmp_path: Path
) -> None:
    # Equal parts: the first answer is at its bound, so that no search takes time.
    heard: list[str] = []

    def progress(hop: str, done: int = 0, total: int = 0) -> None:
        heard.append(hop)

    built_in = load_shop()
    stocks = {key: replace(stock, knife=knife) for key, stock in built_in.stocks.items()}
    order = read(write_list(tmp_path / "list.csv", [{**PIPE, "qty": "400"}])).order
    assert order is not None
    order = order.model_copy(
        update={"stocks": order.stocks.model_copy(update={"film": "sheet-48x96in"})}
    )
    nest_order(order, Options(Shop(stocks, built_in.printer), progress=progress))
    hops = list(dict.fromkeys(heard))
    assert hops == ["planning", "nesting", *(["compiling"] if compiled else [])]
    assert heard[-1] == "nesting"
