"""The addresses for programs: drawn markers, orders made into jobs, problems as RFC 9457 says."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from starlette.testclient import TestClient

import pipelegend
from render.read import order_schema
from tests.helpers.page_jobs import finished

MARKER = {
    "kind": "pipe",
    "service": "HTRS",
    "state": "both",
    "pressure": "30 psig",
    "pipe": "NPS 4",
    "covering": "1-1/2 in",
    "flow": "left",
}
ORDER = {"title": "By a program", "markers": [MARKER]}


def test_a_marker_is_drawn_as_the_python_door_draws_it(served: TestClient) -> None:
    answer = served.post("/api/markers", json=MARKER)
    assert answer.status_code == 200
    (drawn,) = answer.json()["markers"]
    same = pipelegend.marker(
        "HTRS", state="both", psig=30, pipe="NPS 4", covering="1-1/2 in", flow="left"
    )
    assert (drawn["id"], drawn["words"]) == (same.id, same.words)
    assert (drawn["length_mm"], drawn["height_mm"]) == same.size
    assert drawn["face_svg"].encode() == same.face_svg()


@pytest.mark.parametrize(
    ("kind", "start"),
    [
        ("application/pdf", b"%PDF"),
        ("image/svg+xml", b"<?xml"),
        ("image/png", b"\x89PNG"),
        ("image/vnd.dxf", b"  0\r\nSECTION"),
    ],
)
def test_a_marker_comes_as_the_file_that_is_asked_for(
    served: TestClient, kind: str, start: bytes
) -> None:
    answer = served.post("/api/markers", json=MARKER, headers={"accept": kind})
    assert answer.headers["content-type"] == kind
    assert answer.content.replace(b"\r\n", b"\n").startswith(start.replace(b"\r\n", b"\n"))


def test_every_fault_of_a_marker_is_a_finding_of_the_problem(served: TestClient) -> None:
    answer = served.post("/api/markers", json={**MARKER, "state": "liqid", "flow": "lef"})
    assert answer.status_code == 422
    assert answer.headers["content-type"] == "application/problem+json"
    body = answer.json()
    assert {"type", "title", "status", "detail", "findings"} <= body.keys()
    assert len(body["findings"]) == 2


def test_an_order_becomes_the_job_that_the_command_makes(
    served: TestClient, tmp_path: Path
) -> None:
    answer = served.post("/api/orders", json=ORDER)
    assert answer.status_code == 202
    address = answer.headers["location"]
    assert served.get(f"{address}/files").status_code in (200, 409)
    finished(served, address.rpartition("/")[2])
    job = served.get(address).json()
    assert (job["stage"], job["title"]) == ("done", "By a program")
    path = tmp_path / "order.json"
    path.write_text(json.dumps(ORDER))
    by_command = pipelegend.order(path, tmp_path / "job")
    files = served.get(job["files"]).json()["files"]
    assert {each["name"]: each["bytes"] for each in files} == {
        name: len(data) for name, data in by_command.files.items()
    }
    for each in files:
        assert served.get(each["address"]).content == by_command.files[each["name"]]


def test_what_cannot_be_read_of_an_order_is_told_at_once(served: TestClient) -> None:
    wrong = {**ORDER, "markers": [{**MARKER, "pipe": "NPS 4711"}, {**MARKER, "flow": "lef"}]}
    answer = served.post("/api/orders", json=wrong)
    assert answer.status_code == 422
    assert {each["field"] for each in answer.json()["findings"]} == {
        "marker 1, pipe",
        "marker 2, flow",
    }


def test_what_must_be_settled_fails_with_its_findings(served: TestClient) -> None:
    thick = {**ORDER, "markers": [{**MARKER, "covering": "30 in"}]}
    job = served.post("/api/orders", json=thick).json()
    finished(served, job["id"])
    said = served.get(f"/api/jobs/{job['id']}").json()
    assert said["stage"] == "failed"
    assert "blocked" in {each["severity"] for each in said["findings"]}
    files = served.get(f"/api/jobs/{job['id']}/files")
    assert files.status_code == 409
    assert files.headers["content-type"] == "application/problem+json"


@pytest.mark.parametrize(
    ("kind", "body", "status"),
    [
        ("text/plain", b"{}", 415),
        ("application/json", b"{", 422),
        ("application/json", b"[]", 422),
        ("application/json", b"[" * 60_000, 422),
        ("application/json", b" " * (17 << 20), 413),
        ("application/json", b'{"line_list": "list.csv"}', 422),
    ],
)
def test_a_wrong_body_is_a_problem(served: TestClient, kind: str, body: bytes, status: int) -> None:
    answer = served.post("/api/orders", content=body, headers={"content-type": kind})
    assert answer.status_code == status
    assert answer.headers["content-type"] == "application/problem+json"
    assert answer.json()["status"] == status


def test_the_description_has_the_models_of_the_order_file(served: TestClient) -> None:
    spec = served.get("/openapi.json").json()
    models = spec["components"]["schemas"]
    own = order_schema()["$defs"]
    assert isinstance(own, dict)
    assert own.keys() <= models.keys()
    assert models["PipeMarker"]["properties"].keys() == own["PipeMarker"]["properties"].keys()
    references = set(_references(spec))
    assert references
    assert all(each.removeprefix("#/components/schemas/") in models for each in references)


def _references(node: object) -> list[str]:
    if isinstance(node, dict):
        own = [node["$ref"]] if isinstance(node.get("$ref"), str) else []
        return own + [each for value in node.values() for each in _references(value)]
    return [each for value in node for each in _references(value)] if isinstance(node, list) else []


def test_the_page_about_it_names_every_address(served: TestClient) -> None:
    page = served.get("/api", headers={"accept": "text/html"}).text
    for path in served.get("/openapi.json").json()["paths"]:
        assert path in page
