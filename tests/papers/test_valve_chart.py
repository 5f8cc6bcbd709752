"""The valve schedule: every valve once, emergency valves first, read back by other programs."""

from __future__ import annotations

import io
import re
import subprocess
import tempfile
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from layouts.drawing.document import Document
from layouts.papers.packs import install
from layouts.papers.schedule import ValveRow, valve_rows
from layouts.papers.valve_chart import ValveChart
from render.preflight import PAPERS, Verdict, inspect
from render.write import pdf
from render.write.valve_workbook import valves_xlsx
from tests.helpers.packs_plant import Plant, plant
from tests.helpers.packs_reading import all_letters, squeezed
from tests.helpers.paper_reading import raster, words
from tests.helpers.whole_papers import whole


@pytest.fixture(scope="module")
def made() -> Plant:
    return plant()


@pytest.fixture(scope="module")
def file(made: Plant) -> bytes:
    return pdf.write(framed(made))


def framed(made: Plant) -> Document:
    return whole(drawn(made, valve_rows(made.order, made.schemes)))


def drawn(made: Plant, rows: Sequence[ValveRow]) -> ValveChart:
    return ValveChart(made.order, rows, made.schemes, made.typefaces)


def workbook(made: Plant, date: str | None = None) -> bytes:
    return valves_xlsx(made.order, valve_rows(made.order, made.schemes), made.schemes, date)


def table(data: bytes) -> list[dict[str, str]]:
    """Rows of the workbook as openpyxl reads them."""
    sheet = openpyxl.load_workbook(io.BytesIO(data)).active
    assert sheet is not None
    head, *rows = sheet.iter_rows(min_row=3, values_only=True)
    return [{str(k): str(v or "") for k, v in zip(head, row, strict=True)} for row in rows]


def test_the_workbook_holds_every_valve_in_order(made: Plant) -> None:
    rows = table(workbook(made))
    assert [row["Valve no."] for row in rows] == ["HV-101", "HV-9", "HV-10", "HV-100"]
    assert [row["Emergency"] for row in rows] == ["EMERGENCY", "", "", ""]
    assert rows[0] == {
        "Emergency": "EMERGENCY",
        "Valve no.": "HV-101",
        "System": "HPL",
        "System means": "high pressure liquid",  # abbreviation lists of 1991 and 2014
        "Function": "King valve",
        "Location": "at HPR-1",
        "Area": "Engine room",
        "Size": "NPS 3",
        "Normal position": "normally open",
        "Lockout": "",
        "P&ID sheet": "R-1",
        "Notes": "seal it open; 2 tags",
    }


def test_the_workbook_is_the_same_again_and_knows_no_clock(made: Plant) -> None:
    first = workbook(made)
    assert first == workbook(made)
    properties = openpyxl.load_workbook(io.BytesIO(first)).properties
    assert properties.created.isoformat() == "1980-01-01T00:00:00"
    dated = openpyxl.load_workbook(io.BytesIO(workbook(made, "2026-02-03")))
    assert dated.properties.created.isoformat() == "2026-02-03T00:00:00"


