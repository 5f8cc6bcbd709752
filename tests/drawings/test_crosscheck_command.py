"""A list held against its drawings through the command, every finding with a planted fault."""

from __future__ import annotations

import csv
import io
import json
import os
import zlib
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.helpers import pid_samples
from tests.helpers.command import run, told
from tests.helpers.pid_samples import ROWS, TEXTS, Text, plant_list


def drawn_in(folder: Path, form: str) -> Path:
    makers: dict[str, Callable[[Path], Path]] = {
        "pid.pdf": lambda path: pid_samples.pdf(path, [TEXTS]),
        "pid.dxf": pid_samples.dxf,
        "pid.csv": pid_samples.table,
        "pid.xml": pid_samples.proteus,
        "two.xml": pid_samples.dexpi_2,
    }
    return makers[form](folder / form)


@pytest.mark.parametrize("form", ["pid.pdf", "pid.dxf", "pid.csv", "pid.xml", "two.xml"])
def test_a_drawing_that_agrees_passes_in_every_form(tmp_path: Path, form: str) -> None:
    result = run(
        "crosscheck",
        plant_list(tmp_path),
        drawn_in(tmp_path, form),
        *("-o", tmp_path / "all.csv", "--json"),
    )
    table = told(result)
    assert (result.exit_code, table["findings"]) == (0, [])
    assert (table["agree"], table["near"], table["not_on_a_drawing"]) == (5, 0, 0)
    rows = list(csv.DictReader(io.StringIO((tmp_path / "all.csv").read_text())))
    assert {row["result"] for row in rows} == {"agrees"}
    assert all("R-101 rev 3" in row["sheets"] for row in rows)
    line = next(row for row in rows if row["list"] == "HPL-4-101")
    assert (line["service"], line["class"]) == ("HPL", "A1A")
    assert "4" in line["size"]


def found(tmp_path: Path, texts: tuple[Text, ...], *more: str | Path) -> tuple[int, list[str], str]:
    """Exit code, codes and all sentences for the plant's list beside one sheet."""
    sheet = pid_samples.pdf(tmp_path / "pid.pdf", [texts])
    result = run("crosscheck", tmp_path / "list.csv", sheet, "--json", *more)
    findings = told(result)["findings"]
    return result.exit_code, [each["code"] for each in findings], json.dumps(findings)


def changed(old: str, new: str) -> tuple[Text, ...]:
    assert any(text == old for text, _, _ in TEXTS)
    return tuple((new if text == old else text, x, y) for text, x, y in TEXTS if new or text != old)


def drawing(*names: str) -> tuple[Text, ...]:
    return (*TEXTS, *((name, 60, 300 - 20 * n) for n, name in enumerate(names)))


@pytest.mark.parametrize(
    ("texts", "code", "exit_code", "words"),
    [
        (changed("HV-118", ""), "crosscheck-undrawn", 0, "valve HV-118 is on no drawing"),
        (changed("101", ""), "crosscheck-emergency", 1, "emergency valve HV-101 is on no drawing"),
        (drawing("HV-119"), "crosscheck-unlisted", 0, "HV-119 is on R-101 rev 3 (pid.pdf)"),
        (changed("HV-118", "HV-l18"), "crosscheck-near", 0, "has HV-l18"),
        (changed("HV-118", "HV-181"), "crosscheck-near", 0, "has HV-181"),
        (changed("HV-118", "HV-1118"), "crosscheck-near", 0, "has HV-1118"),
        (changed("101", "1O1"), "crosscheck-near", 1, "HV-1O1"),
        (changed('3"-CD-102-A1A', '3"-HSD-102-A1A'), "crosscheck-near", 0, "HSD-102"),
        (changed('3"-CD-102-A1A', '4"-CD-102-A1A'), "crosscheck-size", 0, "NPS 3 in the list"),
        (changed("DWG NO. R-101", "DWG NO. R-102"), "crosscheck-sheet", 0, "on R-102"),
        ((("KING ROOM", 72, 72),), "crosscheck-nothing", 1, "none of the 5 names"),
        ((), "drawing-no-text", 1, "a scan"),
    ],
)
def test_a_planted_difference_is_told(
    tmp_path: Path, texts: tuple[Text, ...], code: str, exit_code: int, words: str
) -> None:
    plant_list(tmp_path)
    got_exit, codes, said = found(tmp_path, texts)
    assert code in codes
    assert words in said
    assert got_exit == exit_code


def test_near_names_are_proposed_and_never_counted_as_missing(tmp_path: Path) -> None:
    plant_list(tmp_path)
    _, codes, _ = found(tmp_path, changed("HV-118", "HV-l18"))
    assert codes == ["crosscheck-near"]


def test_a_neighboring_number_is_another_valve_and_no_near_miss(tmp_path: Path) -> None:
    plant_list(tmp_path)
    _, codes, _ = found(tmp_path, changed("HV-118", "HV-119"))
    assert sorted(codes) == ["crosscheck-undrawn", "crosscheck-unlisted"]


def test_another_writing_of_the_same_tag_agrees(tmp_path: Path) -> None:
    plant_list(tmp_path)
    for other in ("HV118", "HV 118", "hv-118", "HV_118"):
        assert found(tmp_path, changed("HV-118", other))[1] == []


