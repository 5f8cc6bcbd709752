"""A list on the page: its faults fixed in place, and the file back, equal but for the fixes."""

from __future__ import annotations

import io
import re
import zipfile
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.styles import Font, PatternFill
from starlette.testclient import TestClient

import pipelegend
from tests.helpers.page_jobs import HTML, cell_name, csv_text, drop, fixed, saved, stage

HEAD = ("Line No.", "Service", "Phase", "Oper. Press. (psig)", "Size", "Flow Dir", "Room", "Qty")


def untidy(path: Path) -> bytes:
    """A workbook of an invented plant with looks of its own, formulas, and three faults."""
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "Line List"
    sheet.append(["Invented plant, line list"])
    sheet.append(HEAD)
    sheet.append(["L-1", "HPL", "liquid", 181, "2", "right", "Dock", 2])
    sheet.append(["L-2", "HPL", "liqid", 181, "3", "left", "Dock", 1])
    sheet.append(["L-3", "HPL", "liqid", "one eighty", "3", "left", "Dock", 1])
    sheet.append(["L-4", "HPL", "liquid", 181, "3", "right", "Dock", "=1+1"])
    sheet["A1"].font = Font(bold=True, size=14)
    sheet["G3"].fill = PatternFill("solid", start_color="FFEE00")
    sheet["D3"].number_format = "0.0"
    sheet.column_dimensions["A"].width = 31
    sheet.freeze_panes = "A3"
    book.create_sheet("Remarks")["B2"] = "kept as it is"
    book.save(path)
    return with_result(path.read_bytes(), "H6", "2")


def with_result(data: bytes, cell: str, value: str) -> bytes:
    """The workbook as a spreadsheet program saves it: the formula's cell holds its result."""
    made = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as source, zipfile.ZipFile(made, "w") as target:
        for entry in source.infolist():
            content = source.read(entry)
            if entry.filename == "xl/worksheets/sheet1.xml":
                before = content
                content = re.sub(
                    rb'(<c r="%s"[^>]*><f>[^<]*</f>)<v ?(?:/>|></v>)' % cell.encode(),
                    rb"\g<1><v>%s</v>" % value.encode(),
                    content,
                )
                assert content != before
            target.writestr(entry, content)
    return made.getvalue()


def test_faults_are_fixed_in_place_and_the_workbook_comes_back_equal_but_for_them(
    served: TestClient, tmp_path: Path
) -> None:
    original = tmp_path / "original.xlsx"
    data = untidy(original)
    original.write_bytes(data)
    name = drop(served, "plant list.xlsx", data)
    page = served.get(f"/lists/{name}", headers=HTML).text
    assert "Some rows must be settled first." in page
    assert "Make the job</button>" not in page
    state, pressure = cell_name(page, "liqid"), cell_name(page, "one eighty")
    wanted = {f"use-{state[2:]}": "liquid", f"alike-{state[2:]}": "1", pressure: "180"}
    assert f'name="use-{state[2:]}" value="liquid"' in page
    page = fixed(served, name, **{state: "liqid", **wanted})
    assert "Nothing keeps this list from being made." in page
    back = saved(served, name, tmp_path, "plant list.xlsx")
    fixes = {"C4": "liquid", "C5": "liquid", "D5": 180}
    assert changes(original, back) == fixes
    assert pipelegend.check(back).passed
    assert marks(back) == set(fixes)
    assert looks(original, back) == set(fixes)


def changes(old: Path, new: Path) -> dict[str, object]:
    """Cells whose values differ, formulas and results both looked at; sheets must be the same."""
    found: dict[str, object] = {}
    for values in (False, True):
        before, after = (openpyxl.load_workbook(each, data_only=values) for each in (old, new))
        assert before.sheetnames == after.sheetnames
        for sheet in before.worksheets:
            other = after[sheet.title]
            assert sheet.dimensions == other.dimensions
            for row in sheet.iter_rows():
                for cell in row:
                    value = other[cell.coordinate].value
                    if value != cell.value:
                        found[cell.coordinate] = value
    return found


