"""One marker, as a form with a live preview."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any
from urllib.parse import urlencode

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from layouts.markers.gather import Marker
from layouts.schemes.loader import load_scheme, scheme_keys
from layouts.terms.errors import BlockedError, InputError
from layouts.terms.words import Kind
from render.one_marker import Drawing, face_picture
from render.web.language import Translate, language_of, translator
from render.web.marker_fields import FORMS, FUNCTIONS, MACHINES, UNITS, fields_of
from render.web.marker_form import MarkerForm, Outcome, data_of, draw_form, label_of, read_form
from render.web.marker_sight import findings_sight, is_upright, seen_round, sight_of
from render.web.page import respond, settings_of
from render.web.round_view import VIEWS

# Media types of the files that a marker is saved as (IANA registry).
_TYPES = {
    "pdf": "application/pdf",
    "svg": "image/svg+xml",
    "dxf": "image/vnd.dxf",
    "png": "image/png",
}
PAPERS = ("letter", "a4")
_PICTURE_KEPT = {"Cache-Control": "private, max-age=60"}


def routes() -> list[BaseRoute]:
    """The form, its live part, pictures and files."""
    return [
        Route("/marker", marker_page, name="marker"),
        Route("/marker/preview", marker_preview, name="marker-preview"),
        Route("/marker/face.svg", marker_face, name="marker-face"),
        Route("/marker/round.svg", marker_round, name="marker-round"),
        Route("/marker/file.{suffix}", marker_file, name="marker-file"),
    ]


def marker_page(request: Request) -> Response:
    """The form, filled in from the link."""
    form = read_form(request.query_params)
    return respond(request, "marker.html", **_of_form(form), **_of_outcome(request, form))


def marker_preview(request: Request) -> Response:
    """The current result of the form, to insert into the page."""
    form = read_form(request.query_params)
    return respond(request, "marker_result.html", **_of_outcome(request, form))


def marker_face(request: Request) -> Response:
    """One face as a picture, true to scale."""
    picture = face_picture(_marker(request))
    return Response(picture, headers=_PICTURE_KEPT, media_type=_TYPES["svg"])


def marker_round(request: Request) -> Response:
    """One marker on its pipe as a picture."""
    view = request.query_params.get("view", "")
    marker = _marker(request)
    seen = seen_round(marker, view) if view in VIEWS else None
    if seen is None:
        raise HTTPException(404)
    return Response(seen.svg(is_upright(marker)), headers=_PICTURE_KEPT, media_type=_TYPES["svg"])


def marker_file(request: Request) -> Response:
    """The marker as a file for the printer, the cutter or a document."""
    suffix = request.path_params["suffix"]
    if suffix not in _TYPES:
        raise HTTPException(404)
    paper = request.query_params.get("paper", "")
    drawing = _drawn(request, paper)
    data = data_of(drawing, f".{suffix}")
    name = "-".join(filter(None, (file_name(drawing), paper)))
    headers = {"Content-Disposition": f'attachment; filename="{name}.{suffix}"'}
    return Response(data, headers=headers, media_type=_TYPES[suffix])


def file_name(drawing: Drawing) -> str:
    """A file name of letters and digits from the marker's legend, without a suffix."""
    plan = drawing.markers[0].plan
    words = plan.name if plan.kind is Kind.VALVE else drawing.words
    return re.sub(r"[^A-Za-z0-9]+", "-", words).strip("-")[:80] or drawing.id


def _drawn(request: Request, paper: str = "") -> Drawing:
    """The drawing that a link asks for.

    Raises:
        InputError: it cannot be drawn.
        BlockedError: it must not be printed as it stands.
    """
    form = read_form(request.query_params)
    outcome = draw_form(form, settings_of(request).shop_file, language_of(request), paper)
    if outcome.drawing is None:
        raise (BlockedError if outcome.blocked else InputError)(outcome.findings)
    return outcome.drawing


def _marker(request: Request) -> Marker:
    """The marker of a drawing that a link names: the first, or the second of two hands."""
    markers = _drawn(request).markers
    index = {"0": 0, "1": 1}.get(request.query_params.get("index", "0"), len(markers))
    if index >= len(markers):
        raise HTTPException(404)
    return markers[index]


def _of_form(form: MarkerForm) -> dict[str, Any]:
    """The values for the form's template."""
    scheme = load_scheme(form.scheme)
    classes = {word.capitalize() for pairing in scheme.pairings for word in pairing.contents}
    lists = {
        "services": [(code, each.meaning) for code, each in scheme.services.items()],
        "contents": [(word, "") for word in sorted(classes | {scheme.contents.capitalize()})],
        "machines": [(name, "") for name in MACHINES],
        "functions": [(name, "") for name in FUNCTIONS],
    }
    used = {field.listed for field in fields_of(form.kind)} - {""}
    return {
        "form": form,
        "kinds": tuple(map(str, Kind)),
        "groups": FORMS[form.kind],
        "units": tuple(UNITS),
        "unit_of": UNITS[form.units],
        "schemes": [(key, load_scheme(key).title) for key in scheme_keys()],
        "lists": {name: lists[name] for name in sorted(used)},
    }


def _of_outcome(request: Request, form: MarkerForm) -> dict[str, Any]:
    """The values for the result's template."""
    language = language_of(request)
    t = translator(language)
    blank = form.is_blank
    shop = settings_of(request).shop_file
    outcome = Outcome(None, ()) if blank else draw_form(form, shop, language)
    return {
        "blank": blank,
        "drawing": outcome.drawing,
        "blocked": outcome.blocked,
        "findings": findings_sight(outcome.findings, _labels(form, t)),
        "papers": PAPERS,
        "query": query_of(form),
        **_drawing_sights(outcome.drawing, t),
    }


def _drawing_sights(drawing: Drawing | None, t: Translate) -> dict[str, Any]:
    markers = drawing.markers if drawing else ()
    return {
        "sights": [
            (sight_of(marker, index, t), _inline(face_picture(marker)))
            for index, marker in enumerate(markers)
        ]
    }


def _inline(svg: bytes) -> str:
    """An SVG file as an element of a page: without its XML declaration."""
    return svg.decode().partition("?>")[2].strip()


def _labels(form: MarkerForm, t: Translate) -> Mapping[str, str]:
    """The field of each label that a finding may name."""
    return {label_of(field.name, t): field.name for field in fields_of(form.kind)}


def query_of(form: MarkerForm) -> str:
    """The query of a link that restores the form."""
    values = {name: text for name, text in form.values.items() if text}
    return urlencode({"kind": str(form.kind), "scheme": form.scheme, "units": form.units, **values})
