"""Workbooks as plants keep them: several sheets and files, other kinds, merged cells, mappings."""

from __future__ import annotations

import csv
import io
import shutil
import subprocess
from collections.abc import Sequence
from pathlib import Path

import openpyxl
import pytest
import xlsxwriter

from layouts.order.order import EquipmentMarker, PipeMarker, ValveTag
from layouts.terms.words import NormalPosition, Run
from render.read import read
from tests.helpers.command import run, told
from tests.helpers.lists import write_csv, write_xlsx
from tests.helpers.open_document import write_ods
from tests.samples import demo_plant, untidy_plant

LINE = ("Line No.", "Size", "Service", "Phase", "Oper. Press.", "Dir", "Insul. Thk", "Room")
LINES = (
    ("HPL-1", '4"', "HPL", "LIQ", "181", "->", "bare", "Hall"),
    ("HPL-2", '3"', "HPL", "LIQ", "185/33", "->", "bare", "Hall"),
)
VALVE = ("Valve No.", "Size", "Description", "Normal Pos.", "Room")
VALVES = (("HV-1", '2"', "Stop", "NO", "Hall"), ("HV-2", '2"', "Stop", "NC", "hall"))


def book(path: Path, **sheets: Sequence[Sequence[str]]) -> Path:
    with xlsxwriter.Workbook(str(path)) as made:
        for name, rows in sheets.items():
            sheet = made.add_worksheet(name)
            for number, cells in enumerate(rows):
                sheet.write_row(number, 0, cells)
    return path


def two_sheets(path: Path) -> Path:
    return book(path, Lines=[("PLANT",), (), LINE, *LINES], Valves=[VALVE, *VALVES])


def test_the_untidy_plant_reads_in_one_run() -> None:
    """Every row but titles and totals is there; only notes and the old sheet are told."""
    reading = read(untidy_plant.TARGET)
    assert reading.order is not None
    assert not any(finding.blocks for finding in reading.findings)
    specs = [item.spec for item in reading.order.items]
    pipes = [spec for spec in specs if isinstance(spec, PipeMarker)]
    valves = {spec.tag: spec for spec in specs if isinstance(spec, ValveTag)}
    machines = {spec.tag: spec for spec in specs if isinstance(spec, EquipmentMarker)}
    rows = [row for row in untidy_plant.LINES if len(row) == len(untidy_plant.LINE_HEADS)]
    lines = {p.line for item in reading.order.items for p in item.positions if p.line}
    assert lines == {str(row[0]) for row in rows if row != untidy_plant.LINE_HEADS} - {"TOTAL"}
    assert {spec.run for spec in pipes if spec.flow in ("up", "down")} == {Run.VERTICAL}
    assert set(valves) == {
        *("HV-101", "HV-102", "HV-103", "HV-104", "HV-111", "HV-112", "HV-201", "HV-301"),
        *("HV-302", "SV-301", "SV-302", "SV-303", "SV-304"),
    }
    assert valves["HV-101"].normal_position is NormalPosition.NORMALLY_OPEN
    assert valves["SV-303"].normal_position is NormalPosition.CAR_SEALED_OPEN
    assert valves["SV-301"].size_text == "NPS 3/4 x 1"
    assert machines["CC-1"].contents == "R-744"
    assert {spec.environment.operating for spec in pipes} >= {-41.0, 90.0, 180.0}
    assert all(spec.environment.surface is None for spec in pipes)
    codes = {finding.code for finding in reading.findings}
    assert {"sheet-left-out", "rows-left-out", "column-read-as", "area-spelled"} <= codes


def test_the_untidy_plant_is_written_alike_each_time(tmp_path: Path) -> None:
    untidy_plant.write(tmp_path / "again.xlsx")
    assert (tmp_path / "again.xlsx").read_bytes() == untidy_plant.TARGET.read_bytes()


def test_each_finding_names_sheet_cell_and_the_file_s_own_heading(tmp_path: Path) -> None:
    reading = read(two_sheets(tmp_path / "plant.xlsx"))
    (refused,) = [finding for finding in reading.findings if finding.code == "bad-pressure"]
    assert (
        refused.place.text() == "plant.xlsx, sheet Lines, row 5, Oper. Press. (E5, pressure_psig)"
    )
    (area,) = [finding for finding in reading.findings if finding.code == "area-spelled"]
    assert (area.place.sheet, area.place.cell) == ("Valves", "E3")


