"""A shop's own file: what it adds, and every fault of it at once."""

from __future__ import annotations

from pathlib import Path

import pytest

from layouts.drawing.document import Step
from layouts.drawing.symbols import MarkShape
from layouts.sheets.stock import Shop, Spots
from layouts.terms.errors import InputError
from layouts.terms.words import PartRole
from render.shop.shopfile import load_shop


def shop(tmp_path: Path, text: str) -> Shop:
    path = tmp_path / "shop.toml"
    path.write_text(text)
    return load_shop(path)


OWN = """
[[stocks]]
key = "roll-24in"
title = "24 in roll"
form = "roll"
width = "24 in"
length = "2 m"
repeat = "100 mm"

[printer]
title = "big cutter"
marks = "disc"
cut_units = "in"
step_inks = { Cutting = "Knife" }
step_layers = { PartialCutting = "HALF" }
"""


def test_built_in_stocks_serve_every_role() -> None:
    built_in = load_shop()
    for role in PartRole:
        assert built_in.of_role(role)
    # ISO 216: A4 is 210 x 297 mm. ANSI/ASME Y14.1: size A is 8.5 x 11 in.
    assert (built_in.stocks["a4"].width, built_in.stocks["a4"].length) == (210, 297)
    letter = built_in.stocks["letter"]
    assert (letter.width, letter.length) == pytest.approx((215.9, 279.4))


def test_own_stock_and_printer_are_taken(tmp_path: Path) -> None:
    own = shop(tmp_path, OWN)
    assert own.stocks["roll-24in"].width == pytest.approx(609.6)
    assert own.stocks["roll-24in"].repeat == 100
    assert "roll-54in" in own.stocks
    assert own.printer.marks is MarkShape.DISC
    assert own.printer.cut_units == "in"
    assert own.printer.step_inks == {Step.THROUGH_CUT: "Knife"}
    assert own.printer.step_layers == {Step.KISS_CUT: "HALF"}


def test_a_profile_is_found_beside_the_shop_file(tmp_path: Path) -> None:
    own = shop(tmp_path, '[printer]\nprofile = "press.icc"\nspots = "process"\n')
    assert own.printer.profile == str(tmp_path / "press.icc")
    assert own.printer.spots is Spots.PROCESS


def test_every_fault_is_told_at_once(tmp_path: Path) -> None:
    text = """
[[stocks]]
key = "x"
title = "too small"
form = "sheet"
width = "1 in"
length = "9 in"

[printer]
cut_units = "feet"
bridge = "400 mm"
colour = "red"
step_inks = { Folding = "x" }
"""
    with pytest.raises(InputError) as caught:
        shop(tmp_path, text)
    fields = {finding.place.field for finding in caught.value.findings}
    assert {"printer, bridge", "printer, cut_units", "printer, colour"} <= fields
    assert any("no step 'Folding'" in finding.what for finding in caught.value.findings)


def test_process_inks_need_a_profile_and_bridges_need_room(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="needs the printer's profile"):
        shop(tmp_path, '[printer]\nspots = "process"\n')
    with pytest.raises(InputError, match="shorter than the distance"):
        shop(tmp_path, '[printer]\nbridge = "2 mm"\nbridge_spacing = "1 mm"\n')


@pytest.mark.parametrize("text", ["not toml at all [", '[[stocks]]\nkey = 3\nform = "cube"\n'])
def test_broken_files_are_refused_with_their_name(tmp_path: Path, text: str) -> None:
    with pytest.raises(InputError, match=r"shop\.toml"):
        shop(tmp_path, text)


def test_a_missing_file_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be read"):
        load_shop(tmp_path / "none.toml")
