"""The application: its areas, and the guards in front of them."""

from __future__ import annotations

from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import AbstractAsyncContextManager, asynccontextmanager
from pathlib import Path

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import BaseRoute, Mount, Route
from starlette.staticfiles import StaticFiles

from layouts.terms.errors import BlockedError, InputError, OutputError
from render.web import (
    api_views,
    color_views,
    home_views,
    job_views,
    list_views,
    marker_views,
    preflight_views,
    shop_views,
    survey_piece_views,
    survey_views,
)
from render.web.children import Workshop
from render.web.problems import LastCatch, http_problem, refused
from render.web.security import Admission, OwnHosts, OwnPosts, SafeHeaders
from render.web.settings import WebSettings

_STATIC = Path(__file__).parent / "static"
Handler = Callable[[Request, Exception], Awaitable[Response]]


class _KeptFiles(StaticFiles):
    """Files that a browser may cache: their address changes with their bytes."""

    def file_response(self, *args: object, **kwargs: object) -> Response:
        answer: Response = super().file_response(*args, **kwargs)  # type: ignore[arg-type]
        answer.headers["Cache-Control"] = "max-age=31536000, immutable"
        return answer


def create_app(settings: WebSettings) -> Starlette:
    """The page as an ASGI application."""
    areas: list[BaseRoute] = [
        *home_views.routes(),
        *list_views.routes(),
        *job_views.routes(),
        *api_views.routes(),
        *marker_views.routes(),
        *shop_views.routes(),
        *preflight_views.routes(),
        *color_views.routes(),
        *survey_views.routes(),
        *survey_piece_views.routes(),
        Mount("/static", _KeptFiles(directory=_STATIC), name="static"),
    ]
    base = settings.base_path
    routes = [Mount(base, routes=areas), Route("/", _to_base)] if base else areas
    handlers: dict[object, Handler] = {
        HTTPException: http_problem,
        InputError: refused,
        BlockedError: refused,
        OutputError: refused,
    }
    workshop = Workshop(settings)
    app = Starlette(
        lifespan=_working(workshop),
        routes=routes,
        exception_handlers=handlers,
        middleware=[
            Middleware(SafeHeaders),
            Middleware(LastCatch),
            Middleware(OwnHosts, hosts=settings.hosts),
            Middleware(OwnPosts),
            Middleware(Admission, gate=settings.gate, base_path=base),
        ],
    )
    app.state.settings, app.state.workshop = settings, workshop
    return app


def _working(workshop: Workshop) -> Callable[[Starlette], AbstractAsyncContextManager[None]]:
    """Run work from the server's start to its end."""

    @asynccontextmanager
    async def lifespan(_app: Starlette) -> AsyncIterator[None]:
        workshop.start()
        try:
            yield
        finally:
            await run_in_threadpool(workshop.stop)

    return lifespan


async def _to_base(request: Request) -> Response:
    """Redirect from the server's root to the page's base path."""
    return RedirectResponse(f"{request.app.state.settings.base_path}/")
