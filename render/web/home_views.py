"""The first page."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from render.web.page import respond


def routes() -> list[BaseRoute]:
    """The first page."""
    return [Route("/", home, name="home")]


def home(request: Request) -> Response:
    """What there is to do here."""
    return respond(request, "home.html")
