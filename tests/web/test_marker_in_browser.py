"""One marker in a real browser: from an empty page to a file, by touch, keyboard and eye."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

import pipelegend
from tests.helpers.accessibility import axe_lacking, violations
from tests.helpers.browser import DESK, PHONE, new_page

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

PIPE = "kind=pipe&service=HTRS&state=both&psig=30&flow=left&measure=pipe&pipe=NPS+4&covering=1-1/2"
VIEWS = {
    "home": "/",
    "blank": "/marker?kind=pipe&new=1",
    "pipe": f"/marker?{PIPE}",
    "both sides": f"/marker?{PIPE}&side=both&lang=es",
    "refused": "/marker?kind=pipe&service=HTRS&state=both",
    "equipment": "/marker?kind=equipment&name=Evaporator&tag=AC-4&psig=30",
    "valve": "/marker?kind=valve&tag=HV-118&service=HPL&function=King+valve&lockout=yes",
    "problem": "/nowhere",
    "shop": "/shop",
    "preflight": "/shop/preflight",
    "stocks": "/shop/file?lang=es",
    "colors": "/shop/colors",
}
pytestmark = pytest.mark.slow


def saved(page: Page, link: str, folder: Path) -> Path:
    with page.expect_download() as waiting:
        page.get_by_role("link", name=link).click()
    path = folder / waiting.value.suggested_filename
    waiting.value.save_as(path)
    return path


def test_a_pipe_marker_by_touch(browser: Browser, address: str, tmp_path: Path) -> None:
    page = new_page(browser, PHONE)
    page.goto(f"{address}/marker")
    page.get_by_label("Choose a service").select_option("HTRS")
    page.get_by_role("radio", name="Both", exact=True).check()
    page.get_by_role("textbox", name="Pressure").fill("30")
    page.get_by_role("radio", name="Left", exact=True).check()
    page.get_by_label("Pipe size", exact=True).select_option("NPS 4")
    page.get_by_role("radio", name="1-1/2", exact=True).check()
    page.get_by_role("heading", name="HTRS LIQ VAP AMMONIA LOW").wait_for()
    drawn = page.get_by_role("img", name="HTRS LIQ VAP AMMONIA LOW, flow left, 60-1/2 x 3-1/2 in")
    assert drawn.count() >= 1
    path = saved(page, "PDF for the sign printer", tmp_path)
    assert path.name == "HTRS-LIQ-VAP-AMMONIA-LOW.pdf"
    assert pipelegend.preflight(path).verdict.value == "pass"
    page.get_by_text("On office paper, full size").click()
    letter = pipelegend.preflight(saved(page, "PDF on letter", tmp_path)).pages[0]
    # ANSI/ASME Y14.1, size A: 8.5 x 11 in, upright or on its side.
    assert sorted((letter.width, letter.height)) == pytest.approx([215.9, 279.4], abs=0.1)


def test_a_machine_and_a_valve(browser: Browser, address: str, tmp_path: Path) -> None:
    page = new_page(browser)
    page.goto(f"{address}/marker?kind=equipment")
    page.get_by_label("Name").fill("High pressure receiver")
    page.get_by_label("Tag number").fill("HPR-1")
    page.get_by_role("radio", name="High", exact=True).check()
    page.get_by_role("heading", name="HIGH PRESSURE RECEIVER HPR-1 HIGH").wait_for()
    machine = saved(page, "PDF for the sign printer", tmp_path)
    page.get_by_role("link", name="Valve tag").click()
    page.get_by_label("Tag number").fill("HV-118")
    page.get_by_label("Function").fill("King valve")
    page.get_by_role("heading", name="HV-118 KING VALVE").wait_for()
    valve = saved(page, "PDF for the sign printer", tmp_path)
    for path in (machine, valve):
        assert pipelegend.preflight(path).verdict.value == "pass"


def test_a_pipe_marker_by_keyboard(browser: Browser, address: str) -> None:
    page = new_page(browser)
    page.goto(f"{address}/marker?kind=pipe&new=1")
    page.get_by_label("Service", exact=True).focus()
    page.keyboard.type("high pressure liquid")
    page.keyboard.press("Tab")
    page.keyboard.press("Space")  # liquid
    page.keyboard.press("Tab")
    page.keyboard.type("185")
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    page.keyboard.press("ArrowRight")  # from left to right
    page.keyboard.press("Tab")
    page.keyboard.press("ArrowRight")  # a tape around it
    page.keyboard.press("Tab")
    page.keyboard.type("31")
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="HPL LIQ AMMONIA HIGH").wait_for()
    assert "girth=31" in page.url


def test_a_link_brings_the_marker_back(browser: Browser, address: str) -> None:
    page = new_page(browser)
    page.goto(f"{address}/marker?{PIPE}")
    page.get_by_role("radio", name="Right", exact=True).check()
    page.get_by_role("img", name="flow right").first.wait_for()
    other = new_page(browser)
    other.goto(page.url)
    other.get_by_role("img", name="flow right").first.wait_for()


def test_the_last_values_are_remembered_until_cleared(browser: Browser, address: str) -> None:
    page = new_page(browser)
    page.goto(f"{address}/marker?kind=valve&new=1")
    page.get_by_label("Tag number").fill("HV-7")
    page.get_by_role("heading", name="HV-7").wait_for()
    page.goto(f"{address}/marker?kind=valve")
    page.get_by_role("heading", name="HV-7").wait_for()
    page.get_by_role("link", name="Clear").click()
    page.goto(f"{address}/marker?kind=valve")
    assert page.get_by_label("Tag number").input_value() == ""


def test_true_size_follows_the_bank_card(browser: Browser, address: str) -> None:
    """ISO/IEC 7810, ID-1: a card is 85.60 mm wide."""
    page = new_page(browser)
    page.goto(f"{address}/marker?{PIPE}")
    page.get_by_text("True size on this screen").click()
    page.get_by_label("Width of the outline").fill("5")
    card = page.locator(".bank-card").bounding_box()
    marker = page.locator(".true-size").bounding_box()
    assert card
    assert marker
    assert card["width"] == pytest.approx(5 * 85.6, abs=1)
    assert marker["width"] / card["width"] == pytest.approx(1536.7 / 85.6, rel=0.01)
    page.reload()
    assert page.evaluate("localStorage['pipelegend.px-per-mm']") == "5"


def test_without_a_script_the_draw_button_does_the_same(browser: Browser, address: str) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{address}/marker?kind=valve&new=1")
    page.get_by_label("Tag number").fill("HV-7")
    page.get_by_role("button", name="Draw").click()
    assert page.get_by_role("heading", name="HV-7").count() == 1


@pytest.mark.parametrize("width", [320, 360])
@pytest.mark.parametrize("view", VIEWS)
def test_a_phone_shows_it_without_scrolling_sideways(
    browser: Browser, address: str, view: str, width: int
) -> None:
    page = new_page(browser, (width, 740))
    page.goto(address + VIEWS[view])
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_targets_fit_a_glove(browser: Browser, address: str) -> None:
    """At least 48 px in both directions; links within a sentence are no controls."""
    page = new_page(browser, PHONE)
    page.goto(f"{address}{VIEWS['pipe']}")
    small = page.evaluate(
        """() => [...document.querySelectorAll(
             'main button, main select, main summary, main a.button, .tabs a, .chip, ' +
             'main input:not([type=hidden]):not([type=radio]):not([type=checkbox]), .top a')]
           .map((e) => [e.outerHTML.slice(0, 80), e.getBoundingClientRect()])
           .filter(([, r]) => r.width > 0 && (r.height < 47.9 || r.width < 47.9))
           .map(([html, r]) => `${html} ${r.width} x ${r.height}`)"""
    )
    assert small == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("view", VIEWS)
def test_axe_finds_nothing(browser: Browser, address: str, view: str, scheme: str) -> None:
    if reason := axe_lacking():
        pytest.skip(reason)
    page = new_page(browser, DESK, scheme)
    page.goto(address + VIEWS[view])
    page.evaluate("document.querySelectorAll('details').forEach((each) => each.open = true)")
    assert violations(page) == []


@pytest.mark.parametrize("view", VIEWS)
def test_nothing_is_asked_of_another_host(browser: Browser, address: str, view: str) -> None:
    page = new_page(browser)
    asked: list[str] = []
    told: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("console", lambda message: told.append(message.text))
    page.on("pageerror", lambda error: told.append(str(error)))
    page.goto(address + VIEWS[view])
    page.wait_for_load_state("networkidle")
    assert asked
    assert [url for url in asked if not url.startswith(address)] == []
    assert [each for each in told if "404" not in each] == []
