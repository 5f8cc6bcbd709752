"""A real browser on a real server: Debian's Chromium, driven by playwright, no download."""

from __future__ import annotations

import importlib.util
import shutil
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

import uvicorn

from render.web.app import create_app
from render.web.settings import WebSettings

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

PHONE = (360, 740)
DESK = (1280, 900)
_PATIENCE_MS = 10_000


def lacking() -> str:
    """What keeps a browser from starting here; empty where one can."""
    if chromium() is None:
        return "no chromium here (apt package chromium)"
    there = importlib.util.find_spec("playwright")
    return "" if there else "no playwright here (pip package playwright)"


def chromium() -> str | None:
    """The browser that the system has."""
    return shutil.which("chromium") or shutil.which("chromium-browser")


@contextmanager
def serving(settings: WebSettings) -> Iterator[str]:
    """A server with these settings on a free port; gives its address without a slash."""
    with socket.socket() as listening:
        listening.bind(("127.0.0.1", 0))
        listening.listen()
        server = uvicorn.Server(
            uvicorn.Config(create_app(settings), log_config=None, access_log=False)
        )
        thread = threading.Thread(target=server.run, args=([listening],), daemon=True)
        thread.start()
        until = time.monotonic() + 10
        while not server.started and time.monotonic() < until:
            time.sleep(0.02)
        try:
            yield f"http://127.0.0.1:{listening.getsockname()[1]}"
        finally:
            server.should_exit = True
            thread.join(10)


@contextmanager
def browsing() -> Iterator[Browser]:
    """A browser without a window."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        browser = play.chromium.launch(
            executable_path=chromium(), args=["--no-sandbox", "--disable-gpu"]
        )
        try:
            yield browser
        finally:
            browser.close()


def new_page(browser: Browser, size: tuple[int, int] = DESK, scheme: str = "light") -> Page:
    """A window of a size in CSS pixels, light or dark, with nothing remembered."""
    dark = scheme == "dark"
    context = browser.new_context(
        viewport={"width": size[0], "height": size[1]},
        color_scheme="dark" if dark else "light",
        reduced_motion="reduce",
        locale="en-US",
    )
    context.set_default_timeout(_PATIENCE_MS)
    return context.new_page()