def test_findings_of_the_plan_name_the_cell_as_well(tmp_path: Path) -> None:
    path = book(tmp_path / "plant.xlsx", Lines=[LINE, (*LINES[0][:3], "", *LINES[0][4:])])
    table = told(run("check", path, "--json"))
    assert isinstance(table["findings"], list)
    (missing,) = [each for each in table["findings"] if each["code"] == "state-missing"]
    assert (missing["cell"], missing["heading"], missing["field"]) == ("D2", "Phase", "state")


def test_a_fault_of_the_plan_is_told_beside_an_unreadable_cell(tmp_path: Path) -> None:
    rows = [LINE, ("HPL-1", '4"', "HPL", "", "185/33", "->", "bare", "Hall")]
    table = told(run("check", book(tmp_path / "plant.xlsx", Lines=rows), "--json"))
    assert isinstance(table["findings"], list)
    codes = {each["code"] for each in table["findings"]}
    assert {"bad-pressure", "state-missing"} <= codes
    assert "level-missing" not in codes  # only follows from the cell that cannot be read


def test_rows_of_two_sheets_keep_apart(tmp_path: Path) -> None:
    reading = read(two_sheets(tmp_path / "plant.xlsx"))
    assert reading.order is not None
    places = {(p.source, p.row) for item in reading.order.items for p in item.positions}
    assert places == {("Lines", 4), ("Valves", 2), ("Valves", 3)}


def test_several_files_in_one_order(tmp_path: Path) -> None:
    write_csv(tmp_path / "lines.csv", [LINE, LINES[0]])
    write_csv(tmp_path / "valves.csv", [VALVE, *VALVES])
    order = tmp_path / "order.toml"
    order.write_text('title = "Both"\nline_list = ["lines.csv", "valves.csv"]\n', "utf-8")
    by_order = read(order).order
    by_option = read(tmp_path / "lines.csv", also=[tmp_path / "valves.csv"]).order
    assert by_order is not None
    assert by_option is not None
    assert by_order.items == by_option.items
    sources = {p.source for item in by_order.items for p in item.positions}
    assert sources == {"", "valves.csv"}
    check = run("check", tmp_path / "lines.csv", "--also", tmp_path / "valves.csv", "--json")
    assert told(check)["markers"] == 3


def test_an_old_or_hidden_sheet_is_named_and_not_read(tmp_path: Path) -> None:
    path = two_sheets(tmp_path / "plant.xlsx")
    made = openpyxl.load_workbook(path)
    made.copy_worksheet(made["Lines"]).title = "Lines (old)"
    made["Valves"].sheet_state = "hidden"
    made.save(path)
    reading = read(path)
    left = {each.place.field for each in reading.findings if each.code == "sheet-left-out"}
    assert left == {"Lines (old)", "Valves"}


def test_hidden_columns_are_read_and_named_once_a_sheet(tmp_path: Path) -> None:
    path = two_sheets(tmp_path / "plant.xlsx")
    made = openpyxl.load_workbook(path)
    for column in "DGM":  # M holds no cell
        made["Lines"].column_dimensions[column].hidden = True
    made.save(path)
    table = told(run("check", path, "--json"))
    assert isinstance(table["findings"], list)
    (note,) = [each for each in table["findings"] if each["code"] == "hidden-columns"]
    assert note["severity"] == "note"
    assert "of 'Lines' are read like the others: D (Phase), G (Insul. Thk)" in note["what"]
    shown = told(run("check", two_sheets(tmp_path / "shown.xlsx"), "--json"))
    assert isinstance(shown["findings"], list)
    assert "hidden-columns" not in {each["code"] for each in shown["findings"]}
    assert "state-missing" not in {each["code"] for each in table["findings"]}  # D was read


def test_the_text_of_merged_cells_holds_for_all_their_rows(tmp_path: Path) -> None:
    path = book(tmp_path / "plant.xlsx", Lines=[LINE, LINES[0], (*LINES[0][:7], "")])
    made = openpyxl.load_workbook(path)
    made["Lines"].merge_cells("H2:H3")
    made.save(path)
    reading = read(path)
    assert reading.order is not None
    assert [p.area for i in reading.order.items for p in i.positions] == ["Hall", "Hall"]
    assert "merged-cells" in {finding.code for finding in reading.findings}


