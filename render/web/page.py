"""Templates, and the response of a view."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from functools import cache
from importlib import resources
from urllib.parse import urlencode

from jinja2 import Environment, PackageLoader, StrictUndefined
from starlette.requests import Request
from starlette.responses import HTMLResponse

from render.web.language import CHOICE, LANGUAGES, language_of, translator
from render.web.settings import WebSettings

_YEAR = 365 * 24 * 3600


@cache
def environment() -> Environment:
    """The page's templates; all output is escaped, and an unknown name is an error."""
    return Environment(
        loader=PackageLoader("render.web"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def settings_of(request: Request) -> WebSettings:
    """The server's settings."""
    settings = request.app.state.settings
    assert isinstance(settings, WebSettings)
    return settings


def respond(
    request: Request,
    template: str,
    /,
    *,
    status: int = 200,
    headers: Mapping[str, str] | None = None,
    **values: object,
) -> HTMLResponse:
    """The page of a template. Besides ``values`` it has ``t``, ``url``, ``static`` and more."""
    language = language_of(request)
    app, asked = request.app, request.query_params

    def url(name: str, /, **parameters: object) -> str:
        """The path of a route; no host, so that none can be forged into it."""
        return str(app.url_path_for(name, **parameters))

    def static(name: str) -> str:
        return f"{url('static', path=name)}?v={_mark(name)}"

    def in_language(code: str) -> str:
        """This page in another language."""
        rest = [(name, value) for name, value in asked.multi_items() if name != CHOICE]
        return f"?{urlencode([*rest, (CHOICE, code)])}"

    text = (
        environment()
        .get_template(template)
        .render(
            t=translator(language),
            url=url,
            static=static,
            lang=language,
            languages=LANGUAGES,
            in_language=in_language,
            path=request.url.path,
            **values,
        )
    )
    answer = HTMLResponse(text, status, {"Content-Language": language, **(headers or {})})
    if asked.get(CHOICE) in LANGUAGES:
        base = settings_of(request).base_path or "/"
        answer.set_cookie(CHOICE, language, _YEAR, path=base, samesite="lax")
    return answer


@cache
def _mark(name: str) -> str:
    """A version that changes with a static file's bytes, so that a browser may cache it."""
    data = (resources.files("render.web") / "static" / name).read_bytes()
    return hashlib.sha256(data).hexdigest()[:8]


def wants_page(request: Request) -> bool:
    """Whether the caller is a person with a browser."""
    return "text/html" in request.headers.get("accept", "")
