"""A survey on the phone: begun with a list, signed, and what its answers come to."""

from __future__ import annotations

import datetime
from collections.abc import Mapping

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from render.web.children import workshop_of
from render.web.list_views import handed_over, take_list_files
from render.web.page import respond
from render.web.problems import problem
from render.web.store import Stage, Work
from render.web.survey_answers import (
    AnswerBook,
    RefusedError,
    Walk,
    is_answered,
    read_answers,
    read_walk,
    sheet_of,
    sign,
)
from render.web.survey_page import find_place, find_ready_survey, go_on, survey_of
from render.web.tasks import read_task, write_task
from render.web.uploads import GivenFile, fields_of, received
from render.web.work_page import working_page


def routes() -> list[BaseRoute]:
    """Where a survey begins, and all that is done with it as a whole."""
    return [
        Route("/survey", new_survey, name="survey"),
        Route("/survey", start_survey, methods=["POST"], name="survey_start"),
        Route("/survey/{id}", show_survey, name="survey_of"),
        Route("/survey/{id}", sign_survey, methods=["POST"], name="survey_sign"),
        Route("/survey/{id}/sheets/{area:int}.csv", sheet, name="survey_sheet"),
        Route("/survey/{id}/found", judge, methods=["POST"], name="survey_found"),
    ]


def new_survey(request: Request) -> Response:
    """Which list to walk with, and the surveys that are here."""
    works = workshop_of(request).store.every()
    lists = [each for each in works if each.is_list and each.stage is Stage.DONE]
    surveys = [each for each in works if each.task == "survey"]
    return respond(request, "survey_new.html", lists=lists, surveys=surveys)


async def start_survey(request: Request) -> Response:
    """A survey of a list that is dropped, or of one that is here."""
    files, fields = await received(request)
    main = next((each for each in files if each.field == "list"), None)
    return await run_in_threadpool(_start, request, main, files, fields)


def _start(
    request: Request, main: GivenFile | None, files: list[GivenFile], fields: Mapping[str, str]
) -> Response:
    workshop = workshop_of(request)
    if main is not None:
        return go_on(request, "survey_of", take_list_files(workshop, main, files, "survey"))
    checked = workshop.store.find(fields.get("from", ""))
    if checked is None or not checked.is_list:
        return problem(request, 422, "list-missing")
    if checked.stage is not Stage.DONE:
        return problem(request, 409, "list-stale")
    work = workshop.store.create("survey", checked.title)
    write_task(work, handed_over(checked, work))
    return go_on(request, "survey_of", workshop.submit(work))


def show_survey(request: Request) -> Response:
    """Who looks and when, and how far each area is."""
    work = survey_of(request)
    if work.stage is not Stage.DONE:
        return working_page(request, work)
    return _overview(request, work)


def _overview(
    request: Request, work: Work, fault: str = "", typed: Mapping[str, str] | None = None
) -> Response:
    walk, book = read_walk(work), read_answers(work)
    areas = [_progress(walk, book, area) for area in walk.areas]
    return respond(
        request,
        "survey.html",
        status=422 if fault else 200,
        work=work,
        fault=fault,
        areas=areas,
        values=typed or {"by": book.by, "day": book.day},
        today=datetime.date.today().isoformat(),
        signed=bool(book.by),
    )


def _progress(walk: Walk, book: AnswerBook, area: str) -> dict[str, object]:
    """How far an area is, and the piece where it goes on: its first without an answer."""
    own = [at for at, piece in enumerate(walk.pieces, 1) if piece.area == area]
    open_ones = [at for at in own if not is_answered(book.pieces.get(walk.pieces[at - 1].id))]
    strays = sum(each["area"] == area for each in book.strays)
    done = len(own) - len(open_ones)
    first = open_ones[0] if open_ones else own[0]
    return {"name": area, "done": done, "total": len(own), "at": first, "strays": strays}


async def sign_survey(request: Request) -> Response:
    """Keep who looks, and go to the area that was chosen."""
    fields = await fields_of(request)
    return await run_in_threadpool(_sign_and_go, request, fields)


def _sign_and_go(request: Request, fields: Mapping[str, str]) -> Response:
    work, walk = find_ready_survey(request)
    try:
        sign(work, fields.get("by", ""), fields.get("day", ""))
    except RefusedError as error:
        return _overview(request, work, str(error), {"by": "", "day": "", **fields})
    chosen = fields.get("area", "")
    if not chosen.isascii() or not chosen.isdigit() or int(chosen) >= len(walk.areas):
        return go_on(request, "survey_of", work)
    at = _progress(walk, read_answers(work), walk.areas[int(chosen)])["at"]
    assert isinstance(at, int)
    return go_on(request, "survey_piece", work, at=at)


def sheet(request: Request) -> Response:
    """The filled sheet of an area, for `pipelegend found`."""
    work, walk = find_ready_survey(request)
    at = find_place(request, "area", walk.areas)
    data = sheet_of(walk, read_answers(work), walk.areas[at])
    headers = {"Content-Disposition": f'attachment; filename="survey-{work.id[:6]}-{at + 1}.csv"'}
    return Response(data, 200, headers, "text/csv; charset=utf-8")


def judge(request: Request) -> Response:
    """What all answers so far come to."""
    work, walk = find_ready_survey(request)
    book, task = read_answers(work), read_task(work.folder)
    given = {path.name: path.read_bytes() for path in (work.folder / "given").iterdir()}
    mapping = task.text("mapping")
    if mapping:
        given[mapping] = (work.folder / mapping).read_bytes()
    # No given file can have a comma in its name, so none is written over.
    sheets = {
        f"survey, area {at}.csv": sheet_of(walk, book, area)
        for at, area in enumerate(walk.areas, 1)
    }
    words = {"main": task.text("main"), "also": task.texts("also"), "mapping": mapping}
    words |= {"shop": task.text("shop"), "sheets": list(sheets)}
    found = workshop_of(request).answer("found", {**given, **sheets}, words)
    return respond(request, "survey_found.html", work=work, found=found)
