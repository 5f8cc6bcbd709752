"""One marker, as a form that draws while it is filled in."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from render.web.page import respond


def routes() -> list[BaseRoute]:
    """The marker's form."""
    return [Route("/marker", marker_page, name="marker")]


def marker_page(request: Request) -> Response:
    """The form, with what the link says filled in."""
    return respond(request, "marker.html")
