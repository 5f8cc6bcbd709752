"""The register on disk: whole or not at all, a history that only grows, bad tables told by cell."""

from __future__ import annotations

import csv
import os
from pathlib import Path

import pytest
from openpyxl import load_workbook

from layouts.register.model import ENTRY_COLUMNS
from tests.helpers.command import PIPE, VALVE, VESSEL, everything, run, told, write_list

ROWS = [
    {**PIPE, "qty": "3", "area": "Hall", "line": "HTRS-4-1"},
    {**PIPE, "qty": "1", "area": "Roof", "line": "HTRS-4-2", "environment": "outdoor"},
    VALVE | {"area": "Hall"},
    VESSEL | {"area": "Hall"},
]
SIGNED = ("--by", "C. Fitter", "--date", "2026-02-28")


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("jobs")
    write_list(folder / "list.csv", ROWS)
    assert run("order", folder / "list.csv", "-o", folder / "job", "--quiet").exit_code == 0
    return folder / "job"


@pytest.fixture
def register(job: Path, tmp_path: Path) -> Path:
    folder = tmp_path / "register"
    assert run("register", folder, "--job", job, "--area", "Hall", *SIGNED).exit_code == 0
    return folder


def table(path: Path) -> list[dict[str, str]]:
    with path.open(newline="", encoding="utf-8") as stream:
        return list(csv.DictReader(stream))


def refused(*arguments: str | Path) -> list[str]:
    """The codes of a command that must be refused."""
    result = run(*arguments, "--json")
    assert result.exit_code == 2
    return [each["code"] for each in told(result)["findings"]]


def test_a_signed_pack_is_a_row_for_each_piece(register: Path) -> None:
    rows = table(register / "register.csv")
    assert list(rows[0]) == list(ENTRY_COLUMNS)
    assert len(rows) == len({row["id"] for row in rows}) == 3 + 1 + 1
    assert {row["area"] for row in rows} == {"Hall"}
    assert {(row["installed_by"], row["installed_on"]) for row in rows} == {
        ("C. Fitter", "2026-02-28")
    }
    # indoors: looked at after two years, replaced after ten (common practice, no source)
    assert {(row["next_inspection"], row["end_of_life"]) for row in rows} == {
        ("2028-02-28", "2036-02-28")
    }
    assert [row["deed"] for row in table(register / "history.csv")] == ["installed"] * 5


def test_the_workbook_is_the_same_table(register: Path) -> None:
    sheet = load_workbook(register / "register.xlsx")["Register"]
    cells = [["" if c is None else str(c) for c in row] for row in sheet.values]
    with (register / "register.csv").open(newline="") as stream:
        assert cells == list(csv.reader(stream))


def test_outdoors_without_laminate_is_replaced_sooner(register: Path, job: Path) -> None:
    assert run("register", register, "--job", job, "--area", "roof", *SIGNED).exit_code == 0
    (row,) = [row for row in table(register / "register.csv") if row["area"] == "Roof"]
    # outdoors under a UV laminate 5 to 8 years (common practice, no source): the shorter
    assert (row["laminate"], row["end_of_life"]) == ("UV overlaminate", "2031-02-28")
    assert row["next_inspection"] == "2027-02-28"


def test_the_history_only_grows(register: Path, job: Path) -> None:
    before = (register / "history.csv").read_bytes()
    later = ("--by", "D. Second", "--date", "2027-01-10")
    assert run("register", register, "--job", job, "--area", "Hall", *later).exit_code == 0
    after = (register / "history.csv").read_bytes()
    assert after.startswith(before)
    assert {row["deed"] for row in table(register / "history.csv")[5:]} == {"replaced"}
    assert len(table(register / "register.csv")) == 5  # nothing hangs twice


def test_pieces_left_out_are_not_in_it(job: Path, tmp_path: Path) -> None:
    whole = tmp_path / "whole"
    run("register", whole, "--job", job, *SIGNED)
    ids = [row["id"] for row in table(whole / "register.csv")]
    part = tmp_path / "part"
    left = [argument for piece in ids[:2] for argument in ("--without", piece.lower())]
    assert run("register", part, "--job", job, *left, *SIGNED).exit_code == 0
    assert [row["id"] for row in table(part / "register.csv")] == ids[2:]


def test_a_piece_taken_down_stays_in_the_history(register: Path) -> None:
    piece = table(register / "register.csv")[0]["id"]
    assert run("register", register, "--removed", piece, *SIGNED).exit_code == 0
    assert piece not in {row["id"] for row in table(register / "register.csv")}
    last = table(register / "history.csv")[-1]
    assert (last["deed"], last["piece"], last["by"]) == ("removed", piece, "C. Fitter")


@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        (("--area", "Cellar", *SIGNED), "register-area"),
        (("--without", "QQQQQQQ", *SIGNED), "register-piece"),
        (("--by", "C. Fitter", "--date", "yesterday"), "bad-date"),
        (("--by", "C. Fitter"), "bad-date"),
        (("--date", "2026-03-01"), "register-unsigned"),
        (("--removed", "QQQQQQQ", *SIGNED), "register-deed"),
        (("--approval", "nowhere.json", *SIGNED), "approval-unreadable"),
        (("--lifetimes", "nowhere.toml", *SIGNED), "register-lifetimes"),
    ],
)
def test_a_wrong_sign_off_changes_nothing(
    register: Path, job: Path, arguments: tuple[str, ...], code: str
) -> None:
    before = everything(register.parent)
    assert refused("register", register, "--job", job, *arguments) == [code]
    assert everything(register.parent) == before


