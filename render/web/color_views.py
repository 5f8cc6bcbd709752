"""Colors: a scheme's inks, how a printer reproduces them, and how readings compare."""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from layouts.drawing.ink_report import Intent
from layouts.schemes.loader import load_scheme, scheme_keys
from layouts.terms.words import PartRole
from render.color.ink_comparison import Colors, colors_of, target
from render.options import Options
from render.read.fonts import default_typefaces
from render.shop.shopfile import load_shop
from render.web.marker_form import read_form
from render.web.marker_sight import findings_sight
from render.web.page import respond, settings_of
from render.web.uploads import GivenFile, received
from render.write import pdf
from render.write.pdf.press import intent_of, press_of


def routes() -> list[BaseRoute]:
    """Uploads of a profile and readings, the comparison, and the sheet to measure."""
    return [
        Route("/shop/colors", colors_form, name="colors"),
        Route("/shop/colors", compare_colors, methods=["POST"], name="colors-compare"),
        Route("/shop/colors/target.pdf", colors_target, name="colors-target"),
    ]


def colors_form(request: Request) -> Response:
    """A scheme's inks, and the upload of a profile and readings."""
    scheme = read_form(request.query_params).scheme
    found = colors_of(load_scheme(scheme), None, Intent.ABSOLUTE, None)
    return respond(request, "colors.html", **_of_colors(scheme, found, judged=False))


async def compare_colors(request: Request) -> Response:
    """The inks beside their printed and measured colors."""
    files, fields = await received(request)
    scheme = read_form(fields).scheme
    shop = settings_of(request).shop_file
    found = await run_in_threadpool(_compared, scheme, files, fields.get("intent", ""), shop)
    judged = any(each.field == "readings" for each in files)
    return respond(request, "colors.html", **_of_colors(scheme, found, judged=judged))


def colors_target(request: Request) -> Response:
    """The sheet of patches for the shop to print and measure."""
    scheme = load_scheme(read_form(request.query_params).scheme)
    options = Options(load_shop(settings_of(request).shop_file))
    printer = options.shop.printer_for(PartRole.FILM)
    document = target(scheme, default_typefaces().text)
    press = press_of(printer, options.output_profile(printer), document.inks())
    name = f"color-target-{scheme.key}.pdf"
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return Response(pdf.write(document, press), headers=headers, media_type="application/pdf")


def _compared(scheme: str, files: Sequence[GivenFile], intent: str, shop: Path | None) -> Colors:
    """The report of a scheme from the given files, which are not kept afterward.

    Raises:
        InputError: a file cannot be used.
    """
    with tempfile.TemporaryDirectory(prefix="pipelegend-") as home:
        paths = {each.field: Path(home) / each.name for each in files}
        for each in files:
            paths[each.field].write_bytes(each.data)
        options = Options(load_shop(shop), profile=paths.get("profile"))
        printer = options.shop.printer_for(PartRole.FILM)
        way = Intent[intent] if intent in Intent.__members__ else intent_of(printer)
        profile = options.output_profile(printer)
        return colors_of(load_scheme(scheme), profile, way, paths.get("readings"))


def _of_colors(scheme: str, found: Colors, judged: bool) -> dict[str, Any]:
    return {
        "scheme": scheme,
        "schemes": [(key, load_scheme(key).title) for key in scheme_keys()],
        "intents": [each.name for each in Intent],
        "table": found.table(),
        "swatches": [(ink.name, ink.preview) for ink in found.inks],
        "findings": findings_sight(found.findings, {}),
        "judged": judged,
        "passed": found.passed,
    }
