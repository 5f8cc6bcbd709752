"""What the pages of a survey share: which survey an address names, and the way on from it."""

from __future__ import annotations

from collections.abc import Sequence

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from render.web.children import workshop_of
from render.web.store import Stage, Work
from render.web.survey_answers import Walk, read_walk


def survey_of(request: Request) -> Work:
    """The survey that an address names.

    Raises:
        HTTPException: 404, there is none.
    """
    work = workshop_of(request).store.find(request.path_params["id"])
    if work is None or work.task != "survey":
        raise HTTPException(404)
    return work


def find_ready_survey(request: Request) -> tuple[Work, Walk]:
    """The survey that an address names, with its pieces.

    Raises:
        HTTPException: 404, there is none, or its pieces are not known yet.
    """
    work = survey_of(request)
    if work.stage is not Stage.DONE:
        raise HTTPException(404)
    return work, read_walk(work)


def go_on(request: Request, name: str, work: Work, **places: int) -> Response:
    """On to another page of a survey."""
    return RedirectResponse(request.app.url_path_for(name, id=work.id, **places), 303)


def find_place(request: Request, name: str, among: Sequence[object]) -> int:
    """What a number of an address, counted from 1, is among.

    Raises:
        HTTPException: 404, there are not so many.
    """
    at = int(request.path_params[name])
    if not 1 <= at <= len(among):
        raise HTTPException(404)
    return at - 1
