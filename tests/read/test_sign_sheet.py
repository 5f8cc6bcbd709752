"""A workbook's sheet ``Signs``: read as the order file's tables are, and written back."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import openpyxl
import pytest

from layouts.order.order import Order
from layouts.order.safety_sign import SafetySign
from render.read import read
from render.read.listwriter import write_list
from tests.helpers.command import run
from tests.helpers.lists import GOOD

HEADS: list[object] = ["Kind", "Text", "Steps", "Health", "Fire", "Instability", "Area", "Width"]
PLACARD: list[object] = [
    *("King valve", "HV-101", "1. Call the lead.\n2. Close it; wait."),
    *[""] * 5,
]
DIAMOND: list[object] = ["NFPA 704", "", "", 3, 1, 0, "Roof", "18 in"]


def book(path: Path, rows: Sequence[Sequence[object]]) -> Path:
    workbook = openpyxl.Workbook()
    sheet = workbook.active
    assert sheet is not None
    sheet.append(list(GOOD))
    sheet.append(list(GOOD.values()))
    signs = workbook.create_sheet("Signs")
    for row in rows:
        signs.append(row)
    workbook.save(path)
    return path


def order_in(path: Path) -> Order:
    found = read(path)
    assert found.order is not None, found.findings
    return found.order


def test_the_sheet_is_read_as_people_write_it(tmp_path: Path) -> None:
    signs = order_in(book(tmp_path / "list.xlsx", [HEADS, PLACARD, DIAMOND])).signs
    placard = {"kind": "king-valve", "text": "HV-101"}
    diamond = {"kind": "nfpa-704", "health": 3, "fire": 1, "instability": 0}
    assert signs == (
        SafetySign.model_validate({**placard, "steps": ["Call the lead.", "Close it; wait."]}),
        SafetySign.model_validate({**diamond, "area": "Roof", "width": "18 in"}),
    )


def test_a_written_list_gives_the_signs_back(tmp_path: Path) -> None:
    lone: list[object] = ["King valve", "HV-2", "Close it; wait.\n", "", "", "", "Dock", ""]
    first = order_in(book(tmp_path / "list.xlsx", [HEADS, PLACARD, DIAMOND, lone]))
    write_list(first, tmp_path / "again.xlsx")
    assert order_in(tmp_path / "again.xlsx").signs == first.signs


def test_a_list_without_signs_is_written_without_the_sheet(tmp_path: Path) -> None:
    write_list(order_in(book(tmp_path / "list.xlsx", [])), tmp_path / "again.xlsx")
    assert "Signs" not in openpyxl.load_workbook(tmp_path / "again.xlsx").sheetnames


@pytest.mark.parametrize(
    ("row", "field", "code"),
    [
        (["NFPA 704", "", "", 5, 1, 0, "", ""], "health", "bad-value"),
        (["NFPA 704", "", "", 3, "", 0, "", ""], "fire", "bad-value"),
        (["Kingvalve", "", "", "", "", "", "", ""], "kind", "bad-choice"),
        (["King valve", "HV-1", "", "", "", "", "", ""], "steps", "bad-value"),
        (["Restricted entry", "", "", "", "", "", "", "wide"], "width", "bad-length"),
        (["Alarm", "lost \ufffd sign", "", "", "", "", "", ""], "text", "bad-character"),
        (["", "", "", 3, 1, 0, "", ""], "kind", "missing-value"),
    ],
)
def test_a_fault_is_told_by_sheet_row_and_field(
    tmp_path: Path, row: list[object], field: str, code: str
) -> None:
    path = book(tmp_path / "list.xlsx", [["Our signs"], HEADS, DIAMOND, row])
    result = run("order", path, "-o", tmp_path / "job")
    assert result.exit_code == 2
    assert f"sheet Signs, row 4, {field}" in result.output
    assert f"[{code}]" in result.output
    assert not (tmp_path / "job").exists()


def test_an_unknown_or_doubled_column_is_refused(tmp_path: Path) -> None:
    path = book(tmp_path / "list.xlsx", [["Kind", "Helth", "Area", "Area"], ["Restricted entry"]])
    codes = {(each.code, each.place.field) for each in read(path).findings}
    assert codes >= {("unknown-key", "helth"), ("duplicate-column", "area")}


def test_a_sheet_without_headings_is_refused(tmp_path: Path) -> None:
    path = book(tmp_path / "list.xlsx", [["Restricted entry", "Dock"]])
    assert [each.code for each in read(path).findings if each.place.sheet] == ["no-headings"]


def test_an_order_file_speaks_instead_of_the_sheet(tmp_path: Path) -> None:
    book(tmp_path / "list.xlsx", [HEADS, DIAMOND])
    order = tmp_path / "order.toml"
    order.write_text('line_list = "list.xlsx"\n[[signs]]\nkind = "restricted-entry"\n')
    reading = read(order)
    assert reading.order is not None
    assert [str(each.kind) for each in reading.order.signs] == ["restricted-entry"]
    unread = [each.place.field for each in reading.findings if each.code == "order-sheet-unread"]
    assert unread == ["Signs"]


def test_a_job_from_a_workbook_has_its_signs(tmp_path: Path) -> None:
    path = book(tmp_path / "list.xlsx", [HEADS, PLACARD, DIAMOND])
    result = run("order", path, "-o", tmp_path / "job")
    assert result.exit_code == 0, result.output
    names = sorted(each.name for each in (tmp_path / "job" / "signs").iterdir())
    assert names == ["01-king-valve.pdf", "02-nfpa-704-roof.pdf", "signs.pdf"]
