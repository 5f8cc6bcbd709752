"""nest.json stands alone: its nests and bounds can be judged with nothing but the file."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from layouts.nest import (
    Arrangement,
    Bound,
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
from layouts.sheets.groups import lay_out
from layouts.sheets.stock import Knife, Shop
from render.decide import decide as planned
from render.options import Options
from render.read import read
from render.shop.shopfile import load_shop
from render.write.tables import nest_json


def read_group(table: dict[str, Any]) -> tuple[NestRequest, Nest]:
    """Request and answer of one group, free of cut sequences, which stand on the ticket."""
    pieces = tuple(
        Piece(
            str(n),
            each["width_um"],
            each["height_um"],
            each["parts"],
            Turn(each["turn"]),
            each["round"],
        )
        for n, each in enumerate(table["pieces"])
    )
    request = NestRequest(
        pieces,
        tuple(read_stock(each) for each in table["stocks"]),
        table["gap_um"],
        Cutting(table["cutting"]),
    )
    widths = {stock.key: stock.width_um for stock in request.stocks}
    arrangements = tuple(
        Arrangement(
            each["stock"],
            each["copies"],
            tuple(read_slot(text) for text in each["slots"].split()),
            widths[each["stock"]],
            each["length_um"],
        )
        for each in table["arrangements"]
    )
    return request, Nest(arrangements, (), read_bound(table["bound"]))


def read_piece(key: str, table: dict[str, Any]) -> Piece:
    size = table["width_um"], table["height_um"]
    return Piece(key, *size, table["parts"], Turn(table["turn"]), table["round"])


def read_stock(table: dict[str, Any]) -> SheetStock | RollStock:
    margins = Margins(*table["margins_um"])
    zones = tuple(KeepOut(*zone) for zone in table["keep_outs_um"])
    cost, limit = table["cost"], table["limit"]
    key, width = table["key"], table["width_um"]
    if "frame_um" in table:
        ends = table["leader_um"], table["trailer_um"]
        return RollStock(key, width, margins, table["frame_um"], *ends, zones, cost, limit)
    return SheetStock(key, width, table["height_um"], margins, zones, cost, limit)


def read_slot(text: str) -> Slot:
    piece, x, y, *turned = text.split(",")
    return Slot(int(piece), int(x), int(y), turned == ["t"])


def read_bound(table: dict[str, Any]) -> Bound:
    length = round(table["value"] * 1000) if table["unit"] == "mm" else 0
    sheets = 0 if table["unit"] == "mm" else table["value"]
    duals = tuple(table["duals"])
    return Bound(
        table["kind"], sheets, length, table["cost"], duals, table["scale"], table["grid_um"]
    )


@pytest.mark.parametrize("film", ["roll-54in", "sheet-48x96in"])
@pytest.mark.parametrize("knife", Knife)
def test_what_the_file_says_passes_the_judge(line_list: Path, film: str, knife: Knife) -> None:
    built_in = load_shop()
    shop = Shop(
        {key: replace(stock, knife=knife) for key, stock in built_in.stocks.items()},
        built_in.printer,
    )
    order = read(line_list).order
    assert order is not None
    order = order.model_copy(update={"stocks": order.stocks.model_copy(update={"film": film})})
    options = Options(shop)
    markers = planned(order, options, "").gathered.markers
    groups, _ = lay_out(markers, order, options.shop)
    for table, group in zip(json.loads(nest_json(groups))["groups"], groups, strict=True):
        request, answer = read_group(table)
        assert table["sheets_by_rows"] >= table["sheets"]
        assert table["cut_files"] == len(answer.arrangements)
        # Straight cuts are on the ticket and not in the file; without them all else is judged.
        judged = replace(request, cutting=Cutting.FREE)
        if answer.bound.kind != "guillotine":
            assert judge_nest(judged, answer) == ()
        with_cuts = tuple(
            replace(mine, cuts=theirs.cuts)
            for mine, theirs in zip(answer.arrangements, group.nest.arrangements, strict=True)
        )
        assert judge_nest(request, replace(answer, arrangements=with_cuts)) == ()
        fewer = replace(answer, arrangements=answer.arrangements[1:])
        assert any("accounted for" in fault for fault in judge_nest(judged, fewer))
        raised = replace(answer, bound=replace(answer.bound, cost=10 * answer.bound.cost + 10))
        assert any("is not proven" in fault for fault in judge_nest(judged, raised))
