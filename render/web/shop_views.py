"""The sign shop: its file of stocks and printer, and links to print files and colors."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, RedirectResponse, Response
from starlette.routing import BaseRoute, Route

from layouts.terms.errors import InputError
from layouts.terms.findings import Finding
from render.shop.listing import shelf, shelf_lines
from render.web.page import respond, settings_of
from render.web.shop_form import (
    PRINTER_KEYS,
    STOCK_KEYS,
    filled_in,
    read_raw,
    save_shop,
    shown_values,
)
from render.web.uploads import field_lists_of

_FIELD = re.compile(r"printer\.\w+|stock\.\d{1,3}\.\w+")
_SPARE = 1  # empty stocks at the end of the form


def routes() -> list[BaseRoute]:
    """The shop's pages."""
    return [
        Route("/shop", shop_page, name="shop"),
        Route("/shop/file", shop_file, name="shop-file"),
        Route("/shop/file", write_shop, methods=["POST"], name="shop-write"),
        Route("/shop/file/shop.toml", shop_toml_file, name="shop-toml"),
    ]


def shop_page(request: Request) -> Response:
    """Show the shop's tasks."""
    return respond(request, "shop.html")


def shop_file(request: Request) -> Response:
    """The form, filled in from the file, and the file as the program reads it."""
    tables = read_raw(settings_of(request).shop_file)
    saved = "saved" in request.query_params
    return respond(request, "shop_file.html", **_of_shop(request, tables, saved=saved))


async def write_shop(request: Request) -> Response:
    """Write the file, or show the form again with its errors."""
    given = await field_lists_of(request)
    fields = {name: texts for name, texts in given.items() if _FIELD.fullmatch(name)}
    settings = settings_of(request)
    tables = filled_in(read_raw(settings.shop_file), fields)
    try:
        await run_in_threadpool(save_shop, settings.folder / "shop.toml", tables)
    except InputError as error:
        findings = tuple(replace(each, place=_in_file(each)) for each in error.findings)
        values = _of_shop(request, tables, findings)
        return respond(request, "shop_file.html", status=422, **values)
    return RedirectResponse(f"{request.app.url_path_for('shop-file')}?saved=1", 303)


def shop_toml_file(request: Request) -> Response:
    """The file, for the command line."""
    path = settings_of(request).shop_file
    if path is None:
        raise HTTPException(404)
    return FileResponse(path, filename="shop.toml", media_type="application/toml")


def _in_file(finding: Finding) -> Any:
    return replace(finding.place, file="")


def _of_shop(
    request: Request,
    tables: Mapping[str, Any],
    findings: tuple[Finding, ...] = (),
    saved: bool = False,
) -> dict[str, Any]:
    path = settings_of(request).shop_file
    stocks = [*tables.get("stocks", []), *[{}] * _SPARE]
    return {
        "exists": path is not None,
        "saved": saved,
        "findings": findings,
        "printer": shown_values(tables.get("printer", {}), PRINTER_KEYS),
        "stocks": [shown_values(each, STOCK_KEYS) for each in stocks],
        "printer_keys": PRINTER_KEYS,
        "stock_keys": STOCK_KEYS,
        "read_back": list(shelf_lines(shelf(path))),
    }
