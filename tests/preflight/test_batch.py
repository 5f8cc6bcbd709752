"""The command on several files and folders, as a shop runs it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from pikepdf import Pdf
from typer.testing import CliRunner

from render.cli import app
from render.preflight import HOUSE, STANDARD, guard, inspect, inspect_all
from tests.preflight.bombs import deflated, file_of
from tests.preflight.edits import edited, layer, swap
from tests.preflight.mutants import base


def _wide(pdf: Pdf) -> None:
    swap(layer(pdf, "Kiss cut"), rb"\d+ w", b"3528 w")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A job: a good file, one that breaks a house rule, and a note that is not a PDF."""
    (tmp_path / "print").mkdir()
    (tmp_path / "print" / "good.pdf").write_bytes(base(False))
    (tmp_path / "print" / "wide.PDF").write_bytes(edited(base(False), _wide))
    (tmp_path / "notes.txt").write_text("none of this is looked at")
    return tmp_path


def run(*words: str | Path) -> tuple[int, str]:
    result = CliRunner().invoke(app, ["preflight", *map(str, words)])
    return result.exit_code, result.stdout


def test_a_folder_is_judged_verdict_first(folder: Path) -> None:
    code, text = run(folder)
    lines = text.splitlines()
    assert code == 1
    assert lines[0] == "verdict: fail (2 files: 1 pass, 1 fail)"
    assert lines[2].startswith(f"{folder}/print/good.pdf: verdict: pass, ")
    assert any(
        line.startswith(f"{folder}/print/wide.PDF: verdict: fail, 1 fault") for line in lines
    )
    assert "draw them 0.25 pt wide [house rule]" in " ".join(text.split())


def test_relaxed_rules_let_it_pass(folder: Path) -> None:
    code, text = run(folder, "--rules", "standard")
    assert code == 0
    assert text.startswith("verdict: pass (2 files: 2 pass)")
    assert "1 warning" in text


def test_one_file_is_told_by_its_verdict(folder: Path) -> None:
    code, text = run(folder / "print" / "good.pdf")
    assert code == 0
    assert " verdict: pass, " in text.splitlines()[0]
    assert "file-syntax" not in text
    assert "file-syntax" in run(folder / "print" / "good.pdf", "--all")[1]


@pytest.mark.parametrize(
    ("name", "data", "told"),
    [
        ("bomb.pdf", file_of(deflated(64), b"/Filter/FlateDecode"), "too large to judge"),
        ("text.pdf", b"no PDF at all", "this is not a PDF file"),
        ("empty.pdf", b"", "this is not a PDF file"),
    ],
)
def test_what_cannot_be_judged_ends_with_two(
    folder: Path, name: str, data: bytes, told: str
) -> None:
    (folder / name).write_bytes(data)
    code, text = run(folder)
    assert code == 2
    assert told in text
    assert "good.pdf: verdict: pass" in text, "the others are judged all the same"


def test_a_missing_file_and_an_empty_folder_are_named(tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    code, text = run(tmp_path / "none.pdf", tmp_path / "empty")
    assert code == 2
    assert "No such file" in text
    assert "the folder holds no PDF" in text


def test_json_holds_every_file(folder: Path) -> None:
    code, text = run(folder, "--json")
    found = json.loads(text)
    assert (code, found["verdict"]) == (1, "fail")
    assert [each["verdict"] for each in found["files"]] == ["pass", "fail"]
    (point,) = [each for each in found["files"][1]["points"] if each["verdict"] == "fail"]
    assert (point["code"], point["house"]) == ("cut-width", True)


def test_a_file_told_twice_is_judged_once(folder: Path) -> None:
    assert len(inspect_all([folder, folder / "print"], HOUSE).reports) == 2


def test_the_guarded_report_is_the_plain_one(folder: Path) -> None:
    files = sorted((folder / "print").iterdir())
    for rules in (HOUSE, STANDARD):
        guarded = list(guard.inspect_guarded(files, rules))
        assert guarded == [inspect(path, rules=rules) for path in files]


def test_a_process_that_is_stopped_costs_only_its_file(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The first child ends before it says anything, as one that the system stops does."""
    files = sorted((folder / "print").iterdir())
    real, calls = guard._from_child, []

    def stopped(paths: object, rules: object) -> object:
        calls.append(paths)
        return iter(()) if len(calls) == 1 else real(paths, rules)  # type: ignore[arg-type]  # as the module hands them over

    monkeypatch.setattr(guard, "_from_child", stopped)
    first, second = guard.inspect_guarded(files, HOUSE)
    assert first.verdict.value == "too large to judge"
    assert first.codes == {"limit-process"}
    assert second == inspect(files[1])
