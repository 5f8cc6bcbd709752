"""The sign shop: files judged, stocks and printer, colors."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from render.web.page import respond


def routes() -> list[BaseRoute]:
    """The shop's pages."""
    return [Route("/shop", shop_page, name="shop")]


def shop_page(request: Request) -> Response:
    """What a shop can do here."""
    return respond(request, "shop.html")