def test_what_is_no_survey_and_no_piece_changes_nothing(register: Path, job: Path) -> None:
    before = everything(register.parent)
    assert refused("register", register, "--found", job) == ["register-survey"]
    assert refused("register", register, "--removed", "QQQQQQQ", *SIGNED) == ["register-piece"]
    assert refused("rounds", job, "--until", "2027-12-31", "-o", register.parent / "r") == [
        "register-unreadable"
    ]
    assert everything(register.parent) == before


@pytest.mark.parametrize(
    ("column", "text", "code"),
    [
        ("installed_on", "3/1/2026", "register-day"),
        ("end_of_life", "2036-02-30", "register-day"),
        ("exposure", "sunny", "register-exposure"),
        ("id", "", "register-id"),
    ],
)
def test_a_table_edited_wrongly_is_told_by_its_cell(
    register: Path, column: str, text: str, code: str
) -> None:
    rows = table(register / "register.csv")
    rows[1][column] = text
    save(register / "register.csv", rows)
    result = run("rounds", register, "--until", "2027-12-31", "-o", register.parent / "r", "--json")
    (fault,) = told(result)["findings"]
    assert (result.exit_code, fault["code"]) == (2, code)
    assert (fault["file"], fault["row"], fault["field"]) == ("register.csv", 3, column)


def test_a_piece_written_twice_and_a_lost_column_are_told(register: Path) -> None:
    rows = table(register / "register.csv")
    save(register / "register.csv", [*rows, rows[0]])
    assert refused("audit", register, "--date", "2027-01-01", "-o", register.parent / "a.pdf") == [
        "register-id"
    ]
    for row in rows:
        del row["state"]
    save(register / "register.csv", rows)
    assert refused("audit", register, "--date", "2027-01-01", "-o", register.parent / "a.pdf") == [
        "register-column"
    ]


@pytest.mark.parametrize("delimiter", [",", ";"])
def test_a_table_edited_by_hand_is_read_and_the_history_says_so(
    register: Path, job: Path, delimiter: str
) -> None:
    rows = table(register / "register.csv")
    rows[0]["next_inspection"] = "2026-06-01"
    save(register / "register.csv", rows, delimiter)
    result = run("register", register, "--job", job, "--area", "Roof", *SIGNED, "--json")
    assert [each["code"] for each in told(result)["findings"]] == ["register-edited"]
    again = table(register / "register.csv")
    assert again[0]["next_inspection"] == "2026-06-01"
    assert [row["deed"] for row in table(register / "history.csv")].count("edited by hand") == 1


def test_the_plants_own_lifetimes_go_first_and_stay(
    register: Path, job: Path, tmp_path: Path
) -> None:
    own = tmp_path / "own.toml"
    own.write_text(
        '[[lifetimes]]\nexposure = "outdoor"\nlaminate = "UV"\nyears = 7\ninspect_months = 6\n'
        'source = "plant standard 12"\nstatus = "confirmed"\n'
    )
    arguments = ("register", register, "--job", job, "--area", "Roof", *SIGNED)
    assert run(*arguments, "--lifetimes", own).exit_code == 0
    own.unlink()
    assert run(*arguments).exit_code == 0
    (row,) = [row for row in table(register / "register.csv") if row["area"] == "Roof"]
    assert (row["next_inspection"], row["end_of_life"]) == ("2026-08-28", "2033-02-28")


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("", "lifetimes-missing"),
        ('[[lifetimes]]\nexposure = "mild"\nyears = 1\ninspect_months = 1\n', "lifetimes-value"),
        ("years = ", "scheme-unreadable"),
    ],
)
def test_faulty_lifetimes_are_told(register: Path, job: Path, text: str, code: str) -> None:
    own = register.parent / "own.toml"
    own.write_text(text)
    codes = refused("register", register, "--job", job, *SIGNED, "--lifetimes", own)
    assert code in codes


def test_another_file_in_the_folder_is_never_lost(register: Path, job: Path) -> None:
    (register / "photo.jpg").write_bytes(b"a picture")
    before = everything(register)
    result = run("register", register, "--job", job, "--area", "Roof", *SIGNED)
    assert result.exit_code == 2
    assert "photo.jpg" in result.stderr
    assert everything(register) == before


def save(path: Path, rows: list[dict[str, str]], delimiter: str = ",") -> None:
    with path.open("w", newline="", encoding="utf-8") as stream:
        writer = csv.DictWriter(stream, list(rows[0]), delimiter=delimiter, lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs pipes with a name")
def test_a_table_that_is_a_pipe_is_not_waited_for(register: Path, tmp_path: Path) -> None:
    (register / "register.csv").unlink()
    os.mkfifo(register / "register.csv")
    out = tmp_path / "audit.pdf"
    assert refused("audit", register, "--date", "2027-01-01", "-o", out) == ["register-unreadable"]
    assert not out.exists()
