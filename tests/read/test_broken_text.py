"""Text that nobody can read never reaches a marker, by whatever door it comes in."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import xlsxwriter

from tests.helpers.command import MARKER, PIPE, VESSEL, everything, run, told, write_list

# Unicode 15, general category Cf; all of them come with text pasted from pages and PDFs.
INVISIBLE = ("\u200b", "\ufeff", "\u200e", "\u00ad", "\u2060", "\u202e", "\u200d")
# White_Space of Unicode, PropList.txt.
SPACES = ("\u00a0", "\u2007", "\u202f", "\u3000", "\t", "\u2028", "\x85", "\r")
# Category Cc, a surrogate, a noncharacter, and U+FFFD REPLACEMENT CHARACTER.
BROKEN = ("\x00", "\x07", "\x0e", "\x1b", "\x7f", "\x9b", "\ufffe", "\ufffd")


def listed(path: Path, **words: str) -> Path:
    return write_list(path, [{**PIPE, **words}])


def said(path: Path) -> list[dict[str, object]]:
    found = told(run("check", path, "--json"))["findings"]
    assert isinstance(found, list)
    return [each for each in found if each["severity"] in ("error", "blocked")]


def ids(*words: str | Path) -> str:
    return str(told(run(*words, "--force", "--json"))["markers"][0]["id"])


@pytest.mark.parametrize("sign", [*INVISIBLE, *SPACES])
def test_a_cell_that_looks_empty_is_empty(sign: str, tmp_path: Path) -> None:
    """The scheme's own word for the contents is printed, as if nothing stood in the cell."""
    plain = told(
        run("order", listed(tmp_path / "a.csv", legend=""), "-o", tmp_path / "a", "--json")
    )
    path = tmp_path / "b.csv"
    path.write_text(listed(path, legend="@").read_text().replace("@", f'"{sign}"'), newline="")
    made = told(run("order", path, "-o", tmp_path / "b", "--json"))
    assert made["markers"] == plain["markers"] == 1
    same = [(tmp_path / name / "markers.csv").read_bytes() for name in ("a", "b")]
    assert same[0] == same[1]
    assert b"AMMONIA" in same[0]


@pytest.mark.parametrize("sign", INVISIBLE)
def test_two_texts_that_look_equal_are_one_design(sign: str, tmp_path: Path) -> None:
    words = (*MARKER, "-o", tmp_path / "m.pdf", "--legend")
    assert ids(*words, f"AMMO{sign}NIA") == ids(*words, "AMMONIA")


@pytest.mark.parametrize("sign", BROKEN)
def test_a_broken_sign_is_told_with_row_and_column(sign: str, tmp_path: Path) -> None:
    path = listed(tmp_path / "list.csv", legend="AMMO@NIA", area="Cold@store")
    path.write_text(path.read_text("utf-8").replace("@", sign), "utf-8", newline="")
    if sign == "\x00":  # no text of an encoding has it: the file as a whole is refused
        assert [each["code"] for each in said(path)] == ["bad-encoding"]
        return
    found = said(path)
    assert [(each["code"], each["row"], each["field"]) for each in found] == [
        ("bad-character", 2, "legend"),
        ("bad-character", 2, "area"),
    ]
    assert f"U+{ord(sign):04X} at character 5" in str(found[0]["what"])
    assert run("order", path, "-o", tmp_path / "job").exit_code == 2
    assert everything(tmp_path).keys() == {"list.csv"}


def test_a_workbook_with_escaped_controls_names_the_cell(tmp_path: Path) -> None:
    """ECMA-376-1, 22.9.2.19: _x000E_ in a cell stands for the character U+000E."""
    with xlsxwriter.Workbook(str(tmp_path / "list.xlsx")) as book:
        sheet = book.add_worksheet("Lines")
        sheet.write_row(0, 0, [*PIPE, "area"])
        sheet.write_row(1, 0, [*PIPE.values(), "Cold\x0estore"])
    (found,) = said(tmp_path / "list.xlsx")
    assert (found["code"], found["cell"]) == ("bad-character", "H2")


@pytest.mark.parametrize("sign", ["\x02", "\ufffd", "\ufdd0"])
def test_an_order_file_is_read_by_the_same_door(sign: str, tmp_path: Path) -> None:
    table = {
        "title": f"Plant{sign}one",
        "plant": "Pl\u200bant",
        "markers": [{"kind": "equipment", "name": "RECEIVER", "level": "high", "area": f"a{sign}"}],
    }
    (tmp_path / "order.json").write_text(json.dumps(table))
    found = said(tmp_path / "order.json")
    assert [(each["code"], each["field"]) for each in found] == [
        ("bad-character", "title"),
        ("bad-character", "markers 1, area"),
    ]


@pytest.mark.parametrize("option", ["--legend", "--area", "--location"])
def test_words_of_a_command_are_read_by_the_same_door(option: str, tmp_path: Path) -> None:
    result = run(*MARKER, option, "AMMO\x1b[31mNIA", "-o", tmp_path / "m.pdf")
    assert result.exit_code == 2
    assert "[bad-character]" in result.stderr
    assert "\x1b" not in result.output


def test_the_sheet_order_is_read_by_the_same_door(tmp_path: Path) -> None:
    with xlsxwriter.Workbook(str(tmp_path / "list.xlsx")) as book:
        book.add_worksheet("Order").write_row(0, 0, ["title", "Plant \ufffd"])
        sheet = book.add_worksheet("Lines")
        sheet.write_row(0, 0, [*VESSEL])
        sheet.write_row(1, 0, [*VESSEL.values()])
    (found,) = said(tmp_path / "list.xlsx")
    assert (found["code"], found["field"]) == ("bad-character", "title")


def test_the_shops_words_are_read_by_the_same_door(tmp_path: Path) -> None:
    """A line break in a layer's name would begin a new group of a DXF file."""
    path = tmp_path / "shop.toml"
    path.write_text('[printer]\nstep_layers = {"Kiss cut" = "A\\u0007B"}\n')
    result = run(*MARKER, "--shop", path, "-o", tmp_path / "m.dxf")
    assert result.exit_code == 2
    assert "printer, step_layers, Kiss cut" in result.stderr
    assert "U+0007" in result.stderr
