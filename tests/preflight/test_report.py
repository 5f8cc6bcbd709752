"""The report: sizes, inks, text, dict, and what is said of files that are not PDFs."""

from __future__ import annotations

import io
import json
import re
from pathlib import Path

import pikepdf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from render.preflight import (
    HOUSE,
    STANDARD,
    Point,
    Report,
    Verdict,
    as_dict,
    as_text,
    inspect,
)
from render.preflight.report import report_from
from render.write.pdf import write
from tests.helpers.pdf_samples import big_page, sheet, white_sheet
from tests.helpers.pdf_system import claiming, tool
from tests.preflight.edits import separation
from tests.preflight.mutants import MUTANTS, base

KNOWN = {mutant.name: mutant for mutant in MUTANTS}


def test_sizes_are_told_in_millimeters_from_the_top_left() -> None:
    (page,) = inspect(write(sheet())).pages
    assert (page.width, page.height) == (300, 220)
    assert page.bleed == pytest.approx((10, 10, 280, 200), abs=0.001)
    assert page.trim == pytest.approx((12, 12, 276, 196), abs=0.001)


def in_units_of(unit: float, data: bytes) -> bytes:
    """The file with its page's user unit set, as other programs write it."""
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(data)) as pdf:
        pdf.pages[0].obj.UserUnit = unit
        pdf.save(out, deterministic_id=True, fix_metadata_version=False)
    return out.getvalue()


def test_a_page_in_larger_units_is_told_at_its_true_size_and_breaks_a_house_rule() -> None:
    """Common practice: programs that leave the scale out draw such a page at a third."""
    for rules, wanted in ((HOUSE, Verdict.FAIL), (STANDARD, Verdict.WARNING)):
        report = inspect(in_units_of(2.0, write(big_page())), rules=rules)
        assert report.pages[0].width == pytest.approx(2 * 5080, abs=0.01)
        (point,) = [point for point in report.points if point.code == "box-unit"]
        assert (point.verdict, point.where, point.house) == (wanted, "page 1", True)


def test_inks_are_listed_once_printing_before_steps() -> None:
    assert inspect(write(white_sheet())).inks == (
        *("Safety Orange", "Black", "White", "Creasing", "Dimensions"),
    )


def test_the_dict_is_json_and_names_every_point() -> None:
    report = inspect(base(True))
    told = json.loads(json.dumps(as_dict(report)))
    assert told["verdict"] == "pass"
    assert told["claim"] == "PDF/X-4"
    assert len(told["points"]) == len(report.points) > 50
    assert {point["verdict"] for point in told["points"]} == {"pass"}


def test_a_report_comes_back_from_its_dict() -> None:
    for data in (base(True), KNOWN["half a hole"].made(), b"no PDF"):
        report = inspect(data)
        assert report_from(json.loads(json.dumps(as_dict(report)))) == report


def test_a_fault_says_what_where_and_what_would_be_right() -> None:
    report = inspect(KNOWN["half a hole"].made())
    (point,) = report.failures
    assert point.where == "page 1, step Structural/Drilling"
    assert point.what == "1 open contour, the first at 10.0, 7.0 mm from the top left"
    assert point.right == "close them"
    text = as_text(report, width=60, passes=False)
    first, *_ = text.splitlines()
    assert first.startswith("verdict: fail, 1 fault,")
    assert first.endswith("(house rules)")
    assert max(len(line) for line in text.splitlines() if line[:4] in ("fail", "note")) <= 60
    assert "[house rule]" in text


def test_every_fault_of_every_mutant_says_something_to_a_person() -> None:
    for name in ("cut in cmyk", "no trim box", "misspelt type", "no intent", "live font"):
        if name == "no intent":
            claiming()
        for point in inspect(KNOWN[name].made()).failures:
            assert point.what
            assert point.right


def test_many_points_of_one_kind_are_counted() -> None:
    points = tuple(Point("box-trim", Verdict.FAIL, "x", f"page {n}") for n in range(1, 41))
    lines = as_text(Report(points)).splitlines()
    assert sum("box-trim" in line for line in lines) == 6
    assert any("and 35 more of these" in line for line in lines)
    assert lines[0] == "verdict: fail, 40 faults (house rules)"


