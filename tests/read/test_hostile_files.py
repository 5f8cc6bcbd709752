"""Files made to hang, to fill the memory or to end the program: each is refused in a sentence.

Each case runs as a command of its own under limits of the system (setrlimit(2)) that a reader
without a guard runs into; no time is measured.
"""

from __future__ import annotations

import json
import os
import resource
import struct
import subprocess
import sys
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
import xlsxwriter

from tests.helpers.command import MARKER, PIPE, write_list
from tests.helpers.open_document import write_ods

pytestmark = [
    pytest.mark.skipif(sys.platform != "linux", reason="needs limits and pipes of Linux"),
    pytest.mark.slow,
]
_CPU_S, _BYTES = 20, 1 << 30
SST = "xl/sharedStrings.xml"
SHEET = "xl/worksheets/sheet1.xml"


def _limited() -> None:
    resource.setrlimit(resource.RLIMIT_CPU, (_CPU_S, _CPU_S))
    resource.setrlimit(resource.RLIMIT_AS, (_BYTES, _BYTES))


def limited(*words: str | Path) -> tuple[int, str]:
    """Exit code and all that is printed."""
    done = subprocess.run(
        [sys.executable, "-m", "pipelegend", *map(str, words)],
        capture_output=True,
        text=True,
        check=False,
        preexec_fn=_limited,
        stdin=subprocess.DEVNULL,
    )
    return done.returncode, done.stdout + done.stderr


def refused(*words: str | Path) -> str:
    code, said = limited(*words)
    assert code == 2, said
    assert "Traceback" not in said
    assert "panicked" not in said
    return said


def book_of(path: Path, stray: tuple[int, int] | None = None) -> Path:
    with xlsxwriter.Workbook(str(path)) as book:
        sheet = book.add_worksheet("Lines")
        sheet.write_row(0, 0, [*PIPE])
        sheet.write_row(1, 0, [*PIPE.values()])
        if stray is not None:
            sheet.write(*stray, "x")
    return path


def with_part(path: Path, part: str, change: Callable[[bytes], bytes]) -> Path:
    """The workbook with one part of it written otherwise."""
    with zipfile.ZipFile(path) as source:
        parts = {each.filename: source.read(each) for each in source.infolist()}
    parts[part] = change(parts[part])
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as target:
        for name, data in parts.items():
            target.writestr(name, data)
    return path


# Rows and columns that an OpenDocument skips before a stray cell, and what is said of them.
_SKIPPED = {
    (1_048_000, 20): "cells as far away as row 1,048,003 and column U",
    (4_294_967_295, 3): "has row 4,294,967,298",
    (10, 4_294_967_295): "has a column past the last",
    (10**18, 10**18): "has row 1,000,000,000,000,000,003",
}


def open_document(path: Path, rows: int, columns: int, sheets: int = 1) -> Path:
    """A list with a stray cell, or an empty one, behind so many repeated ones in each sheet."""
    write_ods(path, [list(PIPE), list(PIPE.values())])
    empty = f'<table:table-cell table:number-columns-repeated="{columns}"/>'
    cell = '<table:table-cell office:value-type="string"><text:p>x</text:p></table:table-cell>'
    far = (
        f'<table:table-row table:number-rows-repeated="{rows}">{empty}</table:table-row>'
        f"<table:table-row>{empty}{cell if sheets else empty}</table:table-row></table:table>"
    )
    more = "".join(f'<table:table table:name="{n}">{far}' for n in range(1, sheets))
    end = b"</table:table>"
    return with_part(path, "content.xml", lambda text: text.replace(end, f"{far}{more}".encode()))


@pytest.mark.parametrize("skipped", _SKIPPED)
def test_an_open_document_that_repeats_too_much(skipped: tuple[int, int], tmp_path: Path) -> None:
    said = refused("check", open_document(tmp_path / "list.ods", *skipped))
    assert _SKIPPED[skipped] in said
    assert "'Lines'" in said


def test_many_sheets_of_an_open_document_count_together(tmp_path: Path) -> None:
    said = refused("check", open_document(tmp_path / "list.ods", 100_000, 30, sheets=9))
    assert "room for 27,900,341 cells, and 32 of them are there" in said


def test_empty_cells_to_the_end_of_the_sheet_are_none(tmp_path: Path) -> None:
    """As LibreOffice saves a sheet whose last columns have a look of their own."""
    path = open_document(tmp_path / "list.ods", 1_048_570, 16_384, sheets=0)
    assert limited("check", path)[0] == 0


@pytest.mark.parametrize("stray", [(1048575, 19), (1048575, 99), (1048575, 16383)])
def test_a_stray_cell_at_the_far_end_is_named(stray: tuple[int, int], tmp_path: Path) -> None:
    said = refused("check", book_of(tmp_path / "list.xlsx", stray))
    assert "cells as far away as row 1,048,576" in said


def test_a_stray_cell_near_by_is_not_refused(tmp_path: Path) -> None:
    code, said = limited("check", book_of(tmp_path / "list.xlsx", (5000, 40)))
    assert "file-too-large" not in said
    assert code in (0, 2)


@pytest.mark.parametrize(
    ("part", "old", "new"),
    [
        (SHEET, b'<row r="2"', b'<row r="4294967295"'),
        (SST, b' count="', b' count="4294967295" was="'),
        (SST, b' uniqueCount="', b' uniqueCount="4294967295" was="'),
    ],
)
def test_a_workbook_that_lies_about_its_size(
    part: str, old: bytes, new: bytes, tmp_path: Path
) -> None:
    path = with_part(book_of(tmp_path / "list.xlsx"), part, lambda text: text.replace(old, new))
    assert "[file-" in refused("check", path)


