"""Hostile uploads: bombs, wrong kinds, paths in names, streams without end.

Expected status codes are those of RFC 9110 (413, 400, 422).
"""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from starlette.testclient import TestClient

from render.web.uploads import safe_name
from tests.helpers.page_jobs import HTML, csv_text, drop, stage


def bomb() -> bytes:
    """A workbook whose one sheet unpacks to 500 MB."""
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as target:
        target.writestr("[Content_Types].xml", "<Types/>")
        with target.open("xl/worksheets/sheet1.xml", "w") as sheet:
            for _ in range(500):
                sheet.write(b" " * (1 << 20))
    return made.getvalue()


def test_a_bomb_is_refused_by_the_reader_and_told(served: TestClient) -> None:
    name = drop(served, "bomb.xlsx", bomb())
    page = served.get(f"/lists/{name}", headers=HTML).text
    assert "unpacks to 500 MB" in page


@pytest.mark.parametrize(
    ("name", "data", "told"),
    [
        ("picture.xlsx", b"\x89PNG\r\n\x1a\n" + bytes(64), "not such a workbook"),
        ("program.exe", b"MZ" + bytes(64), ".exe cannot be read"),
        ("empty.csv", b"", "holds nothing"),
        ("noise.csv", bytes(range(256)) * 40, "not text"),
        ("broken.toml", b"= = =", "cannot be read"),
        ("deep.json", b"[" * 100_000, "cannot be read"),
    ],
)
def test_a_wrong_kind_of_file_is_told_in_a_sentence(
    served: TestClient, name: str, data: bytes, told: str
) -> None:
    list_id = drop(served, name, data)
    page = served.get(f"/lists/{list_id}", headers=HTML).text
    assert told in page
    assert "Traceback" not in page


@pytest.mark.parametrize(
    "name",
    ["../../evil.csv", "..\\..\\evil.csv", "/etc/evil.csv", "C:\\evil.csv", "\u202eevil.csv"],
)
def test_a_path_in_a_name_stays_a_name(served: TestClient, name: str) -> None:
    list_id = drop(served, name, csv_text().encode())
    folder = Path(served.app.state.settings.jobs)  # type: ignore[attr-defined]
    found = [path.name for path in (folder / list_id / "given").iterdir()]
    assert len(found) == 1
    assert found[0] == "evil.csv"
    assert {path.parent.name for path in folder.parent.rglob("*evil.csv")} == {"given"}


@given(st.text(max_size=120), st.lists(st.sampled_from(["list.csv", "a.xlsx"]), max_size=2))
def test_every_name_becomes_a_safe_one(given_name: str, taken: list[str]) -> None:
    name = safe_name(given_name, taken)
    assert name == Path(name).name
    assert name not in ("", ".", "..")
    assert not set(name) & set('/\\:*?"<>|\0')
    assert name[0] not in ". "
    assert len(name) < 100
    assert name.rpartition(".")[0].casefold() not in {
        each.rpartition(".")[0].casefold() for each in taken
    }


@pytest.mark.parametrize("name", ["con.csv", "NUL.xlsx", "com1.csv", "aux"])
def test_names_of_devices_are_left_to_the_system(name: str) -> None:
    assert safe_name(name).startswith("list ")


def stream(megabytes: int) -> Iterator[bytes]:
    """A form with one file of so many megabytes, length untold."""
    yield (
        b'--edge\r\nContent-Disposition: form-data; name="list"; filename="big.csv"\r\n'
        b"Content-Type: text/csv\r\n\r\n"
    )
    for _ in range(megabytes):
        yield b"a,b,c,d\n" * (1 << 17)
    yield b"\r\n--edge--\r\n"


@pytest.mark.parametrize("told", [True, False])
def test_a_stream_of_100_mb_is_refused_and_leaves_nothing(served: TestClient, told: bool) -> None:
    folder = Path(served.app.state.settings.jobs)  # type: ignore[attr-defined]
    before = {path.name for path in folder.iterdir()}
    headers = {"content-type": "multipart/form-data; boundary=edge", **HTML}
    if told:
        headers["content-length"] = str(100 << 20)
    answer = served.post("/lists", content=stream(100), headers=headers)
    assert answer.status_code == 413
    assert "too large" in answer.text
    assert {path.name for path in folder.iterdir()} == before


def test_more_files_than_allowed_are_refused(served: TestClient) -> None:
    files = [("also", (f"{n}.csv", b"a,b\n")) for n in range(13)]
    assert served.post("/lists", files=files, headers=HTML).status_code == 413


def test_a_form_that_is_none_is_refused(served: TestClient) -> None:
    headers = {"content-type": "multipart/form-data; boundary=edge", **HTML}
    assert served.post("/lists", content=b"no form", headers=headers).status_code in (400, 422)
    assert served.post("/lists", data={"list": "text"}, headers=HTML).status_code == 422


@pytest.mark.parametrize(
    "order",
    [
        {"line_list": "../../../etc/hosts.csv"},
        {"line_list": ["/etc/hosts.csv"]},
        {"scheme": "../../secret.toml", "markers": [{"kind": "pipe", "service": "HPL"}]},
        {"markers": [{"kind": "pipe", "service": "HPL", "scheme": "/etc/secret.toml"}]},
    ],
)
def test_an_order_names_no_file_by_a_path(served: TestClient, order: dict[str, object]) -> None:
    name = drop(served, "order.json", json.dumps(order).encode())
    assert stage(served, name) == "failed"
    assert "names a file by a path" in served.get(f"/lists/{name}", headers=HTML).text
    answer = served.post("/api/orders", json=order)
    assert answer.status_code == 422
    assert answer.headers["content-type"] == "application/problem+json"


def test_an_unknown_or_forged_id_finds_nothing(served: TestClient) -> None:
    for name in ("0" * 16, "%2e%2e", "state.json", "0" * 15, "G" * 16):
        for address in (f"/lists/{name}", f"/jobs/{name}", f"/api/jobs/{name}"):
            assert served.get(address, follow_redirects=False).status_code == 404, address


def test_folders_are_private(served: TestClient) -> None:
    name = drop(served, "private.csv", csv_text().encode())
    folder = Path(served.app.state.settings.jobs)  # type: ignore[attr-defined]
    assert folder.stat().st_mode & 0o777 == 0o700
    assert (folder / name).stat().st_mode & 0o777 == 0o700
    assert not (folder / name / "tmp").exists()
