"""The shop's pages: a print file judged, stocks written and read back, colors compared."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

import pipelegend
from render.shop.shopfile import load_shop
from render.web.page_sketch import sketches
from render.web.settings import WebSettings
from tests.helpers.page import browse

SAMPLE = Path("output_samples/one_marker.pdf")
PROFILE = Path("/usr/share/color/icc/ghostscript/default_cmyk.icc")
HTML = {"accept": "text/html", "accept-language": "en"}
STOCK = {
    "stock.0.key": "vinyl-54in",
    "stock.0.title": "54 in vinyl roll",
    "stock.0.form": "roll",
    "stock.0.width": "54 in",
    "stock.0.length": "50 yd",
    "stock.0.roles": "film",
    "printer.title": "Our line",
    "printer.files": ["dxf", "svg"],
}


@pytest.fixture
def client(tmp_path: Path) -> Iterator[TestClient]:
    with browse(WebSettings(tmp_path)) as found:
        yield found


def judged(client: TestClient, data: bytes, **fields: str) -> str:
    given = {"file": ("any.pdf", data, "application/pdf")}
    answer = client.post("/shop/preflight", files=given, data=fields, headers=HTML)
    assert answer.status_code == 200
    return answer.text


def test_a_good_file_passes(client: TestClient) -> None:
    text = judged(client, SAMPLE.read_bytes())
    assert "any.pdf: passed" in text


def test_a_faulty_file_fails_point_by_point(client: TestClient) -> None:
    """Points of the page are those of the command on the same bytes."""
    data = SAMPLE.read_bytes().replace(b"/TrimBox", b"/TrimBex")
    text = judged(client, data)
    report = pipelegend.preflight(_kept(client, data))
    assert report.failures
    assert "any.pdf: failed" in text
    for point in report.failures:
        assert f"[{point.code}]" in text


def _kept(client: TestClient, data: bytes) -> Path:
    path: Path = client.app.state.settings.folder / "copy.pdf"  # type: ignore[attr-defined]
    path.write_bytes(data)
    return path


def test_what_is_no_pdf_is_not_judged(client: TestClient) -> None:
    assert "any.pdf: not judged" in judged(client, b"PK\x03\x04 a workbook")


def test_nothing_of_a_judged_file_is_kept(client: TestClient, tmp_path: Path) -> None:
    judged(client, SAMPLE.read_bytes())
    assert [path for path in tmp_path.rglob("*.pdf") if path.is_file()] == []


def test_no_file_is_a_sentence(client: TestClient) -> None:
    answer = client.post("/shop/preflight", data={"rules": "house"}, headers=HTML)
    assert answer.status_code == 400
    assert "Choose a file first." in answer.text


def test_a_sketch_marks_the_place_of_a_fault() -> None:
    page = {"number": 2, "width_mm": 300.0, "height_mm": 100.0, "trim_mm": None, "bleed_mm": None}
    what = "1 open contour, the first at 20.5, 140.0 mm from the top left"
    point = {"where": "page 2, step Structural/Cutting", "what": what}
    (sketch,) = sketches({"pages": [{**page, "number": 1}, page]}, [point])
    assert sketch.number == 2
    assert sketch.places == ((20.5, 100.0),)  # at the edge that it lies beyond


def test_stocks_are_written_and_read_back(client: TestClient, tmp_path: Path) -> None:
    answer = client.post("/shop/file", data=STOCK, headers=HTML)
    assert answer.status_code == 200
    assert "read back without a fault" in answer.text
    shop = load_shop(tmp_path / "shop.toml")
    # The inch is 25.4 mm exactly (international yard and pound agreement, 1959).
    assert shop.stocks["vinyl-54in"].width == pytest.approx(54 * 25.4)
    assert tomllib.loads((tmp_path / "shop.toml").read_text())["printer"]["title"] == "Our line"
    assert 'value="54 in vinyl roll"' in answer.text
    assert client.get("/shop/file/shop.toml").content == (tmp_path / "shop.toml").read_bytes()


def test_a_faulty_form_writes_nothing(client: TestClient, tmp_path: Path) -> None:
    given = {**STOCK, "stock.0.length": "soon", "stock.0.sheets": "-3"}
    answer = client.post("/shop/file", data=given, headers=HTML)
    assert answer.status_code == 422
    assert "soon" in answer.text
    assert "sheets" in answer.text
    assert 'value="54 in vinyl roll"' in answer.text  # what was typed is there to be corrected
    assert not (tmp_path / "shop.toml").exists()
    assert list(tmp_path.glob(".*")) == []


def test_what_the_form_does_not_show_stays(client: TestClient, tmp_path: Path) -> None:
    own = tmp_path / "shop.toml"
    own.write_text(
        '[printer]\nabsolute = false\n[printer.step_layers]\nCutting = "CUT THRU"\n'
        '[[machines]]\nkey = "router"\nrole = "router"\n'
        '[[stocks]]\nkey = "a"\ntitle = "A"\nform = "sheet"\nwidth = "1 m"\nlength = "1 m"\n'
        'thickness = "3 mil"\n',
        encoding="utf-8",
    )
    before = own.read_text("utf-8")
    given = {"stock.0.key": "a", "stock.0.title": "B", "stock.0.form": "sheet"}
    sizes = {"stock.0.width": "1 m", "stock.0.length": "2 m"}
    client.post("/shop/file", data={**given, **sizes}, headers=HTML)
    tables = tomllib.loads(own.read_text("utf-8"))
    assert tables["printer"]["absolute"] is False
    assert tables["printer"]["step_layers"] == {"Cutting": "CUT THRU"}
    assert tables["machines"] == [{"key": "router", "role": "router"}]
    assert tables["stocks"][0]["title"] == "B"
    assert tables["stocks"][0]["thickness"] == "3 mil"
    assert (tmp_path / "shop-before.toml").read_text("utf-8") == before


def test_a_stock_is_removed(client: TestClient, tmp_path: Path) -> None:
    client.post("/shop/file", data=STOCK, headers=HTML)
    client.post("/shop/file", data={**STOCK, "stock.0.drop": "yes"}, headers=HTML)
    assert "stocks" not in tomllib.loads((tmp_path / "shop.toml").read_text())


def test_a_marker_is_drawn_with_the_shop_that_was_saved(client: TestClient) -> None:
    client.post("/shop/file", data={**STOCK, "printer.cut_units": "in"}, headers=HTML)
    drawing = client.get("/marker/file.dxf?kind=valve&tag=HV-1").text
    # DXF reference, $INSUNITS: 1 is inches.
    assert drawing.split("$INSUNITS")[1].split()[1] == "1"


@pytest.mark.skipif(not PROFILE.is_file(), reason="no ghostscript profile here")
def test_colors_are_compared_with_a_profile(client: TestClient) -> None:
    given = {"profile": ("press.icc", PROFILE.read_bytes())}
    answer = client.post("/shop/colors", files=given, headers=HTML)
    assert answer.status_code == 200
    assert "CMYK %" in answer.text
    assert "CMYK %" not in client.get("/shop/colors", headers=HTML).text


def test_a_broken_profile_is_a_sentence(client: TestClient) -> None:
    given = {"profile": ("press.icc", b"no profile")}
    answer = client.post("/shop/colors", files=given, headers=HTML)
    assert answer.status_code == 422
    assert "profile" in answer.text
    assert "Traceback" not in answer.text


def test_the_target_is_a_print_file(client: TestClient, tmp_path: Path) -> None:
    path = tmp_path / "target.pdf"
    path.write_bytes(client.get("/shop/colors/target.pdf").content)
    assert pipelegend.preflight(path).verdict.value == "pass"
