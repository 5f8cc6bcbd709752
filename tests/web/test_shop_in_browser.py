"""The shop in a real browser: a file judged, stocks saved and read back, colors compared."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pikepdf
import pytest

from render.shop.shopfile import load_shop
from render.web.settings import WebSettings
from tests.helpers.accessibility import axe_lacking, violations
from tests.helpers.browser import DESK, PHONE, new_page, serving

if TYPE_CHECKING:
    from playwright.sync_api import Browser

SAMPLE = Path("output_samples/one_marker.pdf")
pytestmark = pytest.mark.slow


def left_open(folder: Path) -> Path:
    """The sample with one more kiss cut, an open one that begins 30 mm from the left edge.

    A point is 1/72 in (ISO 32000-2, 8.3.2.3), so 30 mm are 85.04 of them.
    """
    path = folder / "open.pdf"
    with pikepdf.open(SAMPLE) as pdf:
        (page,) = pdf.pages
        for layer, group in page.Resources.Properties.items():
            if str(group.get("/Name", "")) == "PartialCutting":
                line = "0.25 w 85.04 56.69 m 300 56.69 l S"
                page.contents_add(f"/OC {layer} BDC q {line} Q EMC".encode(), prepend=True)
        pdf.save(path)
    return path


def test_a_faulty_file_shows_where(browser: Browser, address: str, tmp_path: Path) -> None:
    page = new_page(browser, PHONE)
    page.goto(f"{address}/shop/preflight")
    page.get_by_label("PDF file").set_input_files(left_open(tmp_path))
    page.get_by_role("button", name="Check").click()
    assert "failed" in page.get_by_role("status").inner_text(timeout=60_000)
    page.get_by_text("cut-open").wait_for()
    circle = page.locator("#page-1 .fault").first
    assert float(circle.get_attribute("cx") or 0) == pytest.approx(30.0, abs=0.1)
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE[0]
    if not axe_lacking():
        assert violations(page) == []


@pytest.mark.parametrize("size", [PHONE, DESK])
def test_stocks_are_saved_and_read_back(
    browser: Browser, tmp_path: Path, size: tuple[int, int]
) -> None:
    with serving(WebSettings(tmp_path)) as address:
        page = new_page(browser, size)
        page.goto(f"{address}/shop/file")
        stock = page.get_by_role("region", name="Add a stock")
        stock.get_by_label("Key").fill("acrylic")
        stock.get_by_label("Name").fill("Acrylic sheet")
        stock.get_by_label("Plates").check()
        stock.get_by_label("Form").select_option("Sheet")
        stock.get_by_label("Width").fill("1 m")
        stock.get_by_label("Length").fill("long")
        page.get_by_role("button", name="Save").click()
        assert "Nothing was saved" in page.get_by_role("alert").inner_text()
        page.get_by_role("region", name="Acrylic sheet").get_by_label("Length").fill("2 m")
        page.get_by_role("button", name="Save").click()
        assert "read back without a fault" in page.get_by_role("status").inner_text()
    assert load_shop(tmp_path / "shop.toml").stocks["acrylic"].length == pytest.approx(2000)
