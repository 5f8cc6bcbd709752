"""Long lists take short cuts; what is read and written is what the long way gives."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import xlsxwriter

from layouts.order.normal import order_json
from render.read import positions, read
from tests.bench.lists import write_list


def test_places_are_the_same_however_few_texts_are_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = write_list(tmp_path / "list.csv", 300)
    kept = read(path)
    monkeypatch.setattr(positions, "_MOST_KEPT", 3)
    assert read(path) == kept
    assert kept.order is not None
    assert kept.order.quantity == 300


def test_each_place_is_written_as_the_json_library_writes_it(tmp_path: Path) -> None:
    """Quotes, backslashes and accents, in every text that a place has."""
    row = 'pipe,CD,liquid,181,left,NPS 2,0,"rää ""m"" \\",l/1,\u2028x,P&ID,A,B,n'
    path = tmp_path / "list.csv"
    heads = "kind,service,state,pressure_psig,flow,pipe,covering_in"
    heads += ",area,line,location,drawing,from,to,note"
    path.write_text(f"{heads}\n{row}\n", "utf-8")
    order = read(path).order
    assert order is not None
    lines = [line for line in order_json(order).decode().split("\n") if line.startswith("  {")]
    assert lines
    for line in lines:
        place = json.loads(line.removesuffix(","))
        assert line.strip() == json.dumps(place, ensure_ascii=False, sort_keys=True)
        assert place["area"] == 'rää "m" \\'


def test_rows_out_of_order_are_written_in_order(tmp_path: Path) -> None:
    """Two kinds of row that come to the same marker: NPS 2 and 2 are one pipe size."""
    rows = [f"pipe,CD,liquid,181,left,{size},0,{n}" for n, size in enumerate(["NPS 2", "2"] * 3)]
    heads = "kind,service,state,pressure_psig,flow,pipe,covering_in,location"
    path = tmp_path / "list.csv"
    path.write_text("\n".join((heads, *rows)), "utf-8")
    order = read(path).order
    assert order is not None
    (item,) = order.items
    assert [place.row for place in item.positions] == [2, 3, 4, 5, 6, 7]


def test_a_sheet_that_starts_away_from_its_corner_keeps_rows_and_columns(tmp_path: Path) -> None:
    path = tmp_path / "list.xlsx"
    with xlsxwriter.Workbook(str(path)) as book:
        sheet = book.add_worksheet()
        sheet.write_row(3, 2, ("service", "state", "pressure_psig", "flow", "pipe", "covering_in"))
        sheet.write_row(5, 2, ("CD", "liquid", 181, "left", "NPS 2", 0))
        sheet.write_row(8, 2, ("CD", "liquid", 181, "left", "NPS 2", 0))
    reading = read(path)
    assert reading.order is not None
    assert not reading.findings
    assert [p.row for item in reading.order.items for p in item.positions] == [6, 9]
