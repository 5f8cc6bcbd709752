"""A list and its job on the page, step by step as a person goes."""

from __future__ import annotations

import re
import time
from pathlib import Path

from starlette.testclient import TestClient

HTML = {"accept": "text/html"}
# Three sound rows, each another kind of marker; the plant is invented.
SOUND = (
    ("kind", "service", "state", "pressure_psig", "flow", "pipe", "tag", "function", "area", "qty"),
    ("pipe", "HPL", "liquid", "181", "right", "NPS 2", "", "", "Dock", "2"),
    ("pipe", "CD", "liquid", "181", "left", "NPS 3", "", "", "Engine room", "1"),
    ("valve", "HPL", "", "", "", "", "HV-118", "King valve", "Engine room", "1"),
)


def csv_text(rows: tuple[tuple[str, ...], ...] = SOUND, delimiter: str = ",") -> str:
    return "".join(delimiter.join(row) + "\n" for row in rows)


def drop(client: TestClient, name: str, data: bytes, field: str = "list") -> str:
    """Drop a list and give its id, once it is checked."""
    answer = client.post("/lists", files={field: (name, data)}, headers=HTML)
    assert answer.status_code == 200, answer.text
    found = re.fullmatch(r"/lists/([0-9a-f]{16})", answer.url.path)
    assert found is not None
    return finished(client, found[1])


def finished(client: TestClient, name: str, seconds: float = 120) -> str:
    """Wait until a list or a job is over; its id."""
    until = time.monotonic() + seconds
    while not client.get(f"/work/{name}/state").json()["over"]:
        assert time.monotonic() < until, "the work is not over"
        time.sleep(0.05)
    return name


def stage(client: TestClient, name: str) -> str:
    return str(client.get(f"/work/{name}/state").json()["stage"])


def made(client: TestClient, name: str, **choices: str) -> str:
    """The id of the job of a list, once it is over."""
    answer = client.post(f"/lists/{name}/order", data=choices, headers=HTML)
    assert answer.status_code == 200, answer.text
    job = answer.url.path.rpartition("/")[2]
    return finished(client, job)


def fixed(client: TestClient, name: str, **fields: str) -> str:
    """Send fixes of a list's page, and wait until it is checked again; the page's text."""
    page = client.get(f"/lists/{name}", headers=HTML).text
    stamp = re.search(r'name="stamp" value="(\w+)"', page)
    assert stamp is not None, "the page has no form"
    answer = client.post(f"/lists/{name}", data={"stamp": stamp[1], **fields}, headers=HTML)
    assert answer.status_code == 200, answer.text
    finished(client, name)
    return client.get(f"/lists/{name}", headers=HTML).text


def cell_name(page: str, value: str) -> str:
    """The field of the cell that holds a text on a list's page."""
    found = re.search(rf'name="(c-[\d-]+)" value="{re.escape(value)}"', page)
    assert found is not None, f"no field holds {value!r}"
    return found[1]


def saved(client: TestClient, name: str, folder: Path, file: str) -> Path:
    """A file of a list, downloaded."""
    answer = client.get(f"/lists/{name}/files/{file}")
    assert answer.status_code == 200
    target = folder / file
    target.write_bytes(answer.content)
    return target