def test_no_code_is_both_passed_and_failed() -> None:
    for mutant in MUTANTS[:40]:
        if not mutant.claims:
            report = inspect(mutant.made())
            passed = {point.code for point in report.points if point.verdict is Verdict.PASS}
            assert not passed & report.codes


@pytest.mark.parametrize(
    "data", [b"", b"hello", b"%PDF-1.6", b"%PDF-1.6\n%%EOF", b"PK\x03\x04" * 99]
)
def test_what_is_no_pdf_is_unreadable(data: bytes) -> None:
    report = inspect(data)
    assert report.verdict is Verdict.UNREADABLE
    assert report.codes == {"file-syntax"}


def test_a_file_is_read_from_its_path(tmp_path: Path) -> None:
    path = tmp_path / "sheet.pdf"
    path.write_bytes(write(sheet()))
    assert inspect(path) == inspect(path.read_bytes())
    with pytest.raises(OSError, match=r"none\.pdf"):
        inspect(tmp_path / "none.pdf")


@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.integers(0, 10**6), st.binary(min_size=1, max_size=12))
def test_any_damage_is_judged_without_a_crash(place: int, damage: bytes) -> None:
    data = base(False)
    at = place % len(data)
    report = inspect(data[:at] + damage + data[at + len(damage) :])
    assert report.verdict in Verdict


@pytest.mark.tools
def test_plates_are_rendered_and_their_coverage_told() -> None:
    tool("gs")
    report = inspect(write(sheet()), with_plates=True)
    (point,) = [point for point in report.points if point.code == "plate-coverage"]
    told = {
        ink: float(percent) / 100
        for ink, percent in re.findall(r"([A-Z][A-Za-z ]+) (\d+\.\d\d) %", point.what)
    }
    assert report.failures == ()
    assert {"Safety Orange", "Sky Blue", "Black", "PartialCutting", "Cutting"} <= set(told)
    page, bands = 300 * 220, 3 * 54 * (30 + 25)
    words = 3 * 2 * 8 * 8 * 0.4
    assert told["Sky Blue"] == pytest.approx(3 * 54 * 30 / page, rel=0.02)
    assert told["Safety Orange"] == pytest.approx((3 * 254 * 54 - bands) / page, rel=0.02)
    assert told["Safety Red"] == pytest.approx((3 * 54 * 25 - words) / page, rel=0.02)
    assert told["PartialCutting"] < 0.02


def test_without_ghostscript_the_report_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("shutil.which", lambda _: None)
    report = inspect(write(sheet()), with_plates=True)
    (point,) = [point for point in report.points if point.code == "plates-rendered"]
    assert point.verdict is Verdict.NOTE
    assert "not installed" in point.what
    assert report.verdict is Verdict.PASS


@pytest.mark.tools
def test_the_share_of_a_thin_line_on_a_long_page_is_its_own() -> None:
    """342 m of 0.25 pt lines on 1.4 by 2.2 m: the share follows from length and width."""
    tool("gs")
    width, height, count = 1400.0, 2200.0, 240
    to_points = 72 / 25.4
    drawn = [b"0.25 w /C CS 1 SCN"]
    for index in range(count):
        y = (20.123 + 9.01 * index) * to_points
        drawn.append(b"%f %f m %f %f l S" % (10 * to_points, y, 1390 * to_points, y + 3))
    with pikepdf.new() as pdf:
        page = pdf.add_blank_page(page_size=(width * to_points, height * to_points))
        spaces = pikepdf.Dictionary({"/C": separation("Cutting")})
        page.obj["/Resources"] = pikepdf.Dictionary({"/ColorSpace": spaces})
        page.Contents = pdf.make_stream(b"\n".join(drawn))
        target = io.BytesIO()
        pdf.save(target)
    report = inspect(target.getvalue(), with_plates=True)
    (point,) = [point for point in report.points if point.code == "plate-coverage"]
    found = re.search(r"Cutting (\d+\.\d\d) %", point.what)
    assert found
    share = 100 * count * 1380 * (0.25 / to_points) / (width * height)
    assert float(found[1]) == pytest.approx(share, abs=0.03)
