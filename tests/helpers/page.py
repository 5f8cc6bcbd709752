"""The page as a browser without a screen sees it."""

from starlette.testclient import TestClient

from render.web.app import create_app
from render.web.settings import WebSettings


def browse(settings: WebSettings) -> TestClient:
    """A client of a new server with these settings, its cookies its own."""
    return TestClient(create_app(settings), "http://127.0.0.1")
