"""Markers, orders and jobs as JSON for programs, described at ``/openapi.json``."""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import partial
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, Response
from starlette.routing import BaseRoute, Route

from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Severity
from render.cli.findings import finding_table, in_order
from render.read import one_marker, read
from render.web.checking import refuse_paths
from render.web.children import workshop_of
from render.web.making import JOB, MADE
from render.web.openapi import BUSY, openapi
from render.web.page import respond, settings_of
from render.web.problems import problem
from render.web.store import Stage, Work
from render.web.tasks import write_task
from render.web.uploads import body_of
from render.web.work_page import failure_of

_LARGEST = 16 << 20  # bytes of an order
_SMALL = 1 << 16  # bytes of one marker
_ORDER = "order.json"
_FORMATS = {
    "application/pdf": ".pdf",
    "image/svg+xml": ".svg",
    "image/vnd.dxf": ".dxf",
    "image/png": ".png",
}


def routes() -> list[BaseRoute]:
    """The endpoints for programs, and the page that describes them."""
    return [
        Route("/openapi.json", described, name="openapi"),
        Route("/api", api_page, name="api"),
        Route("/api/markers", draw_marker, methods=["POST"], name="api_markers"),
        Route("/api/orders", take_order, methods=["POST"], name="api_orders"),
        Route("/api/jobs/{id}", one_job, methods=["GET", "DELETE"], name="api_job"),
        Route("/api/jobs/{id}/files", files_of, name="api_files"),
        Route("/api/jobs/{id}/files/{path:path}", file_of, name="api_file"),
    ]


def described(request: Request) -> Response:
    """The description of the endpoints, in OpenAPI 3.1."""
    return JSONResponse(openapi(settings_of(request).base_path))


def api_page(request: Request) -> Response:
    """The same description for people."""
    spec = openapi(settings_of(request).base_path)
    return respond(request, "api.html", spec=spec)


async def _table(request: Request, most: int) -> dict[str, object]:
    """The JSON object that a request carries.

    Raises:
        HTTPException: 413 or 415.
        InputError: it is not a JSON object.
    """
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if kind != "application/json":
        raise HTTPException(415)
    data = await body_of(request, most)
    try:
        found = json.loads(data)
    except (ValueError, RecursionError) as error:
        raise InputError([_unreadable("the body is not JSON")]) from error
    if not isinstance(found, dict):
        raise InputError([_unreadable("the body is not a JSON object")])
    return found


def _unreadable(what: str) -> Finding:
    return Finding("bad-syntax", Severity.UNREADABLE, what, "see /openapi.json")


async def draw_marker(request: Request) -> Response:
    """Draw one marker; the response is JSON, or the file that the Accept header asks for."""
    fields = await _table(request, _SMALL)
    return await run_in_threadpool(partial(_drawn, request, fields))


def _drawn(request: Request, fields: dict[str, object]) -> Response:
    from render.draw import draw, drawn_bytes
    from render.one_marker import face_picture
    from render.options import Options
    from render.shop.shopfile import load_shop

    refuse_paths(fields)
    options = Options(load_shop(settings_of(request).shop_file))
    document, markers, findings = draw(one_marker(fields), options)
    asked = request.headers.get("accept", "").partition(",")[0].partition(";")[0].strip()
    if (suffix := _FORMATS.get(asked)) is not None:
        role = markers[0].face.parts[0].role
        return Response(drawn_bytes(document, suffix, options, role), media_type=asked)
    return JSONResponse(
        {
            "markers": [
                {
                    "id": each.id,
                    "words": each.face.words,
                    "length_mm": each.face.measures.length,
                    "height_mm": each.face.measures.height,
                    "letter_height_mm": each.face.measures.letter_height,
                    "scheme": each.plan.scheme,
                    "mounting": each.plan.build.mount_text,
                    "reasons": [f"{r.topic}: {r.text}" for r in each.plan.reasons],
                    "face_svg": face_picture(each).decode(),
                }
                for each in markers
            ],
            "findings": [finding_table(each) for each in in_order(findings)],
        }
    )


async def take_order(request: Request) -> Response:
    """Accept an order and queue its job."""
    tables = await _table(request, _LARGEST)
    return await run_in_threadpool(partial(_accepted, request, tables))


def _accepted(request: Request, tables: Mapping[str, object]) -> Response:
    refuse_paths(tables)
    if "line_list" in tables:
        what = "an order that comes without files names no line list"
        raise InputError([Finding("bad-line-list", Severity.UNREADABLE, what, "give markers")])
    workshop = workshop_of(request)
    title = tables.get("title")
    job = workshop.store.create("order", str(title)[:120] if title else "Marker order")
    path = job.folder / "given" / _ORDER
    path.write_text(json.dumps(tables), "utf-8")
    faults = [each for each in read(path).findings if each.severity is Severity.UNREADABLE]
    if faults:
        workshop.store.remove(job)
        raise InputError(faults)
    write_task(job, {"main": _ORDER, "shop": str(workshop.settings.shop_file or "")})
    job = workshop.submit(job)
    address = str(request.app.url_path_for("api_job", id=job.id))
    return JSONResponse(_job_table(request, job), 202, {"Location": address})


def _job(request: Request) -> Work:
    """The job at an address.

    Raises:
        HTTPException: 404, there is none.
    """
    work = workshop_of(request).store.find(request.path_params["id"])
    if work is None or work.is_list:
        raise HTTPException(404)
    return work


def _job_table(request: Request, work: Work) -> dict[str, object]:
    """A job as JSON for programs."""
    running = work.stage is Stage.RUNNING
    hop, done, total = work.progress() if running else ("", 0, 0)
    made = work.read(MADE) if work.stage is Stage.DONE else {}
    return {
        "id": work.id,
        "title": work.title,
        "stage": work.stage,
        "hop": hop,
        "done": done,
        "total": total,
        "message": failure_of(request, work),
        "findings": made.get("findings", list(work.findings)),
        "files": str(request.app.url_path_for("api_files", id=work.id)),
    }


def one_job(request: Request) -> Response:
    """A job's progress and findings; a delete request ends one that waits or runs."""
    work = _job(request)
    if request.method == "DELETE" and not work.stage.over:
        workshop_of(request).cancel(work)
        work = _job(request)
    headers = {} if work.stage.over else {"Retry-After": BUSY}
    return JSONResponse(_job_table(request, work), headers=headers)


def files_of(request: Request) -> Response:
    """The files of a finished job."""
    work = _job(request)
    if work.stage is not Stage.DONE:
        return problem(request, 409, "job-unfinished")
    files = work.read(MADE).get("files", [])
    assert isinstance(files, list)
    base = str(request.app.url_path_for("api_files", id=work.id))
    listed = [{"name": n, "bytes": size, "address": f"{base}/{quote(n)}"} for n, size in files]
    return JSONResponse({"files": listed})


def file_of(request: Request) -> Response:
    """One file of a finished job."""
    work, wanted = _job(request), request.path_params["path"]
    if work.stage is not Stage.DONE:
        return problem(request, 409, "job-unfinished")
    files = work.read(MADE).get("files", [])
    assert isinstance(files, list)
    for name, _size in files:
        if name == wanted:
            return FileResponse(work.folder / JOB / name, media_type="application/octet-stream")
    raise HTTPException(404)
