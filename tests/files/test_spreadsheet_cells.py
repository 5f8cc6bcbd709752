"""No cell of a CSV file is a formula (OWASP, "CSV Injection"); our readers take the text back."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from render.files.spreadsheet import plain_text, text_cell
from render.shop.remnants import inventory_text, parsed_remnants
from render.shop.shopfile import load_shop

# As OWASP lists them: the signs that begin a formula in one spreadsheet program or another.
FORMULAS = ("=cmd|' /C calc'!A0", "@SUM(1)", "+1+1", "-1+1", "\t=1", " =1", "\uff1d1")


@pytest.mark.parametrize("text", FORMULAS)
def test_an_inventory_of_remnants_holds_no_formula(text: str) -> None:
    shop = load_shop()
    written = inventory_text({("roll-54in", text, 300.0, 600.0): 2})
    cells = [cell for row in csv.reader(io.StringIO(written)) for cell in row]
    assert f"'{text}" in cells
    (stock,) = parsed_remnants(written, "remnants.csv", shop).offcuts
    assert stock.material == text


@given(st.text(), st.sampled_from(("", "=", "+", "-", "@", " @", "\t")))
def test_a_text_comes_back(text: str, start: str) -> None:
    written = text_cell(start + text.lstrip("'"))
    assert isinstance(written, str)
    assert plain_text(written) == start + text.lstrip("'")


@pytest.mark.parametrize("number", ["-12.5", "+3", "1,5"])
def test_numbers_stay_numbers(number: str) -> None:
    assert text_cell(number) == plain_text(number) == number
