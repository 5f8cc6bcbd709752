"""What a terminal shows: folded at words, colored where it may be, and never a traceback."""

from __future__ import annotations

import json
import os
import pty
import re
import subprocess
import sys
from pathlib import Path

import pytest

from layouts.terms.findings import Finding, Place, Severity
from render.cli import app
from render.cli.findings import finding_blocks
from tests.helpers.command import MARKER, PIPE, run, write_list

SCRIPT = Path(sys.executable).with_name("pipelegend")
ESCAPE = re.compile(r"\x1b\[[0-9;?]*[a-zA-Z]|\r")


def on_terminal(*arguments: str | Path, **environment: str) -> str:
    """What the command shows on a terminal of its own."""
    main, other = pty.openpty()
    settings = {**os.environ, "TERM": "xterm-256color", "COLUMNS": "80", **environment}
    settings.pop("NO_COLOR", None) if "NO_COLOR" not in environment else None
    command: list[str] = [str(SCRIPT), *map(str, arguments)]
    process = subprocess.Popen(command, stdout=other, stderr=other, stdin=other, env=settings)
    os.close(other)
    shown = b""
    while True:
        try:
            data = os.read(main, 65536)
        except OSError:  # the other end is closed: the process is done
            break
        if not data:
            break
        shown += data
    process.wait()
    os.close(main)
    return shown.decode()


def wrong_list(folder: Path) -> Path:
    rows = [PIPE, {**PIPE, "pipe": "NPS 7", "qty": "two"}, {**PIPE, "flow": ""}]
    return write_list(folder / "wrong.csv", rows)


@pytest.mark.parametrize("width", ["80", "120"])
def test_findings_fold_at_words_and_stand_by_row(width: str, tmp_path: Path) -> None:
    shown = on_terminal("check", wrong_list(tmp_path), COLUMNS=width)
    lines = ESCAPE.sub("", shown).splitlines()
    assert max(map(len, lines)) <= int(width)
    at = next(index for index, line in enumerate(lines) if line.endswith("wrong.csv, row 3"))
    block = lines[at + 1 : lines.index("", at)]
    assert sum(line.startswith("  error") for line in block) == 2
    assert sum(line.lstrip().startswith("> ") for line in block) == 2
    assert lines[-1] == "3 markers: 3 errors" or lines[-1].endswith("3 errors")


def test_color_is_used_on_a_terminal_and_not_where_it_is_unwanted(tmp_path: Path) -> None:
    path = wrong_list(tmp_path)
    assert "\x1b[31merror" in on_terminal("check", path)
    assert "\x1b[31m" not in on_terminal("check", path, NO_COLOR="1")
    assert "\x1b" not in run("check", path).stdout


def test_the_same_finding_of_several_rows_comes_once() -> None:
    same = [
        Finding("a-code", Severity.NOTE, "what", "right", place=Place("list.csv", row, "paint"))
        for row in (4, 2, 9)
    ]
    lines = list(finding_blocks(same, 80, color=False))
    assert lines == [
        "list.csv, rows 2, 4, 9",
        "  note     paint: what [a-code]",
        "           > right",
        "",
    ]


def test_a_console_of_another_code_page_is_no_error(tmp_path: Path) -> None:
    environment = {**os.environ, "PYTHONIOENCODING": "cp1252"}
    words = [*MARKER, "--legend", "冷库", "-o", str(tmp_path / "m.pdf")]
    for more in ((), ("--json",)):
        command = [SCRIPT, *words, *more]
        done = subprocess.run(command, capture_output=True, env=environment, check=False)
        assert done.returncode == 2
        assert b"Traceback" not in done.stderr
    assert json.loads(done.stdout)["findings"][0]["marker"].endswith("冷库") or "冷" in str(
        json.loads(done.stdout)
    )


def test_what_nobody_foresaw_is_one_sentence_and_a_report(tmp_path: Path) -> None:
    code = (
        "import sys\n"
        "import render.one_marker\n"
        "def broken(*_): raise ZeroDivisionError('planted')\n"
        "render.one_marker.draw_words = broken\n"
        "sys.argv = ['pipelegend', 'marker', 'HTRS', '-o', 'm.pdf']\n"
        "from render.cli import main\n"
        "main()\n"
    )
    environment = {**os.environ, "TMPDIR": str(tmp_path)}
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, env=environment, check=False
    )
    assert done.returncode == 3
    assert done.stdout == ""
    assert len(done.stderr.splitlines()) == 1
    (report,) = tmp_path.glob("pipelegend-report-*.txt")
    assert str(report) in done.stderr
    assert "ZeroDivisionError: planted" in report.read_text(encoding="utf-8")


def test_no_cairo_is_one_sentence(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """cairocffi raises OSError where it finds no library (cairocffi, "dlopen")."""
    import builtins
    from typing import Any

    real = builtins.__import__

    def without(name: str, *rest: Any, **more: Any) -> Any:
        if name == "cairosvg":
            raise OSError('no library called "cairo-2" was found')
        return real(name, *rest, **more)

    monkeypatch.setattr(builtins, "__import__", without)
    result = run(*MARKER, "-o", tmp_path / "m.png")
    assert result.exit_code == 2
    assert "cairo library" in result.stderr
    assert len(result.stderr.splitlines()) == 1
    assert not (tmp_path / "m.png").exists()


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("marker", *MARKER[1:], "-o", "m.jpeg"), "bad-suffix"),
        (("template", "list.csv"), "bad-suffix"),
        (("template", "there.xlsx"), "file-exists"),
        (
            ("approve", "job", "--by", "A. Reader", "--date", "2026-01-31", "-o", "x.xlsx"),
            "bad-suffix",
        ),
    ],
)
def test_json_holds_for_the_user_s_own_errors(
    words: tuple[str, ...], code: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "there.xlsx").write_bytes(b"a filled list")
    result = run(*words, "--json")
    assert result.exit_code == 2
    assert result.stderr == ""
    (finding,) = json.loads(result.stdout)["findings"]
    assert (finding["code"], finding["severity"]) == (code, "error")
    assert finding["right"]
    assert (tmp_path / "there.xlsx").read_bytes() == b"a filled list"


@pytest.mark.parametrize("words", [("--version",), ("-h",), ("marker", "-h")])
def test_short_questions_are_answered(words: tuple[str, ...]) -> None:
    result = run(*words)
    assert result.exit_code == 0
    assert "pipelegend" in result.stdout


def test_summaries_fit_a_terminal_of_80_columns_and_helps_have_examples() -> None:
    shown = ESCAPE.sub("", on_terminal("--help"))
    names = re.findall(r"^│ ([a-z]+)  .*\.\s+│$", shown, re.MULTILINE)
    assert len(names) == len(app.registered_commands)
    assert "…" not in shown
    assert "..." not in shown.replace("[ARGS]...", "")
    for name in names:
        text = run(name, "--help").stdout
        assert text.count(f"pipelegend {name}") >= 3, name  # usage and two examples