def test_a_merged_quantity_is_asked_about(tmp_path: Path) -> None:
    rows = [(*LINE, "Qty"), (*LINES[0], "4"), (*LINES[0], "")]
    path = book(tmp_path / "plant.xlsx", Lines=rows)
    made = openpyxl.load_workbook(path)
    made["Lines"].merge_cells("I2:I3")
    made.save(path)
    refused = [each for each in read(path).findings if each.code == "bad-quantity"]
    assert [each.place.cell for each in refused] == ["I3"]


def test_an_ods_and_an_xlsm_read_like_an_xlsx(tmp_path: Path) -> None:
    rows = [LINE, ("HPL-1", "NPS 4", "HPL", "LIQ", "181", "right", "bare", "Hall")]
    wanted = read(write_xlsx(tmp_path / "list.xlsx", rows)).order
    shutil.copy(tmp_path / "list.xlsx", tmp_path / "list.xlsm")
    assert wanted is not None
    for path in (write_ods(tmp_path / "list.ods", rows), tmp_path / "list.xlsm"):
        found = read(path).order
        assert found is not None, path
        assert found.items == wanted.items


def test_a_proposed_mapping_reads_the_list_as_it_was(tmp_path: Path) -> None:
    proposal = tmp_path / "plant.toml"
    run("check", untidy_plant.TARGET, "--propose", proposal)
    assert '[columns."Valve List"]' in proposal.read_text("utf-8")
    first, second = read(untidy_plant.TARGET), read(untidy_plant.TARGET, proposal)
    assert first.order is not None
    assert second.order is not None
    assert second.order.items == first.order.items
    assert "kind-inferred" not in {finding.code for finding in second.findings}


def test_a_mapping_of_the_plant_s_own(tmp_path: Path) -> None:
    """Headings, words and usual values that nobody could guess."""
    path = write_csv(
        tmp_path / "list.csv",
        [
            ("Ref", "Zeug", "Was", "Ph", "P1", "Weg", "Mantel"),
            ("HPL-1", "NPS 4", "HPL", "fl", "12.5", "re", ""),
        ],
    )
    mapping = tmp_path / "plant.toml"
    mapping.write_text(
        '[columns]\nRef = "line"\nZeug = "pipe"\nWas = "service"\nPh = "state"\n'
        'P1 = "pressure bar"\nWeg = "flow"\nMantel = "covering_mm"\n'
        '[values]\ncovering_in = "40"\nenvironment = "outdoor"\n'
        '[words.state]\nFL = "liquid"\n[words.flow]\nre = "right"\n',
        "utf-8",
    )
    reading = read(path, mapping)
    assert reading.findings == ()
    assert reading.order is not None
    spec = reading.order.items[0].spec
    assert isinstance(spec, PipeMarker)
    assert spec.pressure == pytest.approx(1250 / 6.894757, rel=1e-6)  # NIST SP 811
    assert spec.covering == pytest.approx(40.0)
    assert (spec.state, spec.flow, spec.environment.setting) == ("liquid", "right", "outdoor")


def test_a_mapping_on_the_sheet_order(tmp_path: Path) -> None:
    lines = [
        ("Zeug", "Was", "Phase", "Oper. Press.", "Dir", "Insul. Thk"),
        ("NPS 4", "HPL", "FL", "181", "R", "0"),
    ]
    order = [("title", "Ours"), ("column", "Zeug", "pipe"), ("column", "Was", "service")]
    path = book(tmp_path / "l.xlsx", Lines=lines, Order=[*order, ("word", "state", "FL", "liquid")])
    reading = read(path)
    assert reading.order is not None
    assert reading.order.title == "Ours"
    assert not any(finding.blocks for finding in reading.findings)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('[columns]\nSize = "pipes"\n', "did you mean pipe?"),
        ('[column]\nSize = "pipe"\n', "did you mean [columns]?"),
        ('[values]\nenvironmnt = "indoor"\n', "did you mean environment?"),
        ('[sheets]\nLines = "stuff"\n', "write pipe, equipment, valve or skip"),
        ("[columns\n", "cannot be read"),
    ],
)
def test_a_mapping_with_a_fault_is_refused(tmp_path: Path, text: str, words: str) -> None:
    mapping = tmp_path / "plant.toml"
    mapping.write_text(text, "utf-8")
    reading = read(two_sheets(tmp_path / "plant.xlsx"), mapping)
    assert reading.order is None
    assert [finding.code for finding in reading.findings] == ["bad-mapping"]
    assert words in reading.findings[0].sentence()


def marked(path: Path) -> openpyxl.Workbook:
    target = path.with_name(f"marked-{path.stem}.xlsx")
    run("check", path, "--marked", target)
    return openpyxl.load_workbook(target)


