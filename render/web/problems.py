"""Every error as a sentence: a page for people, problem details (RFC 9457) for programs.

No answer shows a stack trace. An unexpected error is reported on the server's terminal by its type
and place in the code, without the contents of any list.
"""

from __future__ import annotations

import logging
import traceback
from collections.abc import Mapping

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from layouts.terms.errors import BlockedError, InputError, OutputError
from render.cli.findings import finding_table, in_order
from render.web.language import catalog, language_of, translator
from render.web.page import respond, wants_page

_LOG = logging.getLogger("pipelegend.web")


def problem(
    request: Request,
    status: int,
    code: str,
    detail: str = "",
    more: Mapping[str, object] | None = None,
    headers: Mapping[str, str] | None = None,
) -> Response:
    """An error: ``code`` is stable for programs and the key of its sentence in the catalogs.

    ``detail`` replaces the sentence. ``more`` are further members of the problem details.
    """
    language = language_of(request)
    t = translator(language)
    key = f"problem.{code}"
    if key not in catalog(language):
        key = f"problem.status-{status}"
    known = key in catalog(language)
    sentence = detail or (t(key) if known else t("problem.other"))
    if wants_page(request):
        page = respond(
            request, "problem.html", status=status, sentence=sentence, title=t("problem.title")
        )
        page.headers.update(headers or {})
        return page
    body = {"type": "about:blank", "title": code, "status": status, "detail": sentence}
    return JSONResponse(
        {**(more or {}), **body},
        status,
        {**(headers or {}), "Content-Language": language},
        "application/problem+json",
    )


async def http_problem(request: Request, error: Exception) -> Response:
    """The response to an error that a view or a guard raised with a status."""
    assert isinstance(error, HTTPException)
    plain = f"status-{error.status_code}"
    given = error.detail if f"problem.{error.detail}" in catalog("en") else plain
    return problem(request, error.status_code, given, headers=error.headers)


async def refused(request: Request, error: Exception) -> Response:
    """The response if the packages behind the page refuse their input."""
    if isinstance(error, OutputError):
        return problem(request, 422, error.code, str(error))
    assert isinstance(error, InputError | BlockedError)
    findings = in_order(error.findings)
    return problem(
        request,
        422,
        "blocked" if isinstance(error, BlockedError) else "input",
        " ".join(f"{each.sentence()}." for each in findings),
        {"findings": [finding_table(each) for each in findings]},
    )


class LastCatch:
    """The outermost guard: every failure or refusal before a view is answered in a sentence."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on; answer for what it raises."""
        started = False

        async def send_watched(message: Message) -> None:
            nonlocal started
            started = started or message["type"] == "http.response.start"
            await send(message)

        try:
            await self._app(scope, receive, send_watched)
        except HTTPException as error:
            answer = await http_problem(Request(scope, receive), error)
        except Exception as error:  # no visitor sees a stack trace
            last = traceback.extract_tb(error.__traceback__)[-1]
            _LOG.error("%s in %s, line %s", type(error).__name__, last.name, last.lineno)
            if started or scope["type"] != "http":
                return
            answer = problem(Request(scope, receive), 500, "status-500")
        else:
            return
        await answer(scope, receive, send)
