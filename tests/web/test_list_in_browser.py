"""A list in a real browser: from the empty page to the downloaded job, with keys and on a phone."""

from __future__ import annotations

import zipfile
from pathlib import Path
from typing import TYPE_CHECKING

import openpyxl
import pytest

import pipelegend
from tests.helpers.accessibility import axe_lacking, violations
from tests.helpers.browser import PHONE, new_page
from tests.helpers.page_jobs import csv_text
from tests.web.test_lists import changes, untidy

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.slow
_LONG = 120_000  # ms


def checked(page: Page, address: str, path: Path) -> None:
    """From the first page to the findings of a list."""
    page.goto(address)
    page.click("a.card:has-text('A line list')")
    page.set_input_files("#list", path)
    page.click("text=Check the list")
    page.wait_for_selector("h2#rows", timeout=_LONG)


def test_from_the_empty_page_to_a_downloaded_job(
    browser: Browser, address: str, tmp_path: Path
) -> None:
    page = new_page(browser)
    troubles: list[str] = []
    page.on("console", lambda said: troubles.append(said.text) if said.type == "error" else None)
    page.on("pageerror", lambda error: troubles.append(str(error)))
    original = tmp_path / "plant.xlsx"
    original.write_bytes(untidy(original))
    checked(page, address, original)
    assert page.locator(".listrow").count() >= 2
    page.check("text=Write “liquid”")
    page.check("text=Also in the other cells of this column")
    page.locator("input[value='one eighty']").first.fill("180")
    page.click("text=Check again")
    page.wait_for_selector("text=Nothing keeps this list from being made.", timeout=_LONG)
    with page.expect_download() as back:
        page.click("text=Download plant.xlsx")
    corrected = tmp_path / "corrected.xlsx"
    back.value.save_as(corrected)
    assert changes(original, corrected) == {"C4": "liquid", "C5": "liquid", "D5": 180}
    assert openpyxl.load_workbook(corrected).sheetnames == ["Line List", "Remarks"]
    page.click("form[action$='/order'] > button")
    page.wait_for_selector("text=Download everything (.zip)", timeout=_LONG)
    with page.expect_download() as whole:
        page.click("text=Download everything (.zip)")
    whole.value.save_as(tmp_path / "job.zip")
    with zipfile.ZipFile(tmp_path / "job.zip") as archive:
        archive.extractall(tmp_path / "job")
    printed = sorted((tmp_path / "job" / "print").glob("*.pdf"))
    assert printed
    assert {pipelegend.preflight(path).verdict.value for path in printed} == {"pass"}
    look_at_sheets(page)
    approve(page)
    assert troubles == []
    page.context.close()


def look_at_sheets(page: Page) -> None:
    """One sheet with its layers off and on, near and far, by keys alone."""
    page.locator(".sheetlink").first.focus()
    page.keyboard.press("Enter")
    page.wait_for_selector("#canvas svg")
    whole = page.get_attribute("#canvas svg", "viewBox")
    page.keyboard.press("+")
    near = page.get_attribute("#canvas svg", "viewBox")
    assert near != whole
    page.keyboard.press("ArrowRight")
    assert page.get_attribute("#canvas svg", "viewBox") != near
    page.keyboard.press("0")
    assert page.get_attribute("#canvas svg", "viewBox") == whole
    cut = page.locator("#canvas svg > g[data-layer=PartialCutting]")
    printed = page.locator("#canvas svg > g[display=inline]").count()
    assert cut.get_attribute("display") == "inline"
    page.uncheck("[data-layer=kiss]")
    assert cut.get_attribute("display") == "none"
    assert page.locator("#canvas svg > g[display=inline]").count() == printed - 1
    page.check("[data-layer=kiss]")
    assert cut.get_attribute("display") == "inline"


def approve(page: Page) -> None:
    page.fill("#by", "A. Reader")
    page.fill("#date", "2026-03-01")
    page.click("text=Approve the proof")
    page.wait_for_selector("text=Approved by A. Reader on 2026-03-01.")


def test_a_phone_shows_a_list_without_scrolling_sideways(
    browser: Browser, address: str, tmp_path: Path
) -> None:
    page = new_page(browser, PHONE)
    original = tmp_path / "plant.xlsx"
    original.write_bytes(untidy(original))
    checked(page, address, original)
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE[0]
    small = page.evaluate(
        """[...document.querySelectorAll("button, .button, main input:not([type=hidden])")]
        .filter((each) => each.offsetParent && each.type !== "checkbox")
        .filter((each) => each.getBoundingClientRect().height < 47.5)
        .map((each) => each.outerHTML)"""
    )
    assert small == []
    page.context.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_view_breaks_a_rule_of_accessibility(
    browser: Browser, address: str, tmp_path: Path, scheme: str
) -> None:
    if reason := axe_lacking():
        pytest.skip(reason)
    page = new_page(browser, scheme=scheme)
    found: dict[str, list[str]] = {}

    def judged(name: str) -> None:
        if broken := violations(page):
            found[name] = broken

    for path in ("/", "/lists/new", "/work", "/api", "/lists/0000000000000000"):
        page.goto(f"{address}{path}")
        judged(path)
    original = tmp_path / "plant.xlsx"
    original.write_bytes(untidy(original))
    checked(page, address, original)
    for details in page.locator("details").all():
        details.evaluate("each => { each.open = true }")
    judged("list")
    (tmp_path / "three.csv").write_text(csv_text())
    checked(page, address, tmp_path / "three.csv")
    page.click("form[action$='/order'] > button")
    page.wait_for_selector("#working")
    judged("working")
    page.wait_for_selector("text=Download everything (.zip)", timeout=_LONG)
    page.locator(".sheetlink").first.click()
    page.wait_for_selector("#canvas svg")
    judged("job")
    page.set_input_files("#difflist", tmp_path / "plant.xlsx")
    page.click("text=Compare")
    page.wait_for_selector("#working", state="detached", timeout=_LONG)
    judged("failed")
    page.context.close()
    assert found == {}


def test_a_job_is_canceled_from_its_page(browser: Browser, address: str) -> None:
    page = new_page(browser)
    page.goto(address)
    page.click("text=Try the demo plant")
    page.wait_for_selector("form[action$='/order'] > button", timeout=_LONG)
    page.click("form[action$='/order'] > button")
    page.wait_for_selector("#working")
    page.click("text=Cancel")
    page.wait_for_selector("[role=status]:has-text('canceled')")
    page.context.close()
