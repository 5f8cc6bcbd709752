"""The first page."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from render.web.children import workshop_of
from render.web.page import respond
from render.web.work_page import cards

_SHOWN = 8  # lists and jobs on the first page


def routes() -> list[BaseRoute]:
    """The first page."""
    return [Route("/", home, name="home")]


def home(request: Request) -> Response:
    """Show the tasks of the page."""
    works = cards(workshop_of(request))[:_SHOWN]
    return respond(request, "home.html", works=works)
