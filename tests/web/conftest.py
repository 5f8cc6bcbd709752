from __future__ import annotations

from collections.abc import Iterator

import pytest
from starlette.testclient import TestClient

from render.web.settings import WebSettings
from tests.helpers.page import browse
from tests.helpers.page_jobs import csv_text, drop, made


@pytest.fixture(scope="session")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    """A server that works, shared: every test makes lists and jobs of its own there."""
    with browse(WebSettings(tmp_path_factory.mktemp("page"))) as client:
        yield client


@pytest.fixture(scope="session")
def job(served: TestClient) -> str:
    """A finished job of three markers."""
    return made(served, drop(served, "three.csv", csv_text().encode()))
