"""A survey's questions: one piece after the other, and markers that are in no list."""

from __future__ import annotations

from collections.abc import Mapping

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from layouts.survey.sightings import Seen
from render.web.page import respond
from render.web.store import Work
from render.web.survey_answers import (
    LONGEST,
    PLACED,
    TYPED,
    Answer,
    RefusedError,
    Walk,
    add_stray,
    answer_of,
    drop_stray,
    faults_of,
    keep_answer,
    read_answers,
)
from render.web.survey_page import find_place, find_ready_survey, go_on
from render.web.uploads import field_lists_of

Fields = Mapping[str, list[str]]


def routes() -> list[BaseRoute]:
    """All that is asked on a walk."""
    return [
        Route("/survey/{id}/pieces/{at:int}", show_piece, name="survey_piece"),
        Route("/survey/{id}/pieces/{at:int}", take_piece, methods=["POST"], name="survey_answer"),
        Route("/survey/{id}/others/{area:int}", show_strays, name="survey_strays"),
        Route("/survey/{id}/others/{area:int}", take_stray, methods=["POST"], name="survey_stray"),
    ]


def show_piece(request: Request) -> Response:
    """One piece with its picture, and what was answered."""
    work, walk = find_ready_survey(request)
    book = read_answers(work)
    if not book.by:
        return go_on(request, "survey_of", work)
    piece = walk.pieces[find_place(request, "at", walk.pieces)]
    return _piece(request, work, walk, book.pieces.get(piece.id, {}))


def _piece(request: Request, work: Work, walk: Walk, answer: Answer, fault: str = "") -> Response:
    at = find_place(request, "at", walk.pieces)
    piece = walk.pieces[at]
    own = [n for n, each in enumerate(walk.pieces) if each.area == piece.area]
    faults = dict(faults_of(answer)) | ({"": fault} if fault else {})
    return respond(
        request,
        "survey_piece.html",
        status=422 if faults and request.method == "POST" else 200,
        work=work,
        piece=piece,
        at=at + 1,
        area=walk.areas.index(piece.area) + 1,
        number=at - own[0] + 1,
        total=len(own),
        answer=answer,
        faults=faults,
        seen=list(Seen),
        longest=LONGEST,
    )


async def take_piece(request: Request) -> Response:
    """Keep an answer, and go on, back, or stay."""
    fields = await field_lists_of(request)
    return await run_in_threadpool(_answer, request, fields)


def _answer(request: Request, fields: Fields) -> Response:
    work, walk = find_ready_survey(request)
    at = find_place(request, "at", walk.pieces)
    piece, way = walk.pieces[at], fields.get("go", ["next"])[-1]
    if not read_answers(work).by:
        return go_on(request, "survey_of", work)
    try:
        answer = answer_of(fields, TYPED)
    except RefusedError as error:
        return _piece(request, work, walk, _read_typed(fields), str(error))
    keep_answer(work, piece.id, answer)
    if way == "keep":
        return Response(status_code=204)
    if any(faults_of(answer)):
        return _piece(request, work, walk, answer)
    there = at - 1 if way == "back" else at + 1
    if not 0 <= there < len(walk.pieces) or walk.pieces[there].area != piece.area:
        return go_on(request, "survey_of", work)
    return go_on(request, "survey_piece", work, at=there + 1)


def _read_typed(fields: Fields) -> Answer:
    """What a form holds, as it was typed."""
    return {name: ", ".join(texts) for name, texts in fields.items()}


def show_strays(request: Request) -> Response:
    """Markers of an area that hang and are in no list."""
    work, walk = find_ready_survey(request)
    if not read_answers(work).by:
        return go_on(request, "survey_of", work)
    return _strays(request, work, walk, {})


def _strays(
    request: Request, work: Work, walk: Walk, typed: Answer, faults: Mapping[str, str] | None = None
) -> Response:
    area = walk.areas[find_place(request, "area", walk.areas)]
    strays = [each for each in read_answers(work).strays if each["area"] == area]
    return respond(
        request,
        "survey_strays.html",
        status=422 if faults else 200,
        work=work,
        area=area,
        strays=strays,
        answer=typed,
        faults=faults or {},
        placed=PLACED,
        seen=[each for each in Seen if each is not Seen.MISSING],
        longest=LONGEST,
    )


async def take_stray(request: Request) -> Response:
    """Keep a marker that is in no list, or take one back."""
    fields = await field_lists_of(request)
    return await run_in_threadpool(_take_or_drop, request, fields)


def _take_or_drop(request: Request, fields: Fields) -> Response:
    work, walk = find_ready_survey(request)
    at = find_place(request, "area", walk.areas)
    if not read_answers(work).by:
        return go_on(request, "survey_of", work)
    if "drop" in fields:
        drop_stray(work, fields["drop"][-1])
        return go_on(request, "survey_strays", work, area=at + 1)
    try:
        answer = answer_of(fields, (*TYPED, *PLACED))
        faults = dict(faults_of(answer))
    except RefusedError as error:
        answer = _read_typed(fields)
        faults = {"": str(error)}
    if not answer.get("reads"):
        faults["reads"] = "survey.fault_reads"
    if str(Seen.MISSING) in fields.get("found", ()):
        faults["found"] = "survey.fault_missing"
    if faults:
        return _strays(request, work, walk, answer, faults)
    add_stray(work, walk.areas[at], answer)
    return go_on(request, "survey_strays", work, area=at + 1)
