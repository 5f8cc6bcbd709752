"""Groups of stocks, offcuts and keep-out zones of a shop's file, and each fault of them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from layouts.drawing import Rect
from layouts.sheets.stock import Shop, StockForm
from layouts.terms.errors import InputError
from render.read import one_marker
from render.shop.listing import shelf, shelf_json, shelf_lines
from render.shop.offcuts import with_offcuts
from render.shop.shopfile import load_shop

SMALL = """
[[stocks]]
key = "small"
title = "small sheet"
form = "sheet"
width = "24 in"
length = "48 in"
margin = "1/2 in"
group = "sheets"
"""
LARGE = (
    SMALL.replace("small", "large").replace("24 in", "48 in").replace('"48 in"\nma', '"96 in"\nma')
)
OFFCUT = """
[[offcuts]]
of = "small"
material = "vinyl film"
width = "300 mm"
length = "600 mm"
"""


def shop(tmp_path: Path, text: str) -> Shop:
    path = tmp_path / "shop.toml"
    path.write_text(text)
    return load_shop(path)


def faults(tmp_path: Path, text: str) -> list[tuple[str, str]]:
    with pytest.raises(InputError) as caught:
        shop(tmp_path, text)
    return [(each.place.field, each.what) for each in caught.value.findings]


def test_a_group_stands_for_its_stocks(tmp_path: Path) -> None:
    own = shop(tmp_path, SMALL + LARGE)
    assert [stock.key for stock in own.named("sheets")] == ["small", "large"]
    assert [stock.key for stock in own.named("small")] == ["small"]
    assert own.named("none") == own.named("") == ()


@pytest.mark.parametrize(
    ("text", "field", "what"),
    [
        (SMALL + LARGE + "knife = 'straight'\n", "stock large, group", "another knife than small"),
        (SMALL + LARGE + "gap = '4 mm'\n", "stock large, group", "another gap than small"),
        (SMALL + LARGE + "cost = 12\n", "stock large, group", "one has a cost and the other has"),
        (SMALL.replace('"sheets"', '"small"'), "stock small, group", "has the name of a stock"),
        (SMALL + "cost = 0\n", "stocks 1 (small), cost", "out of range"),
        (SMALL + OFFCUT.replace('"small"', '"tiny"'), "offcuts 1, of", "no stock 'tiny'"),
        (SMALL + OFFCUT.replace("300 mm", "20 mm"), "offcuts 1", "all margin: 12.7 mm"),
        (
            SMALL + OFFCUT.replace('material = "vinyl film"\n', ""),
            "offcuts 1 (small), material",
            "missing",
        ),
        (SMALL + OFFCUT + "sheets = 0\n", "offcuts 1 (small), sheets", "out of range"),
        (
            SMALL + 'keep_outs = [{ x = "23 in", y = 0, width = "2 in", height = "1 in" }]\n',
            "stocks 1 (small)",
            "keep-out zone 1 is not on the sheet",
        ),
    ],
)
def test_each_fault_is_told_in_its_field(tmp_path: Path, text: str, field: str, what: str) -> None:
    ((found, said),) = faults(tmp_path, text)
    assert found == field
    assert what in said


def test_all_faults_come_at_once(tmp_path: Path) -> None:
    text = SMALL + LARGE + "gap = '4 mm'\n" + OFFCUT.replace('"small"', '"tiny"')
    assert len(faults(tmp_path, text)) == 2


def test_zones_and_offcuts_are_read(tmp_path: Path) -> None:
    zone = 'keep_outs = [{ x = "10 mm", y = 0, width = "1 in", height = "5 mm" }]\n'
    own = shop(tmp_path, SMALL + zone + OFFCUT + "sheets = 2\n")
    assert own.stocks["small"].keep_outs == (Rect(10, 0, 25.4, 5),)
    (offcut,) = own.offcuts
    assert (offcut.width, offcut.length, offcut.sheets) == (300, 600, 2)
    assert (offcut.form, offcut.offcut_of) == (StockForm.SHEET, "small")
    assert offcut.keep_outs == ()  # the clamps of a whole sheet are not where the offcut's are
    assert offcut.margin == own.stocks["small"].margin


def test_offcuts_of_the_command_line(tmp_path: Path) -> None:
    own = shop(tmp_path, SMALL)
    order = one_marker({"service": "HPL"})
    texts = ("300x600mm", "plate 12 x 24 in", "8x10in of vinyl film, low-temperature adhesive")
    film, plate, other = with_offcuts(own, order, texts).offcuts
    assert (film.offcut_of, film.sheets, film.material) == ("roll-54in", 1, "")
    assert plate.offcut_of == "plate-48x96in"
    assert plate.width == pytest.approx(304.8)
    assert other.material == "vinyl film, low-temperature adhesive"
    for bad in ("foil 300x600mm", "300mm", "", "of vinyl"):
        with pytest.raises(InputError, match="is not a size; write width and length"):
            with_offcuts(own, order, (bad,))


def test_the_listing_shows_what_few_stocks_have(tmp_path: Path) -> None:
    zone = 'keep_outs = [{ x = 0, y = 0, width = "1 in", height = "1 in" }]\n'
    path = tmp_path / "shop.toml"
    path.write_text(SMALL + "cost = 12.5\nsheets = 3\n" + zone + OFFCUT)
    text = "\n".join(shelf_lines(shelf(path)))
    small = text[text.index("small: small sheet") :]
    for line in ('group = "sheets"', "cost = 12.5", "sheets = 3", 'width = "25.4 mm"'):
        assert line in small
    (offcut,) = json.loads(shelf_json(shelf(path)))["offcuts"]
    assert (offcut["of"], offcut["width"], offcut["sheets"]) == ("small", "300.0 mm", 1)