def marks(path: Path) -> set[str]:
    """Cells with a note of what they held."""
    cells = (c for row in openpyxl.load_workbook(path).worksheets[0].iter_rows() for c in row)
    return {cell.coordinate for cell in cells if cell.comment and "was" in cell.comment.text}


def looks(old: Path, new: Path) -> set[str]:
    """Cells that look otherwise; widths and frozen panes must be the same."""
    before, after = (openpyxl.load_workbook(each).worksheets[0] for each in (old, new))
    assert before.column_dimensions["A"].width == after.column_dimensions["A"].width
    assert before.freeze_panes == after.freeze_panes
    return {
        cell.coordinate
        for row in before.iter_rows()
        for cell in row
        if look(cell) != look(after[cell.coordinate])
    }


def look(cell: Any) -> tuple[object, ...]:
    return cell.font.b, cell.font.sz, cell.fill.start_color.rgb, cell.number_format


def test_a_csv_list_comes_back_in_its_own_encoding_and_delimiter(
    served: TestClient, tmp_path: Path
) -> None:
    rows = (
        ("service", "state", "pressure_psig", "pipe", "flow", "area"),
        ("HPL", "liqid", "181", "NPS 2", "right", "Kühlhaus, Süd"),
        ("CD", "liquid", "181", "NPS 3", "left", "Kühlhaus, Süd"),
    )
    data = csv_text(rows, ";").replace("\n", "\r\n").encode("cp1252")
    name = drop(served, "list.csv", data)
    page = served.get(f"/lists/{name}", headers=HTML).text
    fixed(served, name, **{cell_name(page, "liqid"): "liquid"})
    back = saved(served, name, tmp_path, "list.csv").read_bytes()
    assert back == data.replace(b"liqid", b"liquid")


@pytest.mark.parametrize("suffix", [".xlsx", ".csv"])
def test_an_accepted_finding_is_kept_with_its_reason(
    served: TestClient, tmp_path: Path, suffix: str
) -> None:
    rows = (
        ("service", "state", "pressure_psig", "pipe", "covering_in", "flow", "area"),
        ("LTRL", "liquid", "25", "NPS 2", "14", "right", "Dock"),
    )
    reason = "both pipes run in one casing here"
    data = csv_text(rows).encode()
    if suffix == ".xlsx":
        book = openpyxl.Workbook()
        for row in rows:
            book.worksheets[0].append(row)
        book.save(tmp_path / "given.xlsx")
        data = (tmp_path / "given.xlsx").read_bytes()
    name = drop(served, f"casing{suffix}", data)
    page = served.get(f"/lists/{name}", headers=HTML).text
    asked = re.search(r'name="(accept:[\w-]+:[^"]*)"', page)
    assert asked is not None, page
    stamp = re.search(r'name="stamp" value="(\w+)"', page)
    assert stamp is not None
    short = served.post(f"/lists/{name}", data={"stamp": stamp[1], asked[1]: "no"}, headers=HTML)
    assert short.status_code == 422
    assert "at least 8 characters" in short.text
    page = fixed(served, name, **{asked[1]: reason})
    assert "Nothing keeps this list from being made." in page
    assert f"Accepted: {reason}" in page
    back = saved(served, name, tmp_path, f"casing{suffix}")
    if suffix == ".csv":
        back = saved(served, name, tmp_path, "casing.order.json")
    checked = pipelegend.check(back)
    assert checked.passed
    assert reason in {each.accepted for each in checked.findings}


