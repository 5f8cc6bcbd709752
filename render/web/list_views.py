"""A list: uploaded, checked, corrected in place, returned, and made into a job."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Mapping
from dataclasses import replace
from importlib import resources
from pathlib import Path

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, RedirectResponse, Response
from starlette.routing import BaseRoute, Route

from render.read.columns import NAMES
from render.read.corrected import corrected_name
from render.shop.shopfile import load_shop
from render.web.checking import FOUND
from render.web.children import Workshop, workshop_of
from render.web.edits import read_edits, write_edits
from render.web.list_rows import Found, accepted_ones, changed_cells, list_view, stamp_of
from render.web.page import respond, settings_of
from render.web.problems import problem
from render.web.store import Stage, Work
from render.web.tasks import read_task, write_task
from render.web.uploads import GivenFile, fields_of, received
from render.web.work_page import tally_of, working_page

_DEMO = "demo_plant.xlsx"
_LISTS = (".xlsx", ".xlsm", ".ods", ".xls", ".csv")
_ORDERS = (".toml", ".json")
_MAPPING = "mapping.toml"
_SHORTEST = 8  # characters of a reason, as an order asks for
_DRAWN = 30.0  # seconds that a correction waits for the last markers to be drawn
_PATIENCE = 4.0  # seconds that a response waits for findings before it shows progress


def routes() -> list[BaseRoute]:
    """The routes of lists."""
    return [
        Route("/lists/new", new_list, name="list_new"),
        Route("/lists", take_list, methods=["POST"], name="list_take"),
        Route("/demo", take_demo, methods=["POST"], name="demo"),
        Route("/lists/{id}", show_list, name="list"),
        Route("/lists/{id}", fix_list, methods=["POST"], name="list_fix"),
        Route("/lists/{id}/headings", choose_headings, methods=["POST"], name="list_headings"),
        Route("/lists/{id}/files/{name}", list_file, name="list_file"),
        Route("/lists/{id}/order", order_list, methods=["POST"], name="list_order"),
    ]


def new_list(request: Request) -> Response:
    """The upload page of a list."""
    return respond(request, "list_new.html")


async def take_list(request: Request) -> Response:
    """Store the upload, and check it."""
    files, _fields = await received(request)
    main = next((each for each in files if each.field == "list"), None)
    if main is None:
        return problem(request, 422, "list-missing")
    work = await run_in_threadpool(take_list_files, workshop_of(request), main, files)
    return _seen(request, work)


def take_demo(request: Request) -> Response:
    """Check the list of the demo plant."""
    data = (resources.files("render.web") / "demo" / _DEMO).read_bytes()
    given = GivenFile("list", _DEMO, data)
    return _seen(request, take_list_files(workshop_of(request), given, [given]))


def take_list_files(
    workshop: Workshop, main: GivenFile, files: list[GivenFile], purpose: str = "check"
) -> Work:
    """New work on a list of these files, waiting to be checked or done."""
    title = Path(main.name).stem.replace("_", " ")
    work = workshop.store.create(purpose, title)
    mapping = next((each for each in files if each.field == "mapping"), None)
    for each in files:
        if each is mapping:
            (work.folder / _MAPPING).write_bytes(each.data)
        else:
            (work.folder / "given" / each.name).write_bytes(each.data)
    beside = [e.name for e in files if e.field == "also" and e.name.endswith(_LISTS)]
    is_order = main.name.endswith(_ORDERS)  # it names its lists itself
    write_task(
        work,
        {
            "main": main.name,
            "also": [] if is_order else beside,
            "mapping": _MAPPING if mapping else "",
            "shop": str(workshop.settings.shop_file or ""),
        },
    )
    return workshop.submit(work)


def _seen(request: Request, work: Work, query: str = "") -> Response:
    """Redirect to the list's page."""
    return RedirectResponse(f"{request.app.url_path_for('list', id=work.id)}{query}", 303)


def list_of(request: Request) -> Work:
    """The list that an address names.

    Raises:
        HTTPException: 404, there is none.
    """
    work = workshop_of(request).store.find(request.path_params["id"])
    if work is None or not work.is_list:
        raise HTTPException(404)
    return work


async def show_list(request: Request) -> Response:
    """The list with its findings, or the progress of its check."""
    work = list_of(request)
    for _ in range(int(_PATIENCE / 0.05)):
        if _is_found(work):
            break
        await asyncio.sleep(0.05)
        work = list_of(request)
        if work.stage.over:
            break
    if not _is_found(work):
        return await run_in_threadpool(working_page, request, work)
    return await run_in_threadpool(_shown, request, work)


def _is_found(work: Work) -> bool:
    return work.stage in (Stage.RUNNING, Stage.DONE) and (work.folder / FOUND).is_file()


def _shown(request: Request, work: Work) -> Response:
    data = (work.folder / FOUND).read_bytes()
    found: Found = json.loads(data)
    asked, edits = request.query_params, read_edits(work.folder)
    page = asked.get("page", "1")
    whole = asked.get("all") == "1"
    view = list_view(found, edits, int(page) if page.isdecimal() else 1, whole)
    shop = load_shop(settings_of(request).shop_file)
    return respond(
        request,
        "list.html",
        work=work,
        found=found,
        tally=tally_of(request, found["findings"]),
        view=view,
        whole=whole,
        stamp=stamp_of(data),
        edits=edits,
        columns=NAMES,
        stocks=sorted(shop.stocks),
        files=(files := _files(work)),
        with_order=files[-1].endswith(".order.json"),
    )


