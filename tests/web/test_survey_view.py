"""A survey on the page, step by step as a person with a phone goes; its CSV in the command."""

from __future__ import annotations

import csv
import datetime
import io
import re
from dataclasses import replace
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from layouts.survey.sightings import Seen
from render.web.language import DEFAULT, catalog
from render.web.store import Stage, Store
from tests.helpers.command import run, told
from tests.helpers.page_jobs import HTML, csv_text, drop, finished, stage

DAY = "2026-03-02"
SIGNED = {"by": "C. Walker", "day": DAY}
# In the order of the walk: two areas by name, each in the order of the list.
DOCK, ENGINE_ROOM = (1, 2), (3, 4)


def begun(client: TestClient, **signed: str) -> str:
    """A survey of three markers (four pieces), signed; its id."""
    upload = {"list": ("three.csv", csv_text().encode())}
    answer = client.post("/survey", files=upload, headers=HTML)
    assert answer.status_code == 200, answer.text
    name = finished(client, answer.url.path.rpartition("/")[2])
    assert stage(client, name) == "done"
    if signed:
        assert client.post(f"/survey/{name}", data=signed, headers=HTML).status_code == 200
    return name


def say(client: TestClient, name: str, at: int, **cells: str | list[str]) -> tuple[int, str]:
    """Answer for a piece; the status, and the path where the page goes."""
    answer = client.post(f"/survey/{name}/pieces/{at}", data=cells, headers=HTML)
    return answer.status_code, answer.url.path


def page(client: TestClient, name: str, at: int) -> str:
    answer = client.get(f"/survey/{name}/pieces/{at}", headers=HTML)
    assert answer.status_code == 200
    return answer.text


def sheet(client: TestClient, name: str, area: int) -> bytes:
    answer = client.get(f"/survey/{name}/sheets/{area}.csv")
    assert answer.status_code == 200
    return answer.content


def piece_id(text: str) -> str:
    found = re.search(r"<dd>([A-Z][0-9A-Z]{6}(?:-\d+)?)</dd>", text)
    assert found is not None
    return found[1]


def test_answers_reach_the_command_as_they_were_given(served: TestClient, tmp_path: Path) -> None:
    """Verdicts as the workbook gets them: ``found.csv`` of the command is the other end."""
    name = begun(served, **SIGNED)
    assert "1 of 2" in page(served, name, 1)
    ids = [piece_id(page(served, name, at)) for at in (*DOCK, *ENGINE_ROOM)]
    assert len(set(ids)) == 4
    after = say(served, name, 1, found="present", go="next")
    assert after == (200, f"/survey/{name}/pieces/2")
    faded: dict[str, str | list[str]] = {
        "found": ["too small", "faded"],
        "note": " = by the\n door ",
        "photo": "IMG_7.jpg",
    }
    assert say(served, name, 2, **faded, go="next") == (200, f"/survey/{name}")
    say(served, name, 3, found="missing", circumference_in="15-1/2")
    stray = {"reads": "AMMONIA", "line_or_tag": "HSS-1", "found": "faded"}
    assert served.post(f"/survey/{name}/others/1", data=stray, headers=HTML).status_code == 200

    (tmp_path / "three.csv").write_text(csv_text())
    sheets = [tmp_path / f"area-{area}.csv" for area in (1, 2)]
    for area, path in enumerate(sheets, 1):
        path.write_bytes(sheet(served, name, area))
    paths = [tmp_path / "three.csv", *sheets]
    result = run("found", *paths, "--date", DAY, "-o", tmp_path / "out", "--json")
    assert result.exit_code == 0, result.output
    counts = told(result)["counts"]
    with (tmp_path / "out" / "found.csv").open(newline="", encoding="utf-8") as file:
        rows = {row["id"]: row for row in csv.DictReader(file)}
    verdicts = [rows[each]["verdict"] for each in ids]
    assert verdicts == ["leave", "replace", "add", "not surveyed"]
    assert counts["remove"] == 1
    assert rows[ids[1]]["found"] == "faded, too small"
    assert rows[ids[1]]["note"].lstrip("'") == "= by the door"
    assert rows[ids[1]]["photo"] == "IMG_7.jpg"
    assert rows[ids[2]]["circumference_in"] == "15.5"
    assert {rows[each]["by"] for each in ids[:3]} == {"C. Walker"}
    assert rows[""]["reads"] == "AMMONIA"
    assert rows[""]["area"] == "Dock"

    shown = served.post(f"/survey/{name}/found", headers=HTML)
    assert shown.status_code == 200
    for said in ("1 to leave", "1 to replace", "1 to add", "1 to remove", "1 not surveyed"):
        assert said in shown.text
    assert ids[2] in shown.text


def test_nothing_typed_is_lost(served: TestClient) -> None:
    name = begun(served, **SIGNED)
    assert say(served, name, 1, note="half a wo", go="keep")[0] == 204
    assert 'value="half a wo"' in page(served, name, 1)
    assert say(served, name, 1, found=["present", "missing"], circumference_in="wide")[0] == 422
    text = page(served, name, 1)
    assert 'value="wide"' in text
    assert text.count("checked") == 2
    assert "0 of 2" in served.get(f"/survey/{name}", headers=HTML).text
    assert say(served, name, 1, found="hidden", go="back") == (200, f"/survey/{name}")
    assert "1 of 2" in served.get(f"/survey/{name}", headers=HTML).text
    # Another person goes on; what the first one saw stays the first one's.
    served.post(f"/survey/{name}", data={"by": "D. Reader", "day": "2026-03-03"}, headers=HTML)
    say(served, name, 1, found="hidden")
    say(served, name, 2, found="present")
    # A second start takes the answers up again.
    served.post(f"/work/{name}/again")
    finished(served, name)
    lines = list(csv.reader(io.StringIO(sheet(served, name, 1).decode())))
    heading = next(row for row in lines if row[0] == "id")
    rows = [dict(zip(heading, row, strict=True)) for row in lines[lines.index(heading) + 1 :]]
    assert [(row["by"], row["day"]) for row in rows] == [
        ("C. Walker", DAY),
        ("D. Reader", "2026-03-03"),
    ]


