"""README: its commands run as they are printed, and its pictures and files are there."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

TOP = Path(__file__).resolve().parents[2]
README = (TOP / "README.md").read_text(encoding="utf-8")


def blocks(language: str) -> list[str]:
    """The fenced blocks of a language, in their order."""
    return re.findall(rf"^```{language}\n(.*?)^```", README, re.MULTILINE | re.DOTALL)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of what a user has after the set-up; the commands may write there."""
    copy = tmp_path_factory.mktemp("readme")
    shutil.copytree(TOP / "output_samples", copy / "output_samples")
    return copy


def test_every_command_runs_as_it_is_printed(folder: Path) -> None:
    path = f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"
    commands = [line for block in blocks("sh") for line in block.splitlines() if line]
    assert len(commands) >= 14
    for command in commands:
        done = subprocess.run(
            ["bash", "-c", command],
            cwd=folder,
            env={**os.environ, "PATH": path},
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == 0, f"{command}\n{done.stdout}{done.stderr}"
        assert "warning:" not in done.stdout, command
    assert (folder / "job" / "proof.pdf").is_file()


def test_the_python_example_runs(folder: Path) -> None:
    (code,) = blocks("python")
    done = subprocess.run(
        [sys.executable, "-c", f"{code}\nprint(data[:5])"],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(TOP)},
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout == "b'%PDF-'\n"


def test_pictures_files_and_targets_that_it_names_are_there() -> None:
    pictures = re.findall(r'src="([^"]+)"', README)
    assert len(pictures) == 10
    named = {*pictures, *re.findall(r"`([A-Z]+\.md|NOTICE|output_samples/[\w.]+)`", README)}
    assert [name for name in sorted(named) if not (TOP / name).is_file()] == []
    makefile = (TOP / "Makefile").read_text(encoding="utf-8")
    targets = re.findall(r"^make (\w+)$", README, re.MULTILINE)
    assert targets
    assert all(re.search(rf"^{target}:", makefile, re.MULTILINE) for target in targets)


def test_its_options_and_columns_are_those_of_the_program() -> None:
    from render.read.columns import NAMES
    from tests.helpers.command import run

    text = run("order", "--help").stdout
    options = set(re.findall(r"^\| `(--[a-z-]+)", README, re.MULTILINE))
    assert len(options) >= 6
    assert [each for each in sorted(options) if f"{each} " not in text] == []
    block = re.search(r"has these columns:\n\n((?:    .*\n)+)", README)
    assert block is not None
    columns = re.findall(r"\w+", block[1])
    assert len(columns) > 25
    assert set(columns) <= set(NAMES)
