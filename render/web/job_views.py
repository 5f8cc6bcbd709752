"""Jobs: their progress, their files, and actions on finished ones."""

from __future__ import annotations

import asyncio
import re
from collections.abc import Mapping
from pathlib import Path

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, RedirectResponse, Response
from starlette.routing import BaseRoute, Route

from render.files.atomic import write_file
from render.folder.approval import approve
from render.web.checking import FACES
from render.web.children import workshop_of
from render.web.language import language_of, translator
from render.web.list_views import handed_over
from render.web.making import JOB, MADE, SHEETS, ZIP
from render.web.page import respond
from render.web.problems import problem
from render.web.store import Stage, Work
from render.web.tasks import write_task
from render.web.uploads import fields_of, received
from render.web.work_page import cards, tally_of, working_page

APPROVAL = "approval.json"
_FACE = re.compile(r"[0-9A-F]{8,64}")
_TYPES = {
    ".pdf": "application/pdf",
    ".svg": "image/svg+xml",
    ".csv": "text/csv; charset=utf-8",
    ".json": "application/json",
}
_PATIENCE = 20.0  # seconds that a picture may take to be drawn


def routes() -> list[BaseRoute]:
    """The routes of jobs, and those that lists and jobs share."""
    return [
        Route("/work", all_work, name="work"),
        Route("/work/{id}/state", state, name="work_state"),
        Route("/work/{id}/cancel", cancel, methods=["POST"], name="work_cancel"),
        Route("/work/{id}/again", again, methods=["POST"], name="work_again"),
        Route("/work/{id}/remove", remove, methods=["POST"], name="work_remove"),
        Route("/work/{id}/faces/{face}.svg", face, name="face"),
        Route("/jobs/{id}", show_job, name="job"),
        Route("/jobs/{id}/job.zip", archive, name="job_zip"),
        Route("/jobs/{id}/files/{path:path}", job_file, name="job_file"),
        Route("/jobs/{id}/sheets/{sheet}.svg", sheet, name="job_sheet"),
        Route("/jobs/{id}/approval", approve_job, methods=["POST"], name="job_approve"),
        Route("/jobs/{id}/approval.json", approval_file, name="job_approval"),
        Route("/jobs/{id}/reprint", reprint_job, methods=["POST"], name="job_reprint"),
        Route("/jobs/{id}/diff", diff_job, methods=["POST"], name="job_diff"),
    ]


def work_of(request: Request) -> Work:
    """The list or the job that an address names.

    Raises:
        HTTPException: 404, there is none.
    """
    work = workshop_of(request).store.find(request.path_params["id"])
    if work is None:
        raise HTTPException(404)
    return work


def done_job(request: Request) -> Work:
    """The finished job that an address names.

    Raises:
        HTTPException: 404, there is none.
    """
    work = work_of(request)
    if work.view != "job" or work.stage is not Stage.DONE:
        raise HTTPException(404)
    return work


def all_work(request: Request) -> Response:
    """Every list and job that is kept."""
    return respond(request, "work.html", works=cards(workshop_of(request)))


def state(request: Request) -> Response:
    """The progress of a piece of work, for a script."""
    work = work_of(request)
    hop, done, total = work.progress() if work.stage is Stage.RUNNING else ("", 0, 0)
    t = translator(language_of(request))
    return JSONResponse(
        {
            "stage": work.stage,
            "over": work.stage.over,
            "hop": hop,
            "words": t(f"job.hop_{hop}") if hop else t(f"job.stage_{work.stage}"),
            "done": done,
            "total": total,
        }
    )


def cancel(request: Request) -> Response:
    """End a piece of work."""
    work = work_of(request)
    workshop_of(request).cancel(work)
    return RedirectResponse(_address(request, work), 303)


def again(request: Request) -> Response:
    """Run a piece of work again."""
    work = work_of(request)
    if not work.stage.over:
        return problem(request, 409, "list-stale")
    workshop_of(request).submit(work)
    return RedirectResponse(_address(request, work), 303)


def remove(request: Request) -> Response:
    """Remove a list or a job with all its files."""
    work, workshop = work_of(request), workshop_of(request)
    if not work.stage.over:
        workshop.cancel(work)
    workshop.store.remove(work)
    return RedirectResponse(request.app.url_path_for("home"), 303)


def _address(request: Request, work: Work) -> str:
    return str(request.app.url_path_for(work.view, id=work.id))


async def face(request: Request) -> Response:
    """The picture of a marker, as soon as it is drawn."""
    work, name = work_of(request), request.path_params["face"]
    if _FACE.fullmatch(name) is None:
        raise HTTPException(404)
    path = work.folder / FACES / f"{name}.svg"
    for _ in range(int(_PATIENCE / 0.05)):
        if path.is_file() or work_of(request).stage.over:
            break
        await asyncio.sleep(0.05)
    return _sent(path)


def sheet(request: Request) -> Response:
    """A sheet as a picture with its layers."""
    work, name = done_job(request), request.path_params["sheet"]
    made = work.read(MADE)
    groups = made.get("groups", [])
    assert isinstance(groups, list)
    if name not in {each["name"] for group in groups for each in group["sheets"]}:
        raise HTTPException(404)
    return _sent(work.folder / SHEETS / f"{name}.svg")


