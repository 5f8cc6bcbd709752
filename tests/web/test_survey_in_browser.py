"""A survey in a real browser at phone size: kept while it is typed, with a script and without."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.helpers.accessibility import axe_lacking, violations
from tests.helpers.browser import PHONE, new_page
from tests.helpers.page_jobs import csv_text

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.slow
_LONG = 120_000  # ms
_SMALL = """() => [...document.querySelectorAll('main .chip, main button, main a, main input')]
    .filter(each => each.type != 'checkbox' && each.getBoundingClientRect().height < 48)
    .map(each => each.outerHTML)"""


def walking(page: Page, address: str, folder: Path) -> None:
    """From the first page to the first piece of the first area."""
    (folder / "three.csv").write_text(csv_text())
    page.goto(address)
    page.click("a.card:has-text('A survey')")
    page.set_input_files("#list", folder / "three.csv")
    page.click("text=Start the survey")
    page.wait_for_selector("#by", timeout=_LONG)
    page.fill("#by", "C. Walker")
    page.click("button:has-text('Dock')")
    page.wait_for_selector("#answer")


def test_what_is_typed_is_kept_without_a_button(
    browser: Browser, address: str, tmp_path: Path
) -> None:
    page = new_page(browser, PHONE)
    walking(page, address, tmp_path)
    page.check("label:has-text('Faded') input")
    page.fill("#i-note", "by the door")
    page.wait_for_selector("#kept:has-text('Kept.')")
    page.goto(page.url)
    assert page.input_value("#i-note") == "by the door"
    assert page.is_checked("input[value=faded]")
    page.click("text=Next")
    page.wait_for_selector("text=2 of 2")


def test_a_phone_needs_no_script(browser: Browser, address: str, tmp_path: Path) -> None:
    context = browser.new_context(
        viewport={"width": PHONE[0], "height": PHONE[1]}, java_script_enabled=False, locale="en-US"
    )
    page = context.new_page()
    walking(page, address, tmp_path)
    page.check("label:has-text('Missing') input")
    page.click("text=Next")
    page.wait_for_selector("text=2 of 2")
    page.click("text=Back")
    page.wait_for_selector("text=1 of 2")
    assert page.is_checked("input[value=missing]")


@pytest.mark.skipif(axe_lacking() != "", reason=axe_lacking() or "axe-core is here")
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_view_is_usable(browser: Browser, address: str, tmp_path: Path, scheme: str) -> None:
    page = new_page(browser, PHONE, scheme)
    walking(page, address, tmp_path)
    overview = page.get_by_role("link", name="Dock")
    assert violations(page) == []
    assert page.evaluate(_SMALL) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE[0]
    page.check("label:has-text('Present') input")
    page.check("label:has-text('Faded') input")
    page.click("text=Next")
    page.wait_for_selector("[role=alert]")
    assert violations(page) == []
    page.click("text=Add a marker that is in no list")
    page.wait_for_selector("h1:has-text('in no list')")
    assert violations(page) == []
    overview.click()
    page.wait_for_selector("#by")
    assert violations(page) == []
    page.goto(f"{address}/survey")
    assert violations(page) == []
