"""Pictures of the page for ``output_samples/page/``: one marker and the shop; lists elsewhere."""

from __future__ import annotations

import io
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from PIL import Image

from render.web.settings import WebSettings
from tests.helpers.browser import DESK, PHONE, browsing, lacking, new_page, serving
from tests.samples import list_pictures
from tests.samples.pictures import TARGET

if TYPE_CHECKING:
    from playwright.sync_api import Page

_PIPE = "kind=pipe&service=HTRS&state=both&psig=30&flow=left&measure=pipe&pipe=NPS+4&covering=1-1/2"
_COLORS = 64  # of a picture: enough for a page, and a third of the size
_PATIENCE_MS = 120_000  # of a job on a busy machine


def _went(path: str) -> Callable[[Page, str], None]:
    def go(page: Page, address: str) -> None:
        page.goto(address + path)

    return go


def _on_the_pipe(page: Page, address: str) -> None:
    page.goto(f"{address}/marker?{_PIPE}")
    page.get_by_text("On the pipe").click()
    page.get_by_text("On the pipe").scroll_into_view_if_needed()
    page.locator("#d-round-0").evaluate("each => each.scrollIntoView()")
    page.wait_for_timeout(500)


def _judged(page: Page, address: str) -> None:
    page.goto(f"{address}/shop/preflight")
    page.set_input_files("#file", TARGET / "one_marker.pdf")
    page.get_by_role("button", name="Check").click()
    page.locator(".verdict").wait_for(timeout=_PATIENCE_MS)


VIEWS: dict[str, Callable[[Page, str], None]] = {
    "marker": _went(f"/marker?{_PIPE}"),
    "marker_on_the_pipe": _on_the_pipe,
    "valve": _went("/marker?kind=valve&tag=HV-118&service=HPL&function=King+valve&lockout=yes"),
    "preflight": _judged,
    "stocks": _went("/shop/file"),
    "colors": _went("/shop/colors"),
}


def write() -> None:
    """Draw every view again; told and left as it is where there is no browser."""
    if reason := lacking():
        print(f"output_samples/page is left as it is: {reason}")
        return
    folder = TARGET / "page"
    folder.mkdir(exist_ok=True)
    with (
        tempfile.TemporaryDirectory() as kept,
        serving(WebSettings(Path(kept))) as address,
        browsing() as browser,
    ):
        for name, go in VIEWS.items():
            for size, of in ((PHONE, "phone"), (DESK, "desk")):
                page = new_page(browser, size)
                go(page, address)
                page.wait_for_load_state("networkidle")
                (folder / f"{name}_{of}.png").write_bytes(_small(page.screenshot()))
                page.context.close()
    list_pictures.draw()


def _small(data: bytes) -> bytes:
    """The picture in few colors."""
    made = io.BytesIO()
    picture = Image.open(io.BytesIO(data)).convert("RGB")
    picture.quantize(_COLORS, dither=Image.Dither.NONE).save(made, "PNG", optimize=True)
    return made.getvalue()