def test_a_text_that_is_too_long_is_told_with_all_that_was_typed(served: TestClient) -> None:
    name = begun(served, **SIGNED)
    long = {"found": ["faded", "too small"], "note": "x" * 501}
    answer = served.post(f"/survey/{name}/pieces/1", data=long, headers=HTML)
    assert answer.status_code == 422
    assert "x" * 501 in answer.text
    assert answer.text.count("checked") == 2
    assert b"xxx" not in sheet(served, name, 1)


@pytest.mark.parametrize(
    "signed",
    [
        {"by": "", "day": DAY},
        {"by": " \x00\u202e", "day": DAY},
        {"by": "=HYPERLINK(1)", "day": DAY},
        {"by": "x" * 81, "day": DAY},
        {"by": "C. Walker", "day": "last week"},
        {"by": "C. Walker", "day": "2026-02-30"},
        {"by": "C. Walker", "day": "20260302"},
        {"by": "C. Walker", "day": "9999-12-31"},
        {"by": "C. Walker"},
    ],
)
def test_hostile_names_and_days_are_refused(
    surveyed: str, served: TestClient, signed: dict[str, str]
) -> None:
    answer = served.post(f"/survey/{surveyed}", data=signed, headers=HTML)
    assert answer.status_code == 422
    assert 'role="alert"' in answer.text
    # Nobody is signed in, so no piece can be answered for.
    assert say(served, surveyed, 1, found="present") == (200, f"/survey/{surveyed}")
    assert b"present" not in sheet(served, surveyed, 1)


@pytest.fixture(scope="module")
def surveyed(served: TestClient) -> str:
    """A survey that nobody has signed."""
    return begun(served)


def test_a_name_is_shown_as_text(served: TestClient) -> None:
    name = begun(served, by='<b>"Bo"</b>', day=DAY)
    text = served.get(f"/survey/{name}", headers=HTML).text
    assert "<b>" not in text
    assert "&lt;b&gt;" in text


def test_there_are_no_pieces_but_those_of_the_list(served: TestClient) -> None:
    name = begun(served, **SIGNED)
    for at in (0, 5, 10**30):
        assert served.get(f"/survey/{name}/pieces/{at}").status_code == 404
        assert served.post(f"/survey/{name}/pieces/{at}", data={}).status_code == 404
    assert served.get(f"/survey/{name}/sheets/3.csv").status_code == 404
    assert served.get("/survey/0123456789abcdef").status_code == 404
    assert served.get(f"/jobs/{name}/job.zip").status_code == 404


def test_a_stray_needs_its_words_and_can_be_taken_back(served: TestClient) -> None:
    name = begun(served, **SIGNED)
    others = f"/survey/{name}/others/2"
    bare = served.post(others, data={"note": "by the pump"}, headers=HTML)
    assert bare.status_code == 422
    assert 'value="by the pump"' in bare.text
    gone = served.post(others, data={"reads": "AMMONIA", "found": "missing"}, headers=HTML)
    assert gone.status_code == 422
    for words in ("AMMONIA", "WATER"):
        served.post(others, data={"reads": words}, headers=HTML)
    served.post(others, data={"drop": "1"}, headers=HTML)
    text = served.get(others, headers=HTML).text
    assert "AMMONIA" not in text
    assert "WATER" in text


def test_a_checked_list_is_walked_as_it_is(served: TestClient) -> None:
    checked = drop(served, "three.csv", csv_text().encode())
    assert checked in served.get("/survey", headers=HTML).text
    answer = served.post("/survey", data={"from": checked}, headers=HTML)
    name = finished(served, answer.url.path.rpartition("/")[2])
    assert "Dock: 0 of 2" in served.get(f"/survey/{name}", headers=HTML).text
    assert served.post("/survey", data={"from": name}, headers=HTML).status_code == 422


def test_a_list_with_faults_is_told_not_walked(served: TestClient) -> None:
    text = csv_text().replace("NPS 2", "wide")
    answer = served.post("/survey", files={"list": ("bad.csv", text.encode())}, headers=HTML)
    name = finished(served, answer.url.path.rpartition("/")[2])
    shown = served.get(f"/survey/{name}", headers=HTML)
    assert stage(served, name) == "failed"
    assert "wide" in shown.text
    assert served.get(f"/survey/{name}/pieces/1").status_code == 404


def test_every_choice_has_its_word() -> None:
    assert {f"survey.seen_{each.name.lower()}" for each in Seen} <= catalog(DEFAULT).keys()


def test_today_is_a_day_of_a_survey(served: TestClient) -> None:
    name = begun(served)
    today = datetime.date.today().isoformat()
    signed = served.post(f"/survey/{name}", data={"by": "C. Walker", "day": today, "area": "1"})
    assert signed.url.path == f"/survey/{name}/pieces/3"


def test_a_survey_stays_until_it_is_removed(tmp_path: Path) -> None:
    store = Store(tmp_path)
    old = {
        task: store.save(replace(store.create(task, "old"), created=0.0, stage=Stage.DONE))
        for task in ("check", "survey")
    }
    assert list(store.sweep(30.0)) == [old["check"].id]
    assert [each.id for each in store.every()] == [old["survey"].id]
