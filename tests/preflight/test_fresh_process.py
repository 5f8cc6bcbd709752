"""A file inspected in a fresh process gets the report that it gets in this one."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from render.preflight import HOUSE, PAPERS, STANDARD, Rules, fresh_process, inspect, unlimited
from tests.preflight.mutants import MUTANTS, Mutant, base


@pytest.mark.parametrize("rules", [HOUSE, STANDARD, PAPERS], ids=["house", "standard", "papers"])
@pytest.mark.parametrize("claims", [False, True])
def test_a_sound_file(claims: bool, rules: Rules) -> None:
    data = base(claims)
    assert fresh_process.inspect_apart(data, rules) == inspect(
        data, rules=rules, budget=unlimited()
    )


@pytest.mark.parametrize("mutant", MUTANTS[::20], ids=lambda mutant: mutant.name)
def test_a_file_with_a_fault(mutant: Mutant) -> None:
    data = mutant.made()
    report = fresh_process.inspect_apart(data, HOUSE)
    assert report == inspect(data, rules=HOUSE, budget=unlimited())
    assert report.failures


def test_the_work_of_a_killed_process_is_done_here(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    killed = tmp_path / "killed.py"
    killed.write_text("import os, signal\nos.kill(os.getpid(), signal.SIGTERM)\n", "utf-8")
    monkeypatch.setattr(fresh_process, "fresh_command", lambda *_: [sys.executable, str(killed)])
    data = MUTANTS[0].made()
    report = fresh_process.inspect_apart(data, HOUSE)
    assert report == inspect(data, rules=HOUSE, budget=unlimited())
    assert report.failures
