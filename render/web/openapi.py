"""The description of the endpoints for programs, in OpenAPI 3.1.

The models of markers and orders are those of the order file, so they never get out of step.
"""

from __future__ import annotations

from functools import cache
from typing import Any

from pipelegend import __version__
from render.read import order_schema

BUSY = "5"  # seconds, for Retry-After
_TEXT = {"type": "string"}
_NUMBER = {"type": "number"}
_COUNT = {"type": "integer", "minimum": 0}
Json = dict[str, Any]


@cache
def openapi(base_path: str) -> Json:
    """The whole description; its server is this one."""
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "pipelegend",
            "version": __version__,
            "description": "Draws markers and makes orders into jobs on this machine.",
        },
        "servers": [{"url": base_path or "/"}],
        "paths": _paths(),
        "components": {"schemas": _schemas()},
    }


def _schemas() -> Json:
    """The order file's models, and those of the responses."""
    order = _moved(order_schema())
    models = order.pop("$defs")
    order.pop("$schema")
    order["properties"].pop("line_list")  # files come by the page only
    order.pop("anyOf")
    order["required"] = sorted({*order.get("required", ()), "markers"})
    markers = order["properties"]["markers"]["items"]["oneOf"]
    own = {
        "Order": order,
        "Marker": {"oneOf": markers, "title": "Marker"},
        "Finding": _object(
            {
                **dict.fromkeys(("code", "severity", "what", "right", "marker", "field"), _TEXT),
                "row": {"type": ["integer", "null"]},
            },
            ("code", "severity", "what"),
        ),
        "Drawn": _object(
            {"markers": _list(_ref("DrawnMarker")), "findings": _list(_ref("Finding"))}
        ),
        "DrawnMarker": _object(
            {
                **dict.fromkeys(("id", "words", "scheme", "mounting", "face_svg"), _TEXT),
                **dict.fromkeys(("length_mm", "height_mm", "letter_height_mm"), _NUMBER),
                "reasons": _list(_TEXT),
            }
        ),
        "Job": _object(
            {
                **dict.fromkeys(("id", "title", "hop", "message", "files"), _TEXT),
                "stage": {"enum": ["waiting", "running", "done", "failed", "canceled"]},
                "done": _COUNT,
                "total": _COUNT,
                "findings": _list(_ref("Finding")),
            }
        ),
        "Files": _object(
            {"files": _list(_object({"name": _TEXT, "bytes": _COUNT, "address": _TEXT}))}
        ),
        "Problem": {
            **_object(
                {
                    **dict.fromkeys(("type", "title", "detail"), _TEXT),
                    "status": {"type": "integer"},
                    "findings": _list(_ref("Finding")),
                },
                ("type", "title", "status"),
            ),
            "description": "Problem details (RFC 9457).",
        },
    }
    return {**models, **own}


def _moved(schema: Any) -> Any:
    """A schema with its references where OpenAPI keeps models."""
    if isinstance(schema, dict):
        return {
            key: value.replace("#/$defs/", "#/components/schemas/")
            if key == "$ref"
            else _moved(value)
            for key, value in schema.items()
            if key != "mapping"
        } | (
            {"mapping": {k: _there(v) for k, v in schema["mapping"].items()}}
            if "mapping" in schema
            else {}
        )
    return [_moved(each) for each in schema] if isinstance(schema, list) else schema


def _there(reference: object) -> object:
    return str(reference).replace("#/$defs/", "#/components/schemas/")


def _object(properties: Json, required: tuple[str, ...] | None = None) -> Json:
    wanted = sorted(properties) if required is None else list(required)
    return {"type": "object", "properties": properties, "required": wanted}


def _list(items: Json) -> Json:
    return {"type": "array", "items": items}


def _ref(name: str) -> Json:
    return {"$ref": f"#/components/schemas/{name}"}


def _answer(text: str, schema: str, kind: str = "application/json") -> Json:
    return {"description": text, "content": {kind: {"schema": _ref(schema)}}}


def _problems(*codes: int) -> Json:
    texts = {
        400: "The request cannot be read.",
        401: "The server asks for a token.",
        403: "The request came from a page of another site.",
        404: "There is no such job or file.",
        409: "The job is not finished.",
        413: "The body is too large.",
        415: "The body is not JSON.",
        421: "The server does not go by that name.",
        422: "What was asked for cannot be made; every finding is given.",
        503: "One job runs and a few wait; ask again after Retry-After seconds.",
    }
    made = {
        str(code): _answer(texts[code], "Problem", "application/problem+json")
        for code in (401, 403, 421, *codes)
    }
    if 503 in codes:
        made["503"]["headers"] = {"Retry-After": {"schema": {"type": "integer"}}}
    return made


def _body(schema: str) -> Json:
    return {"required": True, "content": {"application/json": {"schema": _ref(schema)}}}


def _paths() -> Json:
    job = {"name": "id", "in": "path", "required": True, "schema": _TEXT}
    path = {"name": "path", "in": "path", "required": True, "schema": _TEXT}
    files = ("application/pdf", "image/svg+xml", "image/vnd.dxf", "image/png")
    drawn = _answer("The marker, or the file that Accept asks for.", "Drawn")
    drawn["content"] |= {kind: {} for kind in files}
    octets = {"description": "The file.", "content": {"application/octet-stream": {}}}
    return {
        "/api/markers": {
            "post": {
                "operationId": "drawMarker",
                "summary": "Draw one marker.",
                "requestBody": _body("Marker"),
                "responses": {"200": drawn, **_problems(400, 413, 415, 422)},
            }
        },
        "/api/orders": {
            "post": {
                "operationId": "makeOrder",
                "summary": "Make an order into a job.",
                "requestBody": _body("Order"),
                "responses": {
                    "202": {
                        **_answer("The job, which waits its turn.", "Job"),
                        "headers": {"Location": {"schema": _TEXT}},
                    },
                    **_problems(400, 413, 415, 422, 503),
                },
            }
        },
        "/api/jobs/{id}": {
            "parameters": [job],
            "get": {
                "operationId": "getJob",
                "summary": "How far a job is, and what was found.",
                "responses": {"200": _answer("The job.", "Job"), **_problems(404)},
            },
            "delete": {
                "operationId": "cancelJob",
                "summary": "End a job that waits or runs.",
                "responses": {"200": _answer("The job.", "Job"), **_problems(404)},
            },
        },
        "/api/jobs/{id}/files": {
            "parameters": [job],
            "get": {
                "operationId": "listFiles",
                "summary": "The files of a finished job.",
                "responses": {"200": _answer("Names and sizes.", "Files"), **_problems(404, 409)},
            },
        },
        "/api/jobs/{id}/files/{path}": {
            "parameters": [job, path],
            "get": {
                "operationId": "getFile",
                "summary": "One file of a finished job.",
                "responses": {"200": octets, **_problems(404, 409)},
            },
        },
    }
