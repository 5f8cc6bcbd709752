"""Which test runs which line: the tests near what is changed, run once under coverage."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import coverage
import pytest

from tests.mutants.changes import Mutant
from tests.mutants.trial import ROOT, in_child, run_tests

_KEPT = ROOT / "build" / "mutants" / "reach"
_LONGEST = 600.0  # s of processor time for one file of tests


@dataclass(slots=True)
class Reach:
    """Seconds by test, and tests by module and line."""

    seconds: dict[str, float] = field(default_factory=dict)
    lines: dict[str, dict[int, set[str]]] = field(default_factory=dict)

    def tests_for(self, mutant: Mutant) -> list[str]:
        """The tests that run a mutant's statement, quickest first.

        What runs at import counts for every test that runs a line of the module.
        """
        by_line = self.lines.get(mutant.path, {})
        found: set[str] = set()
        for line in mutant.lines if mutant.called else by_line:
            found |= by_line.get(line, set())
        return sorted(found, key=lambda name: (self.seconds[name], name))


class _Contexts:
    """A pytest plugin that names the test which runs; what a fixture runs counts for its file."""

    def __init__(self, watch: coverage.Coverage) -> None:
        self._watch = watch

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtest_setup(self) -> None:
        self._watch.switch_context("setup")

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtest_call(self, item: pytest.Item) -> None:
        self._watch.switch_context(item.nodeid)

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtest_teardown(self) -> None:
        self._watch.switch_context("setup")


def find_reach(tests: Sequence[str], modules: Sequence[str]) -> Reach:
    """Run every test file of folders or by name, but those whose record is still true."""
    sources = hashlib.sha256(b"".join(Path(each).read_bytes() for each in modules)).hexdigest()
    reach = Reach()
    for file in _files(tests):
        record = _record(file, modules, sources)
        reach.seconds |= record["seconds"]
        for path, by_line in record["lines"].items():
            own = reach.lines.setdefault(path, {})
            for line, names in by_line.items():
                own.setdefault(int(line), set()).update(record["tests"][each] for each in names)
    return reach


def _files(tests: Sequence[str]) -> Iterator[Path]:
    for each in map(Path, tests):
        yield from sorted(each.rglob("test_*.py")) if each.is_dir() else [each]


def _record(file: Path, modules: Sequence[str], sources: str) -> dict[str, Any]:
    name = hashlib.sha256(str(file).encode() + file.read_bytes() + sources.encode()).hexdigest()
    kept = _KEPT / f"{name}.json"
    if kept.exists():
        return dict(json.loads(kept.read_text()))
    record = in_child(lambda: _watched(file, modules), _LONGEST)
    if not isinstance(record, dict):
        raise RuntimeError(f"{file} does not end")
    if record["failed"]:
        raise RuntimeError(f"{record['failed']} fails without any mutant")
    print(f"{file}: {len(record['tests'])} tests", flush=True)
    kept.parent.mkdir(parents=True, exist_ok=True)
    kept.write_text(json.dumps(record))
    return record


def _watched(file: Path, modules: Sequence[str]) -> dict[str, Any]:
    """Tests of a file, seconds by test, and by module and line the numbers of the tests."""
    paths = {str(ROOT / each): each for each in modules}
    watch = coverage.Coverage(data_file=None, include=list(paths), config_file=False)
    watch.start()
    outcome = run_tests([str(file)], _Contexts(watch))
    watch.stop()
    data = watch.get_data()
    tests = outcome.passed
    numbers = {name: [at] for at, name in enumerate(tests)}
    numbers["setup"] = list(range(len(tests)))
    lines = {
        paths[path]: {
            line: sorted({at for name in names for at in numbers.get(name, ())})
            for line, names in data.contexts_by_lineno(path).items()
        }
        for path in data.measured_files()
    }
    seconds = {name: outcome.seconds[name] for name in tests}
    return {"tests": tests, "failed": outcome.failed, "seconds": seconds, "lines": lines}