def _sent(path: Path, name: str = "") -> Response:
    """A file that the server wrote; a download if it has a name."""
    if not path.is_file():
        raise HTTPException(404)
    kind = _TYPES.get(path.suffix, "application/octet-stream")
    if name:
        return FileResponse(path, filename=name, media_type=kind)
    return FileResponse(path, media_type=kind)


def show_job(request: Request) -> Response:
    """A job: its progress, why it failed, or its results."""
    work = work_of(request)
    if work.view != "job":
        return RedirectResponse(_address(request, work), 303)
    if work.stage is not Stage.DONE:
        return working_page(request, work)
    made = work.read(MADE)
    if work.task == "diff":
        return respond(request, "diff.html", work=work, made=made)
    others = [each for each in cards(workshop_of(request)) if each.id != work.id]
    approval = work.read(APPROVAL)
    found = made["findings"]
    assert isinstance(found, list)
    return respond(
        request,
        "job.html",
        work=work,
        made=made,
        tally=tally_of(request, found),
        materials=_rows(work.folder / JOB / "materials.csv"),
        approval=approval,
        others=[e for e in others if e.stage is Stage.DONE and e.task in ("check", "order")],
    )


def _rows(path: Path) -> list[list[str]]:
    """The rows of a table that a job wrote."""
    import csv

    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.reader(file))


def archive(request: Request) -> Response:
    """The job folder as a ZIP file."""
    work = done_job(request)
    stem = re.sub(r"[^A-Za-z0-9]+", "-", work.title).strip("-") or "job"
    return _sent(work.folder / ZIP, f"{stem}-{work.id[:6]}.zip")


def job_file(request: Request) -> Response:
    """One file of a job folder, shown in the browser if possible."""
    work, wanted = done_job(request), request.path_params["path"]
    files = work.read(MADE).get("files", [])
    assert isinstance(files, list)
    for name, _size in files:
        if name == wanted:
            path = work.folder / JOB / name
            return _sent(path, "" if path.suffix in (".pdf", ".svg") else path.name)
    raise HTTPException(404)


async def approve_job(request: Request) -> Response:
    """Record who approved the proof of a job, and when."""
    fields = await fields_of(request)
    return await run_in_threadpool(_approved, request, fields)


def _approved(request: Request, fields: Mapping[str, str]) -> Response:
    work = done_job(request)
    by, date, note = (fields.get(name, "").strip() for name in ("by", "date", "note"))
    write_file(work.folder / APPROVAL, approve(work.folder / JOB, by, date, note))
    return RedirectResponse(f"{_address(request, work)}#approval", 303)


def approval_file(request: Request) -> Response:
    """The approval of a job."""
    return _sent(done_job(request).folder / APPROVAL, APPROVAL)


async def reprint_job(request: Request) -> Response:
    """Make some markers of a job again: by picture, and by tag, line number or id."""
    fields = await fields_of(request)
    return await run_in_threadpool(_reprinted, request, fields)


def _reprinted(request: Request, fields: Mapping[str, str]) -> Response:
    old, workshop = done_job(request), workshop_of(request)
    wanted = [each for each in re.split(r"[\n,;]+", fields.get("ids", "")) if each.strip()]
    for name, count in fields.items():
        if name.startswith("n-") and count.strip() not in ("", "0"):
            wanted.append(f"{name[2:]}={count.strip()}")
    if not wanted:
        return problem(request, 422, "reprint-none")
    job = workshop.store.create("reprint", old.title, old.id)
    words = {"old": str(old.folder / JOB), "ids": [each.strip() for each in wanted]}
    shop = str(workshop.settings.shop_file or "")
    write_task(job, {**words, "stock": fields.get("stock", "").strip(), "shop": shop})
    workshop.submit(job)
    return RedirectResponse(_address(request, job), 303)


async def diff_job(request: Request) -> Response:
    """Compare a job with a list that is dropped, a list that is here, or another job."""
    files, fields = await received(request)
    main = next((each for each in files if each.field == "list"), None)

    def started() -> Response:
        old, workshop = done_job(request), workshop_of(request)
        other = workshop.store.find(fields.get("other", ""))
        usable = other is not None and other.task != "survey" and other.stage is Stage.DONE
        if main is None and not usable:
            return problem(request, 422, "diff-none")
        job = workshop.store.create("diff", old.title, old.id)
        words: dict[str, object] = {"shop": str(workshop.settings.shop_file or "")}
        if main is not None:
            (job.folder / "given" / main.name).write_bytes(main.data)
            words["main"] = main.name
        elif other is not None and other.is_list:
            words |= handed_over(other, job)
        elif other is not None:
            words["new"] = str(other.folder / JOB)
        write_task(job, {**words, "old": str(old.folder / JOB)})
        workshop.submit(job)
        return RedirectResponse(_address(request, job), 303)

    return await run_in_threadpool(started)
