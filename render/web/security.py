"""Who may ask, and what a browser may load: guards in front of every view.

A page on another site can send a browser here, and a name that it owns can be pointed at this
address. So the Host header must be one of our own names, a post must come from our own pages,
and on a plant's network a visitor shows a token first.
"""

from __future__ import annotations

import secrets
from collections.abc import Callable
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders, QueryParams
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

COOKIE = "pipelegend_visit"
TOKEN = "token"  # noqa: S105  the name of a field
_SAFE = frozenset({"GET", "HEAD", "OPTIONS"})
# Content Security Policy Level 3: nothing inline, nothing from elsewhere, no frame around us.
_POLICY = "; ".join(
    (
        "default-src 'self'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self'",
        "object-src 'none'",
        "base-uri 'none'",
        "form-action 'self'",
        "frame-ancestors 'none'",
    )
)
_HEADERS = {
    "Content-Security-Policy": _POLICY,
    "X-Content-Type-Options": "nosniff",
    # With no-referrer a browser would send "Origin: null" with our own posts.
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}


class Gate:
    """Tokens that each let one visitor in, and the visitors who are in."""

    def __init__(self) -> None:
        self._tokens: dict[str, Callable[[], None]] = {}
        self._visits: set[str] = set()

    def mint(self, on_used: Callable[[], None] = lambda: None) -> str:
        """A new token, good once; ``on_used`` is called when somebody came in by it."""
        token = secrets.token_urlsafe(16)
        self._tokens[token] = on_used
        return token

    def admit(self, token: str) -> str | None:
        """The cookie of a new visit in exchange for a token; None for an invalid token."""
        on_used = self._tokens.pop(token, None)
        if on_used is None:
            return None
        visit = secrets.token_urlsafe(32)
        self._visits.add(visit)
        on_used()
        return visit

    def knows(self, visit: str) -> bool:
        """Whether a cookie belongs to an admitted visitor."""
        return visit in self._visits


class OwnHosts:
    """Refuses a Host header that is not a name of this server (DNS rebinding)."""

    def __init__(self, app: ASGIApp, hosts: frozenset[str]) -> None:
        self._app, self._hosts = app, hosts

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, or refuse it."""
        if scope["type"] == "http" and _name(Headers(scope=scope).get("host", "")) not in (
            self._hosts
        ):
            raise HTTPException(421, "host")
        await self._app(scope, receive, send)


def _name(host: str) -> str:
    """A Host header without its port; an IPv6 address keeps its brackets."""
    end = host.find("]")
    return host[: end + 1] if host.startswith("[") else host.partition(":")[0].lower()


class OwnPosts:
    """Refuses a changing request sent by a page of another site.

    A browser names the origin of every post (Fetch standard); a client that sends none is not a
    browser and has no visitor's cookies.
    """

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, or refuse it."""
        if scope["type"] == "http" and scope["method"] not in _SAFE:
            headers = Headers(scope=scope)
            origin = headers.get("origin")
            site = headers.get("sec-fetch-site", "none")
            own = (
                site in ("none", "same-origin")
                if origin is None
                else urlsplit(origin).netloc == headers.get("host")
            )
            if not own:
                raise HTTPException(403, "origin")
        await self._app(scope, receive, send)


class Admission:
    """Asks every visitor for a token once, and knows them by a cookie from then on."""

    def __init__(self, app: ASGIApp, gate: Gate | None, base_path: str) -> None:
        self._app, self._gate, self._path = app, gate, base_path or "/"

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, let a new visitor in, or refuse."""
        if scope["type"] != "http" or self._gate is None:
            await self._app(scope, receive, send)
            return
        visit = Request(scope).cookies.get(COOKIE, "")
        token = QueryParams(scope["query_string"]).get(TOKEN)
        if token is not None and scope["method"] == "GET":
            if self._gate.knows(visit):
                await _onward(scope["path"])(scope, receive, send)
                return
            admitted = self._gate.admit(token)
            if admitted is None:
                raise HTTPException(401, "token-used")
            answer = _onward(scope["path"])
            answer.set_cookie(COOKIE, admitted, path=self._path, httponly=True, samesite="strict")
            await answer(scope, receive, send)
            return
        if not self._gate.knows(visit):
            raise HTTPException(401, "token")
        await self._app(scope, receive, send)


def _onward(path: str) -> HTMLResponse:
    """A page of ours that redirects at once.

    After a redirect that another site began, a browser would hold a strict cookie back; a page of
    ours starts a new navigation.
    """
    from html import escape

    to = escape(path, quote=True)
    return HTMLResponse(
        f'<!doctype html><html lang="en"><title>pipelegend</title>'
        f'<meta http-equiv="refresh" content="0;url={to}"><p><a href="{to}">pipelegend</a></p>',
        headers={"Cache-Control": "no-store"},
    )


class SafeHeaders:
    """Adds headers to every response that keep a browser from loading or guessing anything."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on and the response back with its headers."""

        async def send_guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in _HEADERS.items():
                    headers[name] = value
                headers.setdefault("Cache-Control", "no-store")
            await send(message)

        await self._app(scope, receive, send_guarded)
