"""One browser for all tests of the page, told and skipped where there is none."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from render.web.settings import WebSettings
from tests.helpers.browser import browsing, lacking, serving

if TYPE_CHECKING:
    from playwright.sync_api import Browser


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    if reason := lacking():
        pytest.skip(reason)
    with browsing() as found:
        yield found


@pytest.fixture(scope="session")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """A server whose folder is empty."""
    folder: Path = tmp_path_factory.mktemp("page")
    with serving(WebSettings(folder)) as found:
        yield found