def test_a_heading_is_corrected_by_choosing(served: TestClient) -> None:
    rows = (
        ("service", "state", "pressure_psig", "pipe", "flow", "Hall"),
        ("HPL", "liquid", "181", "NPS 2", "right", "Cold hall 3"),
    )
    name = drop(served, "hall.csv", csv_text(rows).encode())
    page = served.get(f"/lists/{name}", headers=HTML).text
    assert "(no area)" in page
    served.post(f"/lists/{name}/headings", data={"h-0-5": "area"}, headers=HTML)
    page = served.get(f"/lists/{name}", headers=HTML).text
    assert "(no area)" not in page
    assert '<th scope="row">Cold hall 3</th>' in page


def test_a_fix_of_a_list_that_another_window_changed_is_refused(served: TestClient) -> None:
    rows = (("service", "state", "pipe"), ("HPL", "liqid", "NPS 2"))
    name = drop(served, "two windows.csv", csv_text(rows).encode())
    page = served.get(f"/lists/{name}", headers=HTML).text
    stamp = re.search(r'name="stamp" value="(\w+)"', page)
    assert stamp is not None
    field = cell_name(page, "liqid")
    fixed(served, name, **{field: "liquid"})
    late = served.post(f"/lists/{name}", data={"stamp": stamp[1], field: "vapor"}, headers=HTML)
    assert late.status_code == 409
    assert "another window" in late.text
    assert stage(served, name) == "done"


def test_faulty_rows_come_fifty_a_page_and_all_rows_on_request(served: TestClient) -> None:
    head = ("service", "state", "pressure_psig", "pipe", "covering_in", "flow", "area")
    good = [("HPL", "liquid", "181", "NPS 2", "0", "right", f"Room {n}") for n in range(70)]
    bad = [("HPL", "liquid", f"high {n}", "NPS 2", "0", "right", f"Room {n}") for n in range(60)]
    name = drop(served, "long.csv", csv_text((head, *good, *bad)).encode())
    page = served.get(f"/lists/{name}", headers=HTML).text
    assert "Rows to look at, the gravest first: 60" in page
    assert page.count('<fieldset class="listrow') == 50
    second = served.get(f"/lists/{name}?page=2", headers=HTML).text
    assert second.count('<fieldset class="listrow') == 10
    whole = served.get(f"/lists/{name}?all=1&page=3", headers=HTML).text
    assert whole.count('<fieldset class="listrow') == 30
    assert "All rows: 130" in whole


def test_an_old_workbook_comes_back_as_one_of_today(served: TestClient, tmp_path: Path) -> None:
    text = csv_text((("service", "state", "pipe"), ("HPL", "liqid", "NPS 2")))
    name = drop(served, "old.ods", ods(text))
    page = served.get(f"/lists/{name}", headers=HTML).text
    fixed(served, name, **{cell_name(page, "liqid"): "liquid"})
    back = openpyxl.load_workbook(saved(served, name, tmp_path, "old.xlsx"))
    assert [[c.value for c in row] for row in back.worksheets[0].iter_rows()] == [
        ["service", "state", "pipe"],
        ["HPL", "liquid", "NPS 2"],
    ]


def ods(text: str) -> bytes:
    """A small OpenDocument sheet (OpenDocument 1.3, part 3)."""
    rows = "".join(
        "<table:table-row>"
        + "".join(
            '<table:table-cell office:value-type="string">'
            f"<text:p>{cell}</text:p></table:table-cell>"
            for cell in line.split(",")
        )
        + "</table:table-row>"
        for line in text.splitlines()
    )
    names = " ".join(
        f'xmlns:{name}="urn:oasis:names:tc:opendocument:xmlns:{name}:1.0"'
        for name in ("office", "table", "text")
    )
    content = (
        f'<?xml version="1.0" encoding="UTF-8"?><office:document-content {names}><office:body>'
        f'<office:spreadsheet><table:table table:name="Lines">{rows}</table:table>'
        "</office:spreadsheet></office:body></office:document-content>"
    )
    manifest = (
        '<?xml version="1.0"?><manifest:manifest '
        'xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"/>'
    )
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as target:
        target.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        target.writestr("META-INF/manifest.xml", manifest)
        target.writestr("content.xml", content)
    return made.getvalue()
