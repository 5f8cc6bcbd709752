"""The marker's form without a browser: what a link means, what is shown, what is saved."""

from __future__ import annotations

from pathlib import Path
from urllib.parse import urlencode

import pytest
from starlette.testclient import TestClient

import pipelegend
from layouts.terms.words import Kind
from render.web.marker_form import read_form, with_reader_unit
from render.web.settings import WebSettings
from tests.helpers.page import browse

PIPE = {
    "kind": "pipe",
    "service": "HTRS",
    "state": "both",
    "psig": "30",
    "flow": "left",
    "measure": "pipe",
    "pipe": "NPS 4",
    "covering": "1-1/2",
}
HTML = {"accept": "text/html", "accept-language": "en"}


@pytest.fixture
def client(tmp_path: Path) -> TestClient:
    return browse(WebSettings(tmp_path))


def preview(client: TestClient, **changes: str) -> str:
    answer = client.get(f"/marker/preview?{urlencode({**PIPE, **changes})}", headers=HTML)
    assert answer.status_code == 200
    return answer.text


def test_the_page_draws_what_the_library_draws(client: TestClient) -> None:
    words = {"state": "both", "psig": 30, "flow": "left", "pipe": "NPS 4", "covering": "1-1/2 in"}
    drawn = pipelegend.marker("HTRS", **words)  # type: ignore[arg-type]
    query = urlencode(PIPE)
    assert client.get(f"/marker/face.svg?{query}").content == drawn.face_svg()
    for suffix in ("pdf", "svg", "dxf"):
        assert client.get(f"/marker/file.{suffix}?{query}").content == drawn.data(f".{suffix}")
    assert drawn.id in preview(client)


def test_every_drawing_has_its_words(client: TestClient) -> None:
    text = preview(client)
    assert 'aria-label="HTRS LIQ VAP AMMONIA LOW, flow left, 60-1/2 x 3-1/2 in"' in text
    assert "From 45 degrees below" in text


def test_a_tape_and_a_caliper_are_ways_to_measure(client: TestClient) -> None:
    """A circumference of 31 in is a diameter of 9.868 in, whatever stands in the other fields."""
    tape = preview(client, measure="girth", girth="31")
    caliper = preview(client, measure="od", od="9.868")
    assert "over 7 to 10 in" in tape
    assert "over 7 to 10 in" in caliper
    assert "circumference 31 in" in tape
    assert "NPS 4" not in tape.split("<dl", 2)[-1]


@pytest.mark.parametrize(
    ("text", "unit", "read"),
    [
        ("30", "psig", "30 psig"),
        ("1-1/2", "in", "1-1/2 in"),
        ("38", "mm", "38 mm"),
        ("1,5", "in", "1.5 in"),  # a keypad with a decimal comma
        ("1,500", "mm", "1,500 mm"),  # thousands, or not: the reader decides
        ("-40", "F", "-40 F"),
        ("2 bar", "psig", "2 bar"),
        ("bare", "in", "bare"),
        ("", "in", ""),
    ],
)
def test_a_bare_number_has_the_unit_chosen(text: str, unit: str, read: str) -> None:
    assert with_reader_unit(text, unit) == read


def test_metric_words_draw_the_same_marker(client: TestClient) -> None:
    """30 psig is 2.068 bar and 1-1/2 in is 38.1 mm exactly (NIST SP 811)."""
    metric = preview(client, units="metric", psig="2.0684", covering="", covering_other="38.1")
    assert "60-1/2 x 3-1/2 in" in metric


def test_a_number_keeps_its_unit_when_the_units_change(client: TestClient) -> None:
    """30 psig is low in the scheme and 30 bar is high: the marker must not turn over."""
    text = preview(client, was="us", units="metric")
    assert "HTRS LIQ VAP AMMONIA LOW" in text
    assert "60-1/2 x 3-1/2 in" in text
    page = client.get(f"/marker?{urlencode({**PIPE, 'was': 'us', 'units': 'metric'})}").text
    assert 'value="30 psig"' in page
    assert 'value="1-1/2 in"' in page
    assert 'name="was" value="metric"' in page


def test_a_service_is_found_by_its_meaning(client: TestClient) -> None:
    text = preview(client, service="high temperature recirculated suction")
    assert "HTRS LIQ VAP AMMONIA LOW" in text


def test_what_is_missing_is_named_by_its_label(client: TestClient) -> None:
    text = preview(client, flow="", state="")
    assert '<a href="#f-flow">Flow, facing the marker</a>' in text
    assert '<a href="#f-state">State</a>' in text
    assert "<svg" not in text


def test_a_marker_that_must_not_be_printed_has_no_files(client: TestClient) -> None:
    """Over 70 psig is high in the scheme; a level that contradicts the pressure blocks."""
    text = preview(client, psig="185", level="low")
    assert "must not be printed" in text
    answer = client.get(f"/marker/file.pdf?{urlencode({**PIPE, 'psig': '185', 'level': 'low'})}")
    assert answer.status_code == 422
    assert answer.headers["content-type"] == "application/problem+json"
    assert answer.json()["findings"]


def test_both_hands_are_drawn(client: TestClient) -> None:
    text = preview(client, side="both")
    assert "right-hand" in text
    assert "left-hand" in text
    assert "flow right" in text
    query = urlencode({**PIPE, "side": "both"})
    faces = {client.get(f"/marker/face.svg?{query}&index={index}").content for index in (0, 1)}
    assert len(faces) == 2
    assert client.get(f"/marker/face.svg?{query}&index=2").status_code == 404


@pytest.mark.parametrize(
    "query",
    [
        "kind=boat&scheme=none&units=ells&flow=sideways&pipe=%00&lines=9",
        "service=%F0%9F%92%A5&psig=NaN&covering_other=1e999&girth=-3&measure=girth",
        "kind=valve&tag=" + "A" * 5000,
        "kind=valve&tag=%3Cscript%3Ealert(1)%3C/script%3E",
        "kind=valve&tag=HV-1..HV-9",
        "kind=equipment&name=%22%3E%3Cimg%20src=x%3E&level=high",
    ],
)
def test_whatever_a_link_says_the_answer_is_a_page(client: TestClient, query: str) -> None:
    for path in ("/marker", "/marker/preview"):
        answer = client.get(f"{path}?{query}", headers=HTML)
        assert answer.status_code == 200
        assert "<script>alert" not in answer.text
        assert "<img src=x" not in answer.text


def test_a_file_name_holds_nothing_but_letters_and_figures(client: TestClient) -> None:
    answer = client.get('/marker/file.svg?kind=equipment&level=high&name=Pump/../"1')
    name = answer.headers["content-disposition"]
    assert name == 'attachment; filename="PUMP-1-HIGH.svg"'


def test_unknown_pictures_and_files_are_not_found(client: TestClient) -> None:
    query = urlencode(PIPE)
    assert client.get(f"/marker/file.exe?{query}").status_code == 404
    assert client.get(f"/marker/round.svg?view=inside&{query}").status_code == 404
    assert client.get("/marker/round.svg?view=front&kind=valve&tag=HV-1").status_code == 404


def test_a_blank_form_asks_before_it_draws() -> None:
    assert read_form({"kind": "pipe"}).is_blank
    assert not read_form({"kind": "valve", "tag": "HV-1"}).is_blank
    assert read_form({"kind": "valve"}).kind is Kind.VALVE
