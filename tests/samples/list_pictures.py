"""Pictures of the list and job pages at phone and desk size, as a browser shows them."""

from __future__ import annotations

import tempfile
import time
from pathlib import Path
from typing import TYPE_CHECKING

from render.web.settings import WebSettings
from tests.helpers.browser import DESK, PHONE, browsing, new_page, serving

if TYPE_CHECKING:
    from playwright.sync_api import Browser

TOP = Path(__file__).resolve().parents[2]
TARGET = TOP / "output_samples" / "page"
SIZES = {"phone": PHONE, "desk": DESK}
_FAULTY = (
    "line,service,state,pressure_psig,pipe,covering_in,flow,area\n"
    "L-101,HPL,liquid,181,NPS 2,0,right,Engine room\n"
    "L-102,HPL,liqid,181,NPS 3,0,left,Engine room\n"
    "L-103,HPL,liqid,one eighty,NPS 3,0,left,Dock\n"
    "L-104,LTRL,liquid,25,NPS 2,14,right,Freezer\n"
)


def draw() -> None:
    """Every main view of lists and jobs, light and dark."""
    TARGET.mkdir(parents=True, exist_ok=True)
    with (
        tempfile.TemporaryDirectory() as home,
        serving(WebSettings(Path(home))) as address,
        browsing() as browser,
    ):
        _views(browser, address, Path(home))


def _views(browser: Browser, address: str, home: Path) -> None:
    faulty = home / "plant_list.csv"
    faulty.write_text(_FAULTY)
    page = new_page(browser)
    page.goto(f"{address}/lists/new")
    page.set_input_files("#list", faulty)
    page.click("form[enctype] button")
    page.wait_for_selector(".listrow")
    listed = page.url
    page.goto(address)
    page.click("form[action='/demo'] button")
    page.wait_for_selector(".pictures")
    page.click("form[action$='/order'] > button")
    page.wait_for_selector("#working")
    working = page.url
    _shoot(browser, working, "job_at_work")
    page.wait_for_selector(".viewer", state="attached", timeout=300_000)
    job = page.url
    _shoot(browser, f"{address}/lists/new", "list_new")
    _shoot(browser, listed, "list_findings")
    _shoot(browser, job, "job")
    _shoot(browser, job, "job_sheet", sheet=True)
    _shoot(browser, f"{address}/api", "api")
    _shoot(browser, address, "home")


def _shoot(browser: Browser, url: str, name: str, sheet: bool = False) -> None:
    for size, pixels in SIZES.items():
        scheme = "dark" if (size, name) == ("phone", "job_sheet") else "light"
        page = new_page(browser, pixels, scheme)
        page.goto(url)
        if sheet:
            page.locator(".sheetlink").nth(3).click()
            page.wait_for_selector("#canvas svg")
            page.locator("#viewer").scroll_into_view_if_needed()
        time.sleep(0.3)
        page.screenshot(path=TARGET / f"{name}_{size}.png")
        page.context.close()


if __name__ == "__main__":
    draw()
