"""`pipelegend marker`, `equipment` and `valve`: one file from one line that a technician types."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pikepdf
import pytest
from ezdxf import filemanagement
from PIL import Image

from tests.helpers.command import MARKER, everything, run, told

# The first bytes of each format: ISO 32000-1 7.5.2, XML 1.0 2.8, the DXF Reference (group code 0
# before SECTION), and the PNG specification 5.2.
STARTS = {
    ".pdf": b"%PDF-",
    ".svg": b"<?xml",
    ".dxf": b"  0\nSECTION",
    ".png": b"\x89PNG\r\n\x1a\n",
}
VALVE = ("valve", "HV-118", "--service", "HPL", "--function", "King valve", "--emergency")
VESSEL = ("equipment", "High pressure receiver", "--tag", "HPR-1", "--level", "high")


@pytest.mark.parametrize("suffix", [*STARTS, ".PDF"])
def test_the_suffix_chooses_the_format(tmp_path: Path, suffix: str) -> None:
    path = tmp_path / f"m{suffix}"
    result = run(*MARKER, "-o", path)
    assert result.exit_code == 0
    assert path.read_bytes().startswith(STARTS[suffix.lower()])
    assert set(everything(tmp_path)) == {path.name}
    assert str(path) in result.stdout


def test_all_formats_open_in_other_libraries(tmp_path: Path) -> None:
    for suffix in STARTS:
        assert run(*MARKER, "-o", tmp_path / f"m{suffix}", "--quiet").exit_code == 0
    with pikepdf.open(tmp_path / "m.pdf") as pdf:
        assert len(pdf.pages) == 1
    assert (
        not filemanagement.read(io.StringIO((tmp_path / "m.dxf").read_text("cp1252")))
        .audit()
        .errors
    )
    with Image.open(tmp_path / "m.png") as picture:
        assert picture.width > picture.height


def test_the_tag_of_a_lockout_point_says_so(tmp_path: Path) -> None:
    plain = run(*VALVE, "-o", tmp_path / "plain.pdf", "--json")
    locked = run(*VALVE, "--lockout", "-o", tmp_path / "locked.pdf", "--json")
    words = [json.loads(each.stdout)["markers"][0]["words"] for each in (plain, locked)]
    assert words[1] == f"{words[0]} LOCKOUT POINT"


@pytest.mark.parametrize("name", ["m.jpeg", "m", "m.pdf.txt"])
def test_an_unknown_suffix_is_refused_with_those_that_work(tmp_path: Path, name: str) -> None:
    result = run(*MARKER, "-o", tmp_path / name)
    assert result.exit_code == 2
    assert all(suffix in result.stderr for suffix in STARTS)
    assert result.stdout == ""
    assert everything(tmp_path) == {}


@pytest.mark.parametrize(
    ("left_out", "field"),
    [
        ("--state", "--state"),
        ("--psig", "--psig"),
        ("--flow", "--flow"),
        ("--pipe", "--pipe"),
    ],
)
def test_what_is_missing_is_asked_for_by_name(tmp_path: Path, left_out: str, field: str) -> None:
    at = MARKER.index(left_out)
    words = list(MARKER[:at] + MARKER[at + 2 :])
    if left_out == "--pipe":
        words = words[: words.index("--covering")] + words[words.index("--covering") + 2 :]
    result = run(*words, "-o", tmp_path / "m.pdf", "--json")
    assert result.exit_code == 2
    findings = told(result)["findings"]
    assert isinstance(findings, list)
    assert [each["field"] for each in findings] == [field]
    assert all(each["right"] for each in findings)
    assert everything(tmp_path) == {}


def test_nothing_given_asks_for_all_at_once(tmp_path: Path) -> None:
    result = run("marker", "HTRS", "-o", tmp_path / "m.pdf", "--json")
    assert result.exit_code == 2
    findings = told(result)["findings"]
    assert isinstance(findings, list)
    assert {each["field"] for each in findings} == {"--state", "--psig", "--flow", "--pipe"}
    assert everything(tmp_path) == {}


def test_a_word_that_cannot_be_read_names_its_field(tmp_path: Path) -> None:
    words = ["NPS 7" if word == "NPS 4" else word for word in MARKER]
    result = run(*words, "-o", tmp_path / "m.pdf")
    assert result.exit_code == 2
    assert "pipe" in result.stderr
    assert "NPS 7" in result.stderr
    assert everything(tmp_path) == {}


def test_a_girth_replaces_pipe_and_covering(tmp_path: Path) -> None:
    """A tape of pi x 7.5 in lies round NPS 4 (4.5 in, ASME B36.10M) with 1.5 in of covering."""
    at = MARKER.index("--pipe")
    taped = (*MARKER[:at], *MARKER[at + 4 :], "--girth", "23.5619in")
    assert "--covering" not in taped
    tables = [
        told(run(*words, "-o", tmp_path / "m.pdf", "--force", "--json"))["markers"]
        for words in (MARKER, taped)
    ]
    by_pipe, by_tape = ([each["size_row"], each["length_mm"]] for ((each,),) in zip(tables))
    assert by_tape == by_pipe


def test_a_level_that_the_pressure_denies_ends_with_one(tmp_path: Path) -> None:
    result = run(*MARKER, "--level", "high", "-o", tmp_path / "m.pdf")
    assert result.exit_code == 1
    assert "[level-conflict]" in result.stderr
    assert everything(tmp_path) == {}


def test_a_file_that_is_there_stays_when_the_marker_fails(tmp_path: Path) -> None:
    path = tmp_path / "m.pdf"
    path.write_bytes(b"%PDF-1.7 the old one")
    assert run(*MARKER, "--level", "high", "-o", path, "--force").exit_code == 1
    assert everything(tmp_path) == {"m.pdf": b"%PDF-1.7 the old one"}
    assert run(*MARKER, "-o", path, "--force").exit_code == 0
    assert b"the old one" not in path.read_bytes()


def test_a_folder_that_cannot_be_made_is_one_sentence(tmp_path: Path) -> None:
    (tmp_path / "taken").write_bytes(b"a file")
    result = run(*MARKER, "-o", tmp_path / "taken" / "m.pdf")
    assert result.exit_code == 2
    assert result.stderr.startswith("pipelegend: ")
    assert len(result.stderr.splitlines()) == 1
    assert everything(tmp_path) == {"taken": b"a file"}


@pytest.mark.parametrize("words", [MARKER, VALVE, VESSEL])
def test_json_is_all_that_is_printed(tmp_path: Path, words: tuple[str, ...]) -> None:
    path = tmp_path / "m.pdf"
    result = run(*words, "-o", path, "--json")
    assert result.exit_code == 0
    assert result.stderr == ""
    assert told(result)["file"] == str(path)


@pytest.mark.parametrize("words", [MARKER, VALVE, VESSEL])
def test_quiet_prints_nothing(tmp_path: Path, words: tuple[str, ...]) -> None:
    result = run(*words, "-o", tmp_path / "m.pdf", "--quiet")
    assert (result.exit_code, result.stdout, result.stderr) == (0, "", "")


def test_the_same_words_give_the_same_bytes(tmp_path: Path) -> None:
    for name in ("one.pdf", "two.pdf"):
        assert run(*MARKER, "-o", tmp_path / name, "--quiet").exit_code == 0
    one, two = everything(tmp_path).values()
    assert one == two


def test_preflight_passes_the_command_s_own_file(tmp_path: Path) -> None:
    path = tmp_path / "m.pdf"
    run(*MARKER, "-o", path)
    result = run("preflight", path, "--json")
    assert result.exit_code == 0
    told(result)


def test_preflight_says_its_verdict_by_the_exit_code(tmp_path: Path) -> None:
    """A page without a media box is not a print file (ISO 32000-1 table 30); text is not a PDF."""
    boxless = tmp_path / "boxless.pdf"
    with pikepdf.new() as pdf:
        pdf.add_blank_page()
        del pdf.pages[0].obj["/MediaBox"]
        pdf.save(boxless)
    assert run("preflight", boxless).exit_code in (1, 2)
    (tmp_path / "text.pdf").write_text("no PDF at all")
    assert run("preflight", tmp_path / "text.pdf").exit_code == 2
    assert run("preflight", tmp_path / "missing.pdf").exit_code == 2
