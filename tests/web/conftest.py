"""One server and one browser for all tests of the page; told and skipped where there is none."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from starlette.testclient import TestClient

from render.web.settings import WebSettings
from tests.helpers.browser import browsing, lacking, serving
from tests.helpers.page import browse
from tests.helpers.page_jobs import csv_text, drop, made

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


@pytest.fixture(scope="session")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    """A server that works, shared: every test makes lists and jobs of its own there."""
    with browse(WebSettings(tmp_path_factory.mktemp("page"))) as client:
        yield client


@pytest.fixture(scope="session")
def job(served: TestClient) -> str:
    """A finished job of three markers."""
    return made(served, drop(served, "three.csv", csv_text().encode()))
