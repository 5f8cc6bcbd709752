"""The command from outside: its entry, what it loads, its help and its lists."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from render.read import order_schema
from tests.helpers.command import MARKER, PIPE, VALVE, run, write_list

COMMANDS = (
    *("order", "check", "marker", "equipment", "valve", "preflight", "colors", "schema"),
    *("schemes", "stocks"),
)
# What takes long to load: a compiler, a solver, writers and readers that other commands need.
HEAVY = {"numba", "highspy", "ezdxf", "cairosvg", "svgwrite", "openpyxl", "xlsxwriter", "PIL"}


def loaded_by(*arguments: str | Path) -> set[str]:
    """Every module that the command loads in a process of its own."""
    code = (
        "import sys\n"
        "from render.cli import main\n"
        "try:\n    main()\n"
        "except SystemExit as end:\n    code = end.code or 0\n"
        "else:\n    code = 0\n"
        "print(*sys.modules, sep='\\n', file=sys.stderr)\n"
        "sys.exit(code)\n"
    )
    command = [sys.executable, "-c", code, *map(str, arguments)]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    return set(done.stderr.split())


def test_help_loads_nothing_but_the_command_line() -> None:
    loaded = loaded_by("--help")
    assert "typer" in loaded
    assert loaded.isdisjoint(HEAVY | {"numpy", "pydantic", "fontTools", "uharfbuzz", "pikepdf"})
    assert not any(name.startswith("layouts") for name in loaded)


def test_a_marker_to_pdf_loads_no_other_writer(tmp_path: Path) -> None:
    loaded = loaded_by(*MARKER, "-o", tmp_path / "m.pdf", "--quiet")
    assert (tmp_path / "m.pdf").is_file()
    assert "render.write.pdf.writer" in loaded
    assert loaded.isdisjoint(HEAVY | {"numpy", "fontTools", "urllib.request", "pikepdf"})
    assert not any(name.startswith("layouts.nest") for name in loaded)


def test_a_check_loads_no_writer_and_no_nester(tmp_path: Path) -> None:
    loaded = loaded_by("check", write_list(tmp_path / "list.csv", [PIPE, VALVE]), "--quiet")
    assert "pydantic" in loaded
    assert loaded.isdisjoint({"numba", "highspy", "ezdxf", "cairosvg", "numpy"})


def test_the_installed_command_runs() -> None:
    """The console script of the package, beside the interpreter."""
    script = Path(sys.executable).with_name("pipelegend")
    done = subprocess.run([script, "--help"], capture_output=True, text=True, check=True)
    assert all(f" {name} " in done.stdout for name in COMMANDS)
    assert done.stderr == ""


def test_no_command_shows_the_help() -> None:
    result = run()
    assert result.exit_code == 2
    assert "marker" in result.stdout + result.stderr


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_a_help(name: str) -> None:
    result = run(name, "--help")
    assert result.exit_code == 0
    assert f"Usage: pipelegend {name}" in result.stdout


@pytest.mark.parametrize("arguments", [("ordr",), ("schemes", "--jsn"), ("order",)])
def test_a_slip_of_the_keys_ends_with_two(arguments: tuple[str, ...]) -> None:
    result = run(*arguments)
    assert result.exit_code == 2
    assert "Usage:" in result.stderr
    assert result.stdout == ""


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_the_completion_script_is_printed(shell: str) -> None:
    environment = {**os.environ, "_PIPELEGEND_COMPLETE": f"source_{shell}"}
    script = Path(sys.executable).with_name("pipelegend")
    done = subprocess.run([script], capture_output=True, text=True, check=True, env=environment)
    assert "_PIPELEGEND_COMPLETE" in done.stdout
    assert "pipelegend" in done.stdout


def test_schemes_name_edition_and_what_is_missing() -> None:
    listed = json.loads(run("schemes", "--json").stdout)
    text = run("schemes").stdout
    assert {each["key"] for each in listed} >= {"ammonia-2014", "ammonia-1991"}
    for each in listed:
        assert each["edition"]
        assert f"{each['key']}: {each['title']}" in text


def test_stocks_are_those_of_the_shop() -> None:
    listed = json.loads(run("stocks", "--json").stdout)["stocks"]
    text = run("stocks").stdout
    assert {each["form"] for each in listed} == {"roll", "sheet"}
    assert all(each["key"] in text for each in listed)
    # US letter is 8.5 x 11 in (ANSI/ASME Y14.1, size A), A4 is 210 x 297 mm (ISO 216).
    sizes = {each["key"]: (each["width"], each["length"]) for each in listed}
    assert sizes["letter"] == ("215.9 mm", "279.4 mm")
    assert sizes["a4"] == ("210.0 mm", "297.0 mm")


def test_a_broken_shop_file_ends_with_two(tmp_path: Path) -> None:
    (tmp_path / "shop.toml").write_text("stocks = 3\n")
    result = run("stocks", "--shop", tmp_path / "shop.toml")
    assert result.exit_code == 2
    assert "shop.toml" in result.stderr


def test_the_schema_is_printed_and_nothing_else() -> None:
    """What the schema accepts is tested beside the reader of order files."""
    result = run("schema")
    assert result.exit_code == 0
    assert json.loads(result.stdout) == json.loads(json.dumps(order_schema()))
    assert result.stderr == ""
