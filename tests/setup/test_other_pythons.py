"""The bytes of one Python are those of another: looked at where a second one is at hand.

From Python 3.12 on the built-in ``sum`` of floats is compensated (What's New in Python 3.12), so
that a plain sum gives other last digits, and with them other fingerprints, than before.
"""

from __future__ import annotations

import ast
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.helpers.command import everything

TOP = Path(__file__).resolve().parents[2]
DEMO = TOP / "output_samples" / "demo_plant.xlsx"


def other_pythons() -> list[Path]:
    """Interpreters of another minor version that have the packages; the variable adds one."""
    named = os.environ.get("PIPELEGEND_OTHER_PYTHON", "")
    found = [Path(named)] if named else []
    return [path for path in found if path.exists()]


@pytest.mark.slow
def test_another_python_writes_the_same_job_folder(tmp_path: Path) -> None:
    others = other_pythons()
    if not others:
        pytest.skip("PIPELEGEND_OTHER_PYTHON names no interpreter with the locked packages")
    for number, python in enumerate((Path(sys.executable), *others)):
        folder = tmp_path / f"job{number}"
        command = [python, "-m", "pipelegend", "order", DEMO, "-o", folder, "--quiet"]
        subprocess.run(list(map(str, command)), check=True, cwd=TOP)
        assert everything(folder) == everything(tmp_path / "job0")


def test_the_sum_of_lengths_is_exact() -> None:
    """Calls of ``sum`` in what decides a face: whatever could be a float goes through ``fsum``."""
    found = []
    for room in ("face", "drawing", "plan", "takeoff"):
        for path in sorted((TOP / "layouts" / room).rglob("*.py")):
            tree = ast.parse(path.read_text(encoding="utf-8"))
            found += [
                f"{path.name}: {ast.unparse(node)}"
                for node in ast.walk(tree)
                if isinstance(node, ast.Call)
                and isinstance(node.func, ast.Name)
                and node.func.id == "sum"
                and not _counts(node)
            ]
    assert found == []


def _counts(call: ast.Call) -> bool:
    """Whether what is added up can only be whole: ones, comparisons and questions, or counts."""
    (argument, *_) = call.args
    element = argument.elt if isinstance(argument, ast.GeneratorExp) else argument
    if isinstance(element, ast.Constant):
        return isinstance(element.value, int)
    if isinstance(element, ast.Attribute):
        return element.attr == "count"
    if isinstance(element, ast.Call):
        name = ast.unparse(element.func)
        return name.startswith(("isinstance", "len", "_is_")) or name.endswith(".count")
    return isinstance(element, ast.Compare)


@pytest.mark.skipif(os.name == "nt", reason="a shell script of the build server")
def test_without_another_python_the_script_says_so(tmp_path: Path) -> None:
    """The build goes on: it prints no interpreter and one sentence, and ends well."""
    (tmp_path / ".venv" / "bin").mkdir(parents=True)
    (tmp_path / ".venv" / "bin" / "python").symlink_to(sys.executable)
    alone = {"PATH": "/usr/bin:/bin", "HOME": str(tmp_path)}
    # Names of interpreters that are here must not be found either.
    for number in (11, 12, 13, 14):
        broken = tmp_path / f"python3.{number}"
        broken.write_text("#!/bin/sh\nexit 1\n")
        broken.chmod(0o755)
    alone["PATH"] = f"{tmp_path}:{alone['PATH']}"
    done = subprocess.run(
        [TOP / ".ci" / "other-python"],
        cwd=tmp_path,
        env=alone,
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stdout) == (0, "")
    assert done.stderr.startswith("Bytes are not compared with a second Python: none from 3.11 up")
    assert not (tmp_path / "build").exists()