def test_a_service_that_differs_stops(tmp_path: Path) -> None:
    rows = [{**row, "service": "HGD"} if row.get("line") == "CD-3-102" else row for row in ROWS]
    plant_list(tmp_path, [*rows, {**ROWS[1], "line": "CD-3-103"}])
    code, codes, said = found(tmp_path, drawing('3"-CD-103'))
    assert (code, "crosscheck-service" in codes) == (1, True)
    assert "carries HGD by the list and CD by" in said


def test_the_lists_own_number_is_held_against_its_size(tmp_path: Path) -> None:
    rows = [{**row, "pipe": "NPS 6"} if row.get("line") == "HPL-4-101" else row for row in ROWS]
    plant_list(tmp_path, rows)
    _, codes, said = found(tmp_path, changed('4"-HPL-101-A1A', "HPL-101"))
    assert codes == ["crosscheck-size"]
    assert "NPS 6 in the list and 4 by its own number" in said


def test_a_table_that_calls_a_valve_emergency_is_believed(tmp_path: Path) -> None:
    plant_list(tmp_path, [{**row, "emergency": ""} for row in ROWS])
    result = run("crosscheck", tmp_path / "list.csv", pid_samples.table(tmp_path / "t.csv"))
    assert result.exit_code == 1
    assert "HV-101 is an emergency valve on R-101 rev 3 (t.csv), not in the list" in result.output


def test_an_unlisted_emergency_valve_stops(tmp_path: Path) -> None:
    plant_list(tmp_path, ROWS[:4])
    result = run("crosscheck", tmp_path / "list.csv", pid_samples.table(tmp_path / "t.csv"))
    assert result.exit_code == 1
    assert "emergency valve HV-101 is on" in " ".join(result.output.split())


def test_a_form_that_the_list_has_none_of_is_looked_for_on_request(tmp_path: Path) -> None:
    plant_list(tmp_path)
    texts = drawing("XV-201")
    assert found(tmp_path, texts)[1] == []
    assert found(tmp_path, texts, "--tag-form", "XV-###")[1] == ["crosscheck-unlisted"]
    result = run("crosscheck", tmp_path / "list.csv", tmp_path / "pid.pdf", "--tag-form", "201")
    assert (result.exit_code, "tag-form" in result.output) == (2, True)


def test_pages_are_sheets_and_a_scan_among_them_is_told(tmp_path: Path) -> None:
    path = pid_samples.pdf(tmp_path / "set.pdf", [TEXTS, (), (("HV-118", 72, 72),)])
    result = run("crosscheck", plant_list(tmp_path), path)
    assert result.exit_code == 1
    assert "page 2 (set.pdf) holds no text" in result.output


HOSTILE = {
    "bomb.xml": b'<!DOCTYPE a [<!ENTITY b "b"><!ENTITY c "&b;&b;">]><PlantModel>&c;</PlantModel>',
    "fetch.xml": b'<!DOCTYPE a SYSTEM "http://example.invalid/a.dtd"><PlantModel/>',
    "file.xml": b'<!DOCTYPE a [<!ENTITY b SYSTEM "file:///etc/hosts">]><PlantModel/>',
    "deep.xml": b"<PlantModel>" + b"<Equipment>" * 500 + b"</Equipment>" * 500 + b"</PlantModel>",
    "other.xml": b"<svg/>",
    "cut.xml": b"<PlantModel><Equipment",
    "zip.xml": zlib.compress(b"<PlantModel/>"),
    "not.pdf": b"%PDF-1.7\n%%EOF",
    "empty.pdf": b"",
    "not.dxf": b"0\nSECTION\n2\nENTITIES\n0\nTEXT\nxx",
    "table.csv": b"a,b,c\n1,2,3\n",
    "latin.csv": b"tag\nV\xe4\n",
    "drawing.dwg": b"AC1032",
}


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_or_broken_file_is_refused_in_a_sentence(tmp_path: Path, name: str) -> None:
    (tmp_path / name).write_bytes(HOSTILE[name])
    result = run("crosscheck", plant_list(tmp_path), tmp_path / name)
    assert result.exit_code == 2, result.output
    assert "drawing-unreadable" in result.output
    assert "Traceback" not in result.output


def test_every_unreadable_file_is_told_at_once(tmp_path: Path) -> None:
    for name in ("other.xml", "not.pdf"):
        (tmp_path / name).write_bytes(HOSTILE[name])
    names = [tmp_path / each for each in ("other.xml", "not.pdf", "missing.dxf")]
    result = run("crosscheck", plant_list(tmp_path), *names)
    assert result.exit_code == 2
    assert result.output.count("drawing-unreadable") == 3


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs pipes with a name")
@pytest.mark.parametrize("suffix", ["pdf", "dxf", "csv", "xml"])
def test_a_pipe_is_not_waited_for(tmp_path: Path, suffix: str) -> None:
    os.mkfifo(tmp_path / f"drawing.{suffix}")
    result = run("crosscheck", plant_list(tmp_path), tmp_path / f"drawing.{suffix}")
    assert result.exit_code == 2
    assert "it is a pipe or a device and not a file" in result.output
