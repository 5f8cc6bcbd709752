"""Judges a print file: verdict first, then each failure with its page and a sketch."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from render.preflight.report import report_from
from render.preflight.wording import verdict_line
from render.web.children import workshop_of
from render.web.page import respond
from render.web.page_sketch import page_of, sketches
from render.web.uploads import GivenFile, received

# The most severe first; the rest in order.
_RANK = ("unreadable", "too large to judge", "fail", "warning", "note", "pass")


def routes() -> list[BaseRoute]:
    """The upload of a file, and its verdict."""
    return [
        Route("/shop/preflight", preflight_form, name="preflight"),
        Route("/shop/preflight", judge_file, methods=["POST"], name="preflight-judge"),
    ]


def preflight_form(request: Request) -> Response:
    """The upload page."""
    return respond(request, "preflight.html", report=None)


async def judge_file(request: Request) -> Response:
    """The verdict on a file, by a child process."""
    files, fields = await received(request)
    file = next((each for each in files if each.field == "file"), None)
    if file is None:
        raise HTTPException(400, "no-file")
    words = {"rules": fields.get("rules", ""), "plates": bool(fields.get("plates"))}
    report = await run_in_threadpool(
        workshop_of(request).answer, "preflight", {"file.pdf": file.data}, words
    )
    return respond(request, "preflight.html", **_of_report(file, report))


def _of_report(file: GivenFile, report: Mapping[str, Any]) -> dict[str, Any]:
    points = sorted(report["points"], key=lambda point: _RANK.index(point["verdict"]))
    shown = [point for point in points if point["verdict"] != "pass"]
    grave = [point for point in shown if point["verdict"] != "note"]
    return {
        "report": report,
        "file": file.name,
        "passed": report["verdict"] == "pass",
        "line": verdict_line(report_from(report)),
        "points": [(point, page_of(point)) for point in shown],
        "in_order": [point for point in points if point["verdict"] == "pass"],
        "sketches": sketches(report, grave),
    }