@pytest.mark.tools
def test_a_schedule_handed_over_page_by_page_shows_the_same(
    made: Plant, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And so it does if every page lets go of what the one before it placed."""
    rows = valve_rows(made.order, made.schemes) * 60
    document = whole(drawn(made, rows))
    assert len(document.pages) > 3
    monkeypatch.setattr("layouts.papers.kit.paper._MOST_HELD", 0)
    chart = drawn(made, rows)
    handed, file = pdf.write_ahead(chart.document, chart.pages), pdf.write(document)
    for page in range(1, len(document.pages) + 1):
        assert words(handed, page, width=431.8) == words(file, page, width=431.8)
        assert (raster(handed, page, 40) == raster(file, page, 40)).all()


@pytest.mark.slow
@pytest.mark.tools
def test_the_chart_reads(file: bytes) -> None:
    text = words(file, 1, width=431.8)
    for wanted in (
        "Emergency valves",
        "All other valves",
        "revision D",
        "high pressure liquid",
        "King valve",
        "P&ID sheet",
    ):
        assert wanted in text, (wanted, text)
    assert [text.count(f"HV-{number} ") for number in (101, 9, 10, 100)] == [1, 1, 1, 1]
    assert text.index("HV-101") < text.index("HV-9")


@pytest.mark.tools
def test_emergency_valves_alone_have_a_red_flag_in_the_margin(file: bytes) -> None:
    """Red is looked for left of the table, where nothing else is printed."""
    dpi = 100
    seen = raster(file, 1, dpi).astype(int)
    margin = seen[:, round(12 / 25.4 * dpi) : round(31 / 25.4 * dpi)]
    red = (margin[..., 0] > 150) & (margin[..., 1] < 80) & (margin[..., 2] < 80)
    lines = np.flatnonzero(red.any(axis=1))
    height = (lines[-1] - lines[0] + 1) / dpi * 25.4
    assert height == pytest.approx(5.6, abs=0.5)  # one flag, one emergency valve


def test_pages_are_ledger_and_clean(made: Plant, file: bytes) -> None:
    # ANSI/ASME Y14.1 size B, 17 x 11 in; a point is 1/72 in (ISO 32000-1, 8.3.2.3).
    for page in PdfReader(io.BytesIO(file)).pages:
        assert [float(each) for each in page.mediabox] == pytest.approx([0, 0, 1224, 792], abs=0.01)
    points = inspect(file, rules=PAPERS).points
    assert {point.verdict for point in points} <= {Verdict.PASS, Verdict.NOTE}
    assert pdf.write(framed(made)) == file
    assert b"CreationDate" not in file


valves = st.builds(
    lambda number, emergency, areas: {
        "spec": {"kind": "valve", "tag": f"XV-{number}", "emergency": emergency},
        "positions": [{"area": area} for area in areas],
    },
    st.integers(1, 150),
    st.booleans(),
    st.lists(st.sampled_from(["A", "B", ""]), min_size=1, max_size=3),
)


@settings(max_examples=10, deadline=None)
@given(st.lists(valves, min_size=1, max_size=70))
def test_nothing_is_lost_and_nothing_is_twice(items: list[dict[str, Any]]) -> None:
    """Rows, workbook and pages count the positions of the order."""
    made = plant(items=items)
    wanted = Counter(item["spec"]["tag"] for item in items for _ in item["positions"])
    assert Counter(row.number for row in valve_rows(made.order, made.schemes)) == wanted
    assert Counter(row["Valve no."] for row in table(workbook(made))) == wanted
    text = all_letters(framed(made))
    assert text.count("XV-") == wanted.total()
    flags = [row.emergency for row in valve_rows(made.order, made.schemes)]
    assert flags == sorted(flags, reverse=True)


def test_an_order_without_valves_says_so() -> None:
    item = {"spec": {"kind": "equipment", "tag": "C-1"}, "positions": [{}]}
    made = plant(items=[item])
    document = framed(made)
    assert squeezed("No valves in this order.") in all_letters(document)
    assert len(table(workbook(made))) == 0


def test_texts_as_long_as_a_list_may_hold_are_cut_on_the_chart_and_whole_in_the_workbook() -> None:
    long = {"line": "L" * 400, "from": "F" * 400, "to": "T" * 400, "note": "N " * 199, "row": 2}
    item = {"spec": {"kind": "valve", "tag": "HV-1", "function": "W" * 120}}
    made = plant(items=[item | {"positions": [{"location": "P" * 400, **long}]}])
    document = framed(made)
    assert "P" * 240 + "…" in all_letters(document)
    (row,) = table(workbook(made))
    assert row["Location"] == "P" * 400
    assert row["Notes"].endswith("N")


@pytest.mark.tools
def test_another_program_opens_the_workbook(made: Plant) -> None:
    """unzip tells a sound archive; the sheet's XML has the filter and the frozen rows."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "valves.xlsx")
        path.write_bytes(workbook(made))
        done = subprocess.run(
            ["unzip", "-t", str(path)], capture_output=True, text=True, check=True
        )
        assert "No errors" in done.stdout
        sheet = subprocess.run(
            ["unzip", "-p", str(path), "xl/worksheets/sheet1.xml"],
            capture_output=True,
            text=True,
            check=True,
        ).stdout
    assert re.search(r'<pane [^>]*state="frozen"', sheet)
    assert "<autoFilter" in sheet


def test_a_food_zone_is_told_of_in_its_pack() -> None:
    spec = {"kind": "valve", "tag": "HV-7", "service": "HPL"}
    told = []
    for environment in ({}, {"food_zone": True}):
        item = {"spec": spec | {"environment": environment}, "positions": [{"area": "Hall"}]}
        made = plant(items=[item])
        pack = install(made.order, made.markers, made.typefaces)["Hall"]
        told.append(squeezed("FOOD ZONE: no loose parts") in all_letters(pack))
    assert told == [False, True]


def test_a_lockout_point_says_so_on_tag_schedule_and_pack() -> None:
    item = {
        "spec": {"kind": "valve", "tag": "HV-7", "service": "HPL", "lockout": True},
        "positions": [{"area": "Hall"}],
    }
    made = plant(items=[item])
    assert made.markers[0].face.words == "HPL HV-7 LOCKOUT POINT"
    (row,) = table(workbook(made))
    assert row["Lockout"] == "yes"
    assert "yes" in all_letters(framed(made))
    pack = install(made.order, made.markers, made.typefaces)["Hall"]
    assert squeezed("lockout point: hang the tag clear") in all_letters(pack)