@pytest.mark.parametrize("mark", [b"<f ", b"<c ", b"<sheetData><row r='1'><c "])
def test_no_pattern_is_quadratic_in_a_sheet(mark: bytes, tmp_path: Path) -> None:
    """25 MB of it pack to 100 kB."""
    flood = mark * (25_000_000 // len(mark))
    path = with_part(book_of(tmp_path / "list.xlsx"), SHEET, lambda text: text + b"'e'" + flood)
    assert "[file-" in refused("check", path)


def test_a_bomb_is_refused_by_its_size(tmp_path: Path) -> None:
    path = with_part(book_of(tmp_path / "list.xlsx"), SHEET, lambda text: text + b" " * 300_000_000)
    assert "the workbook unpacks to" in refused("check", path)


def test_a_bomb_that_says_it_is_small(tmp_path: Path) -> None:
    """The sizes in both headers of the part are overwritten (APPNOTE.TXT 4.3.7 and 4.3.12)."""
    path = with_part(book_of(tmp_path / "list.xlsx"), SHEET, lambda text: text + b" " * 300_000_000)
    with zipfile.ZipFile(path) as archive:
        size = struct.pack("<I", archive.getinfo(SHEET).file_size)
    path.write_bytes(path.read_bytes().replace(size, struct.pack("<I", 5000)))
    assert "[file-broken]" in refused("check", path)


def test_a_date_that_no_calendar_has(tmp_path: Path) -> None:
    """The reader's library ends a thread over it, and says so on standard error."""
    path = tmp_path / "list.xlsx"
    with xlsxwriter.Workbook(str(path)) as book:
        sheet = book.add_worksheet("Lines")
        sheet.write_row(0, 0, [*PIPE, "note"])
        sheet.write_row(1, 0, [*PIPE.values()])
        sheet.write_number(1, len(PIPE), -1e308, book.add_format({"num_format": "yyyy-mm-dd"}))
    assert "[file-broken]" in refused("check", path)


def test_a_great_many_cells_without_a_value(tmp_path: Path) -> None:
    path = tmp_path / "list.xlsx"
    with xlsxwriter.Workbook(str(path)) as book:
        sheet = book.add_worksheet("Lines")
        sheet.write_row(0, 0, [*PIPE])
        for row in range(1, 60_000):
            sheet.write_formula(row, 0, "=1/0", None, "#DIV/0!")
    assert "more than 2,000 rows have cells with errors" in refused("check", path)


@pytest.mark.parametrize("count", [20_000, 1_000_000])
def test_a_great_many_headings(count: int, tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_text(
        ",".join([*PIPE, *(f"unknown {n}" for n in range(count))])
        + "\n"
        + ",".join(PIPE.values())
        + "\n"
    )
    said = refused("check", path)
    assert f"the list has {count + len(PIPE):,} columns" in said
    assert "too-many-columns" in said


def test_a_great_many_faults_are_counted(tmp_path: Path) -> None:
    rows = [{**PIPE, "pipe": f"no size {n}"} for n in range(100_000)]
    said = refused("check", write_list(tmp_path / "list.csv", rows))
    assert "after 1,000 faults, row 1,002 and those below were not read" in said
    assert "more-findings" in said
    assert len(said.splitlines()) < 1100


def test_a_great_many_unknown_keys_are_counted(tmp_path: Path) -> None:
    marker = {"kind": "equipment", "name": "A", **{f"key{n}": 1 for n in range(200_000)}}
    (tmp_path / "order.json").write_text(json.dumps({"markers": [marker]}))
    said = refused("check", tmp_path / "order.json")
    assert "and 199,900 more" in said
    assert len(said.splitlines()) < 200


SIDE_FILES = (
    ("check", "{}"),
    ("order", "LIST", "-o", "job", "--shop", "{}"),
    ("order", "LIST", "-o", "job", "--prices", "{}"),
    ("order", "LIST", "-o", "job", "--profile", "{}"),
    ("order", "LIST", "-o", "job", "--font", "{}"),
    ("order", "LIST", "-o", "job", "--approval", "{}"),
    ("order", "LIST", "-o", "job", "--remnants", "{}.csv"),
    ("order", "LIST", "-o", "job", "--mapping", "{}"),
    ("colors", "--readings", "{}"),
    (*MARKER, "--scheme", "{}", "-o", "m.pdf"),
)


@pytest.mark.parametrize("words", SIDE_FILES, ids=lambda words: words[-2].strip("-"))
@pytest.mark.parametrize(
    "kind",
    ["pipe", "digits", "ansi"]
    + [pytest.param(kind, marks=pytest.mark.full) for kind in ("device", "folder", "nested")],
)
def test_no_reader_waits_crashes_or_fills_the_memory(
    words: tuple[str, ...], kind: str, tmp_path: Path
) -> None:
    path = tmp_path / "file.toml"
    named = tmp_path / "file.toml.csv" if "--remnants" in words else path
    match kind:
        case "pipe":
            os.mkfifo(named)
        case "device":
            named.symlink_to("/dev/zero")
        case "folder":
            named.mkdir()
        case "nested":
            named.write_text("a = " + "[" * 100_000)
        case "digits":
            named.write_text("version = 1" + "0" * 5000)
        case _:
            named.write_bytes('title = "K\xe4lte"\n'.encode("latin-1"))
    write_list(tmp_path / "list.csv", [PIPE])
    given = [
        word.replace("{}", str(path)).replace("LIST", str(tmp_path / "list.csv"))
        if "{}" in word or word == "LIST"
        else str(tmp_path / word)
        if word in ("job", "m.pdf")
        else word
        for word in words
    ]
    refused(*given)
    assert not (tmp_path / "job").exists()
