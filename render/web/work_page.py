"""What lists and jobs share on the page: how far they are, and why they failed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from typing import Any

from starlette.requests import Request
from starlette.responses import Response

from render.web.children import Workshop, workshop_of
from render.web.language import language_of, translator
from render.web.page import respond
from render.web.store import Stage, Work

_PASSING = ("preflight", "found")  # answered at once, and kept nowhere
_WEIGHTS = ("error", "blocked", "accepted", "warning", "note")


def failure_of(request: Request, work: Work) -> str:
    """Why work failed, as a sentence; empty where it did not, or where its findings say it."""
    if work.stage is not Stage.FAILED or not work.message:
        return ""
    t = translator(language_of(request))
    kind, _, rest = work.message.partition(" ")
    if kind in ("late", "died", "crash"):
        return t(f"job.failed_{kind}", rest=rest)
    return work.message


def working_page(request: Request, work: Work) -> Response:
    """How far a piece of work is, or why it came to nothing."""
    return respond(
        request,
        "working.html",
        work=work,
        progress=work.progress(),
        place=workshop_of(request).place(work),
        failure=failure_of(request, work),
    )


def tally_of(request: Request, findings: Iterable[Mapping[str, Any]]) -> str:
    """How many findings there are of each weight, the gravest first."""
    t = translator(language_of(request))
    counts = Counter("accepted" if each["accepted"] else each["severity"] for each in findings)
    listed = (name for name in _WEIGHTS if counts[name])
    return ", ".join(f"{t(f'list.severity_{name}')}: {counts[name]}" for name in listed)


def cards(workshop: Workshop) -> list[Work]:
    """All lists, jobs and surveys, the newest first."""
    return [each for each in workshop.store.every() if each.task not in _PASSING]
