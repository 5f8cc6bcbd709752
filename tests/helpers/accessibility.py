"""axe-core's judgment of a page (WCAG 2.2 A and AA, and its best practices)."""

from __future__ import annotations

import importlib.util
from functools import cache
from importlib import resources
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from playwright.sync_api import Page


def axe_lacking() -> str:
    """What keeps axe-core from judging here; empty where it can."""
    there = importlib.util.find_spec("axe_playwright_python")
    return "" if there else "no axe-core here (pip package axe-playwright-python)"


def violations(page: Page) -> list[str]:
    """Every rule that the page breaks, with the elements that break it."""
    page.evaluate(_source())
    found: dict[str, Any] = page.evaluate("axe.run(document, {resultTypes: ['violations']})")
    return [
        f"{rule['id']}: {rule['help']}: {node['html'][:160]} {node['failureSummary']}"
        for rule in found["violations"]
        for node in rule["nodes"]
    ]


@cache
def _source() -> str:
    return resources.files("axe_playwright_python").joinpath("axe.min.js").read_text("utf-8")