def _files(work: Work) -> list[str]:
    """The current names of the list's files."""
    task = read_task(work.folder)
    corrected = work.folder / "corrected"
    names = [task.text("main"), *task.texts("also")]
    if not corrected.is_dir():
        return names
    there = [n if (corrected / n).exists() else corrected_name(n) for n in names]
    return [*there, *sorted(p.name for p in corrected.glob("*.order.json"))]


def list_file(request: Request) -> Response:
    """A file of the list, with its corrections if it has any."""
    work = list_of(request)
    wanted = request.path_params["name"]
    folder = "corrected" if (work.folder / "corrected").is_dir() else "given"
    for path in (work.folder / folder).iterdir():
        if path.name == wanted:
            return FileResponse(path, filename=path.name, media_type="application/octet-stream")
    raise HTTPException(404)


async def fix_list(request: Request) -> Response:
    """Store the corrections made on a page, and check the list again."""
    fields = await fields_of(request)
    return await run_in_threadpool(_fixed, request, fields)


def _settled(request: Request) -> Work:
    """The list once its markers are drawn: findings are shown, and fixed, before that."""
    work = list_of(request)
    if _is_found(work):
        work = workshop_of(request).wait(work.id, _DRAWN) or work
    return work


def _fixed(request: Request, fields: Mapping[str, str]) -> Response:
    work = _settled(request)
    if not work.stage.over or not _is_found(work):
        return problem(request, 409, "list-stale")
    data = (work.folder / FOUND).read_bytes()
    if fields.get("stamp") != stamp_of(data):
        return problem(request, 409, "list-stale")
    found, edits = json.loads(data), read_edits(work.folder)
    accepted = accepted_ones(found, fields)
    if any(len(reason) < _SHORTEST for _code, reason, _marker in accepted):
        return problem(request, 422, "list-reason")
    edits = edits.with_cells(changed_cells(found, fields))
    for each in accepted:
        edits = edits.with_accepted(*each)
    write_edits(work.folder, edits)
    return _again(request, work, "?all=1" if fields.get("all") == "1" else "")


async def choose_headings(request: Request) -> Response:
    """Store the columns chosen for the headings, and check the list again."""
    fields = await fields_of(request)
    return await run_in_threadpool(_headings_chosen, request, fields)


def _headings_chosen(request: Request, fields: Mapping[str, str]) -> Response:
    work = _settled(request)
    if not work.stage.over or not _is_found(work):
        return problem(request, 409, "list-stale")
    found = json.loads((work.folder / FOUND).read_bytes())
    edits = read_edits(work.folder)
    columns = {sheet: dict(each) for sheet, each in edits.columns.items()}
    kinds = dict(edits.kinds)
    for at, table in enumerate(found["tables"]):
        for heading in table["headings"]:
            chosen = fields.get(f"h-{at}-{heading['index']}")
            if chosen is None or chosen == heading["column"] or chosen not in ("", *NAMES):
                continue
            columns.setdefault(table["sheet"], {})[heading["heading"]] = chosen
        kind = fields.get(f"k-{at}", "")
        if table["sheet"] and kind in ("pipe", "equipment", "valve", "skip"):
            kinds[table["sheet"]] = kind
    write_edits(work.folder, replace(edits, columns=columns, kinds=kinds))
    return _again(request, work)


def _again(request: Request, work: Work, query: str = "") -> Response:
    return _seen(request, workshop_of(request).submit(work), query)


async def order_list(request: Request) -> Response:
    """Make the job of a list as it is now."""
    fields = await fields_of(request)
    return await run_in_threadpool(_ordered, request, fields)


def _ordered(request: Request, fields: Mapping[str, str]) -> Response:
    work = list_of(request)
    workshop = workshop_of(request)
    job = workshop.store.create("order", work.title, work.id)
    words = handed_over(work, job)
    offcut = [each.strip() for each in fields.get("offcut", "").split(";") if each.strip()]
    choices = ("film", "plate", "tag", "keep_together", "long_parts")
    words |= {name: fields.get(name, "").strip() for name in choices}
    write_task(job, {**words, "offcut": offcut})
    workshop.submit(job)
    return RedirectResponse(request.app.url_path_for("job", id=job.id), 303)


def handed_over(work: Work, job: Work) -> dict[str, object]:
    """Copy the current list into a job's folder, and return the task for the job's child."""
    import shutil

    task = read_task(work.folder)
    corrected = work.folder / "corrected"
    source = corrected if corrected.is_dir() else work.folder / "given"
    shutil.copytree(source, job.folder / "given", dirs_exist_ok=True)
    names = _files(work)
    order = next((each for each in names if each.endswith(".order.json")), "")
    chosen = next(
        (n for n in ("chosen.toml", task.text("mapping")) if n and (work.folder / n).is_file()), ""
    )
    if chosen:
        shutil.copyfile(work.folder / chosen, job.folder / _MAPPING)
    return {
        "main": order or names[0],
        "also": [] if order else names[1:],
        "mapping": _MAPPING if chosen else "",
        "shop": task.text("shop"),
    }
