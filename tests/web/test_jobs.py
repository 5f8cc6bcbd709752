"""A job on the page: what the command makes, approved, compared and reprinted."""

from __future__ import annotations

import io
import json
import re
import zipfile
from pathlib import Path

import pytest
from starlette.testclient import TestClient

import pipelegend
from render.folder.open import open_job
from tests.helpers.page_jobs import HTML, SOUND, csv_text, drop, finished, made, stage


@pytest.fixture(scope="module")
def folder(served: TestClient, job: str, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The job's ZIP file, unpacked."""
    answer = served.get(f"/jobs/{job}/job.zip")
    assert answer.status_code == 200
    target = tmp_path_factory.mktemp("unpacked") / "job"
    with zipfile.ZipFile(io.BytesIO(answer.content)) as archive:
        archive.extractall(target)
    return target


def test_the_archive_is_the_job_folder_that_the_command_writes(
    folder: Path, tmp_path: Path
) -> None:
    listed = tmp_path / "three.csv"
    listed.write_text(csv_text())
    by_command = pipelegend.order(listed, tmp_path / "job")
    found = {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }
    assert found == dict(by_command.files)


def test_every_print_file_of_the_archive_passes_its_inspection(folder: Path) -> None:
    files = sorted((folder / "print").glob("*.pdf"))
    assert len(files) == 2
    assert {path.name: pipelegend.preflight(path).verdict.value for path in files} == {
        path.name: "pass" for path in files
    }


def test_every_file_is_what_the_manifest_vouches_for(folder: Path) -> None:
    opened = open_job(folder)
    assert len([opened.file(name) for name in opened.names()]) > 8


def test_each_paper_comes_by_itself_and_nothing_else_does(
    served: TestClient, job: str, folder: Path
) -> None:
    proof = served.get(f"/jobs/{job}/files/proof.pdf")
    assert proof.content == (folder / "proof.pdf").read_bytes()
    assert proof.headers["content-type"] == "application/pdf"
    for path in ("../state.json", "%2e%2e/state.json", "..%2fstate.json", "nothing.pdf", ""):
        assert served.get(f"/jobs/{job}/files/{path}").status_code == 404


def test_the_page_shows_sheets_waste_and_proven_minimum(served: TestClient, job: str) -> None:
    page = served.get(f"/jobs/{job}", headers=HTML).text
    assert "Proven minimum" in page
    sheets = re.findall(rf'href="(/jobs/{job}/sheets/[\w-]+\.svg)"', page)
    assert len(sheets) == 2  # one of film, one of tags
    drawn = served.get(sheets[0])
    assert drawn.headers["content-type"] == "image/svg+xml"
    assert b'data-layer="PartialCutting"' in drawn.content
    faces = re.findall(rf'src="(/work/{job}/faces/[0-9A-F]{{8}}\.svg)"', page)
    assert len(faces) == 3
    assert all(served.get(each).content.startswith(b"<?xml") for each in faces)


def test_an_approval_is_the_record_of_the_command(
    served: TestClient, job: str, folder: Path
) -> None:
    from render.folder.approval import approve

    said = {"by": "A. Reader", "date": "2026-03-01", "note": "seen on paper"}
    answer = served.post(f"/jobs/{job}/approval", data=said, headers=HTML)
    assert "Approved by A. Reader on 2026-03-01." in answer.text
    record = served.get(f"/jobs/{job}/approval.json").content
    assert record == approve(folder, "A. Reader", "2026-03-01", "seen on paper")
    wrong = served.post(f"/jobs/{job}/approval", data={**said, "date": "soon"}, headers=HTML)
    assert wrong.status_code == 422
    assert "2026-03-01" in wrong.text


def test_a_marker_is_made_again_by_picture_and_by_tag(served: TestClient, job: str) -> None:
    page = served.get(f"/jobs/{job}", headers=HTML).text
    picture = re.findall(r'name="n-([0-9A-F]{8})"', page)[0]
    answer = served.post(
        f"/jobs/{job}/reprint", data={"ids": "HV-118", f"n-{picture}": "2"}, headers=HTML
    )
    again = finished(served, answer.url.path.rpartition("/")[2])
    assert stage(served, again) == "done"
    record = json.loads(served.get(f"/jobs/{again}/files/reprint.json").content)
    assert sorted(each["quantity"] for each in record["markers"]) == [1, 2]
    none = served.post(f"/jobs/{job}/reprint", data={"ids": ""}, headers=HTML)
    assert none.status_code == 422


def test_a_wrong_tag_is_told_by_what_was_found(served: TestClient, job: str) -> None:
    answer = served.post(f"/jobs/{job}/reprint", data={"ids": "HV-119"}, headers=HTML)
    again = finished(served, answer.url.path.rpartition("/")[2])
    page = served.get(f"/jobs/{again}", headers=HTML).text
    assert "did you mean HV-118" in page


def test_a_job_is_compared_with_a_new_list(served: TestClient, job: str) -> None:
    rows = (*SOUND[:3], ("valve", "HPL", "", "", "", "", "HV-120", "Stop", "Dock", "1"))
    answer = served.post(
        f"/jobs/{job}/diff", files={"list": ("three.csv", csv_text(rows).encode())}, headers=HTML
    )
    compared = finished(served, answer.url.path.rpartition("/")[2])
    page = served.get(f"/jobs/{compared}", headers=HTML).text
    assert "To add: 1, to replace: 0, to remove: 1, unchanged: 3" in page
    assert served.get(f"/jobs/{compared}/files/changes.pdf").content.startswith(b"%PDF")


def test_a_list_that_must_be_settled_makes_no_job(served: TestClient) -> None:
    rows = (*SOUND, ("pipe", "HPL", "liqid", "181", "right", "NPS 2", "", "", "Dock", "1"))
    job = made(served, drop(served, "faulty.csv", csv_text(rows).encode()))
    assert stage(served, job) == "failed"
    page = served.get(f"/jobs/{job}", headers=HTML).text
    assert "liqid" in page
    assert served.get(f"/jobs/{job}/job.zip").status_code == 404


def test_the_demo_plant_is_the_sample(served: TestClient) -> None:
    from importlib import resources

    packed = (resources.files("render.web") / "demo" / "demo_plant.xlsx").read_bytes()
    sample = Path(__file__).resolve().parents[2] / "output_samples" / "demo_plant.xlsx"
    assert packed == sample.read_bytes()
    answer = served.post("/demo", headers=HTML)
    name = finished(served, answer.url.path.rpartition("/")[2])
    page = served.get(f"/lists/{name}", headers=HTML).text
    assert "Nothing keeps this list from being made." in page
    assert "Machinery room" in page


def test_work_is_removed_with_its_files(served: TestClient) -> None:
    name = drop(served, "gone.csv", csv_text().encode())
    served.post(f"/work/{name}/remove", headers=HTML)
    assert served.get(f"/lists/{name}").status_code == 404
    settings = served.app.state.settings  # type: ignore[attr-defined]
    assert not (settings.jobs / name).exists()