def test_a_marked_workbook_keeps_values_and_formats_and_notes_the_finding(tmp_path: Path) -> None:
    path = two_sheets(tmp_path / "plant.xlsx")
    made = openpyxl.load_workbook(path)
    made["Lines"]["A4"].font = openpyxl.styles.Font(bold=True, color="FF00AA00")
    made["Lines"].column_dimensions["A"].width = 33
    made.save(path)
    before, after = openpyxl.load_workbook(path), marked(path)
    for name in before.sheetnames:
        values = [[cell.value for cell in row] for row in before[name].iter_rows()]
        assert [[cell.value for cell in row] for row in after[name].iter_rows()] == values
    assert after["Lines"]["A4"].font.color.rgb == "FF00AA00"
    assert after["Lines"].column_dimensions["A"].width == 33
    cell = after["Lines"]["E5"]
    assert "two pressures" in cell.comment.text
    assert cell.fill.start_color.rgb == "00FF9999"
    assert after["Lines"]["E4"].comment is None
    codes = [row[3].value for row in after["Findings"].iter_rows(min_row=2)]
    assert "bad-pressure" in codes


def test_a_marked_list_once_corrected_reads_back(tmp_path: Path) -> None:
    after = marked(two_sheets(tmp_path / "plant.xlsx"))
    after["Lines"]["E5"].value = "185"
    after.save(tmp_path / "right.xlsx")
    reading = read(tmp_path / "right.xlsx")
    assert not any(finding.blocks for finding in reading.findings)
    assert reading.order is not None
    assert reading.order.quantity == 4


def test_a_correction_is_proposed_where_there_is_one(tmp_path: Path) -> None:
    rows = [LINE, ("HPL-1", '4"', "HPL", "LIQ", "1,200", "->", "bare", "Hall")]
    after = marked(book(tmp_path / "plant.xlsx", Lines=rows))
    assert after["Lines"]["E2"].comment.text.endswith("Write: 1200")
    row = next(row for row in after["Findings"].iter_rows() if row[3].value == "bad-pressure")
    assert row[6].value == "1200"


def test_the_same_list_is_marked_with_the_same_bytes(tmp_path: Path) -> None:
    path = two_sheets(tmp_path / "plant.xlsx")
    for name in ("a.xlsx", "b.xlsx"):
        run("check", path, "--marked", tmp_path / name)
    assert (tmp_path / "a.xlsx").read_bytes() == (tmp_path / "b.xlsx").read_bytes()


def test_a_csv_is_marked_as_a_workbook(tmp_path: Path) -> None:
    path = write_csv(tmp_path / "list.csv", [LINE, *LINES, ("=1+1", *LINES[0][1:])])
    after = marked(path)
    with path.open(encoding="utf-8", newline="") as stream:
        rows = list(csv.reader(stream))
    sheet = after["Line list"]
    assert [[str(cell.value) for cell in row] for row in sheet.iter_rows()] == rows
    assert sheet["A4"].data_type == "s"  # a text, and no formula
    assert sheet["E3"].comment is not None


def test_an_order_file_is_not_marked(tmp_path: Path) -> None:
    order = tmp_path / "order.toml"
    order.write_text('title = "x"\n', "utf-8")
    result = run("check", order, "--marked", tmp_path / "out.xlsx")
    assert result.exit_code == 2
    assert not (tmp_path / "out.xlsx").exists()


def test_libreoffice_opens_a_marked_workbook(tmp_path: Path) -> None:
    """Converted by another program, its cells are those that were marked."""
    office = shutil.which("soffice")
    if office is None:
        pytest.skip("LibreOffice is not installed")
    command = [office, f"-env:UserInstallation=file://{tmp_path}/office", "--headless"]

    def convert(path: Path) -> Path:
        arguments = [*command, "--convert-to", "csv", "--outdir", str(tmp_path / "out"), str(path)]
        subprocess.run(arguments, check=False, capture_output=True, timeout=120)
        return tmp_path / "out" / f"{path.stem}.csv"

    if not convert(demo_plant.TARGET).exists():
        pytest.skip("this LibreOffice has no spreadsheet program")
    target = tmp_path / "marked.xlsx"
    run("check", two_sheets(tmp_path / "plant.xlsx"), "--marked", target)
    text = io.StringIO(convert(target).read_text("utf-8"))
    assert [row[0] for row in csv.reader(text)][2:] == ["Line No.", "HPL-1", "HPL-2"]
