"""Every finding of surveys, registers and rounds is planted by a test; the rare ones here."""

from __future__ import annotations

import ast
import csv
import shutil
from pathlib import Path

import pytest

from render.files.atomic import manifest
from render.survey import survey_files
from render.survey.survey_files import plan_pieces, survey_findings
from tests.folder.conftest import OPTIONS, SUCTION, order_of, with_place
from tests.helpers.command import PIPE, VALVE, run, told, write_list

TOP = Path(__file__).resolve().parents[2]
ROOMS = ("render/survey", "render/register", "layouts/survey", "layouts/register")
FILES = ("render/cli/keeping.py",)
SIGNED = ("--by", "C. Fitter", "--date", "2026-02-28")


def texts(path: Path) -> set[str]:
    """Every text that is written in a module."""
    nodes = ast.walk(ast.parse(path.read_text("utf-8")))
    return {
        node.value
        for node in nodes
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }


def test_every_code_is_planted() -> None:
    sources = [file for room in ROOMS for file in (TOP / room).rglob("*.py")]
    sources += [TOP / name for name in FILES]
    starts = ("survey-", "register-", "round-", "bad-date")
    codes = {text for file in sources for text in texts(file) if text.startswith(starts)}
    # names of files and documents that look like codes
    codes -= {"survey-", "register-", "survey-changes"}
    tests = [*(TOP / "tests" / "survey").glob("*.py"), *(TOP / "tests" / "register").glob("*.py")]
    planted = {text for file in tests for text in texts(file)}
    assert len(codes) > 20
    assert codes - planted == set()


def test_too_many_pieces_for_paper_are_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(survey_files, "MOST_ON_PAPER", 4)
    planned = plan_pieces(order_of([with_place(SUCTION, qty=5)]), OPTIONS)
    assert [each.code for each in survey_findings(planned)] == ["survey-long"]
    names = survey_files.survey_files(planned)
    assert [name for name in names if name.endswith(".pdf")] == []
    assert "freezer-1.xlsx" in names


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    top = tmp_path_factory.mktemp("kept")
    rows = [{**PIPE, "qty": "2", "area": "Roof", "environment": "outdoor"}, VALVE]
    write_list(top / "list.csv", rows)
    assert run("order", top / "list.csv", "-o", top / "job", "--quiet").exit_code == 0
    assert run("register", top / "register", "--job", top / "job", *SIGNED).exit_code == 0
    return top


def test_a_piece_that_no_order_makes_is_told(kept: Path, tmp_path: Path) -> None:
    folder = shutil.copytree(kept / "register", tmp_path / "register")
    with (folder / "register.csv").open(newline="") as stream:
        rows = list(csv.DictReader(stream))
    for row in rows:
        row["job"] = "0123456789AB"
    with (folder / "register.csv").open("w", newline="") as stream:
        writer = csv.DictWriter(stream, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)
    result = run("rounds", folder, "--until", "2036-12-31", "-o", tmp_path / "round")
    assert result.exit_code == 0
    assert "round-unknown" in result.stdout
    assert not (tmp_path / "round" / "order.json").exists()


def test_a_proof_that_was_altered_is_told(kept: Path, tmp_path: Path) -> None:
    folder = shutil.copytree(kept / "register", tmp_path / "register")
    (proof,) = folder.rglob("proof.json")
    proof.write_text("{}")
    result = run("audit", folder, "--date", "2027-01-01", "-o", tmp_path / "a.pdf", "--json")
    assert [each["code"] for each in told(result)["findings"]] == ["job-altered"]


def test_a_proof_of_another_form_is_told(kept: Path, tmp_path: Path) -> None:
    job = shutil.copytree(kept / "job", tmp_path / "job")
    files = {
        path.relative_to(job).as_posix(): path.read_bytes()
        for path in job.rglob("*")
        if path.is_file() and path.name != "manifest.json"
    }
    files["proof.json"] = b'{"hash": 1}'
    (job / "proof.json").write_bytes(files["proof.json"])
    (job / "manifest.json").write_bytes(manifest(files))
    assert run("register", tmp_path / "register", "--job", job, *SIGNED).exit_code == 0
    arguments = ("audit", tmp_path / "register", "--date", "2027-01-01", "-o", tmp_path / "a.pdf")
    result = run(*arguments, "--json")
    assert [each["code"] for each in told(result)["findings"]] == ["register-proof"]
    assert not (tmp_path / "a.pdf").exists()


def test_a_table_that_is_no_text_is_told(kept: Path, tmp_path: Path) -> None:
    folder = shutil.copytree(kept / "register", tmp_path / "register")
    (folder / "register.csv").write_bytes(b"\xff\xfe\x00")
    result = run("rounds", folder, "--until", "2027-12-31", "-o", tmp_path / "r", "--json")
    assert [each["code"] for each in told(result)["findings"]] == ["register-unreadable"]
