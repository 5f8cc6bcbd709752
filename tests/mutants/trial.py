"""Try something in a forked child of a process in which all tests and modules are imported."""

from __future__ import annotations

import contextlib
import functools
import gc
import importlib.abc
import importlib.machinery
import importlib.util
import io
import json
import os
import resource
import signal
import sys
import tempfile
import time
import traceback
import types
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO, NoReturn

import pytest

from tests.mutants.changes import Mutant, mutated

ROOT = Path.cwd()
# Hypothesis tries the same cases each time, and a busy machine fails no test.
_PYTEST = ("-p", "no:cacheprovider", "--hypothesis-profile=ci")
_QUICK = 12  # tests that are tried before the rest
_ERRORS = ROOT / "build" / "mutants" / f"errors-{os.getpid()}.txt"
_WALL = 900.0  # s, for a child that waits and computes nothing


@dataclass(eq=False)  # pytest keeps its plugins in sets
class Outcome:
    """Reports of the tests of one run, as pytest gives them to a plugin."""

    failed: list[str] = field(default_factory=list)
    passed: list[str] = field(default_factory=list)
    seconds: dict[str, float] = field(default_factory=dict)

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        name = report.nodeid
        self.seconds[name] = self.seconds.get(name, 0.0) + report.duration
        if report.failed:
            self.failed.append(name)
        elif report.when == "call" and report.passed:
            self.passed.append(name)

    def pytest_collectreport(self, report: pytest.CollectReport) -> None:
        if report.failed:
            self.failed.append(f"collecting {report.nodeid}")


def run_tests(names: Sequence[str], *plugins: object) -> Outcome:
    """Run tests in this process up to the first that fails.

    Raises:
        RuntimeError: pytest itself failed, so nothing is known.
    """
    outcome = Outcome()
    with tempfile.TemporaryDirectory() as folder:
        words = ["-x", "-q", "-p", "no:cov", "-m", "not full and not slow"]
        place = f"--basetemp={folder}/t"
        code = pytest.main([*_PYTEST, *words, place, *names], plugins=[outcome, *plugins])
    if not outcome.failed and code not in (pytest.ExitCode.OK, pytest.ExitCode.NO_TESTS_COLLECTED):
        raise RuntimeError(f"pytest ended with {code!r}")
    return outcome


def import_all(tests: Sequence[str]) -> None:
    """Import these tests and what they use, so that children need not."""
    said = io.StringIO()
    with contextlib.redirect_stdout(said):
        code = pytest.main([*_PYTEST, "--collect-only", "-qq", *tests])
    if code != 0:
        raise RuntimeError(f"the tests cannot be collected:\n{said.getvalue()}")
    _ERRORS.parent.mkdir(parents=True, exist_ok=True)
    gc.collect()


def in_child(work: Callable[[], object], cpu_seconds: float) -> object:
    """What the work gives, as JSON holds it; None if it took longer than the processor time given.

    Raises:
        RuntimeError: the child ended in any other way.
    """
    with tempfile.TemporaryFile() as answer:
        child = os.fork()
        if child == 0:
            _run_child(work, cpu_seconds, answer)
        status, late = _wait(child)
        answer.seek(0)
        text = answer.read()
    if late or (os.WIFSIGNALED(status) and os.WTERMSIG(status) == signal.SIGXCPU):
        return None
    if not text:
        raise RuntimeError(f"a child ended with status {status}: see {_ERRORS}")
    return json.loads(text)


def _wait(child: int) -> tuple[int, bool]:
    """The child's status, and whether it had to be killed."""
    until = time.monotonic() + _WALL
    while time.monotonic() < until:
        found, status = os.waitpid(child, os.WNOHANG)
        if found:
            return status, False
        time.sleep(0.02)
    os.killpg(child, signal.SIGKILL)
    return os.waitpid(child, 0)[1], True


def _run_child(work: Callable[[], object], cpu_seconds: float, answer: IO[bytes]) -> NoReturn:
    os.setsid()
    quiet = os.open(os.devnull, os.O_RDWR)
    errors = os.open(_ERRORS, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
    for number, file in ((0, quiet), (1, errors), (2, errors)):
        os.dup2(file, number)
    limit = int(cpu_seconds) + 1
    resource.setrlimit(resource.RLIMIT_CPU, (limit, limit + 5))
    try:
        answer.write(json.dumps(work()).encode())
        answer.flush()
        os._exit(0)
    except BaseException:
        traceback.print_exc()
        os._exit(1)


def trial(mutant: Mutant, tests: Sequence[str], cpu_seconds: float) -> str:
    """What kills a mutant: a test's name or that time ran out; empty if it lives."""

    def work() -> str:
        try:
            _plant(mutant)
        except Exception as error:
            return f"importing it: {error!r}"
        for some in (tests[:_QUICK], tests[_QUICK:]):
            failed = run_tests(some).failed if some else []
            if failed:
                return failed[0]
        return ""

    found = in_child(work, cpu_seconds)
    return "no end" if found is None else str(found)


def _plant(mutant: Mutant) -> None:
    """Put the mutant into this process, as new code of its functions or as a new module."""
    tree = mutated(mutant)
    path = str(ROOT / mutant.path)
    if mutant.called:
        _forget_results()
        codes = dict(_codes(compile(tree, path, "exec")))
        for function in _functions(path):
            code = function.__code__
            function.__code__ = codes[code.co_qualname, code.co_firstlineno]
        return
    for name, module in list(sys.modules.items()):
        file = getattr(module, "__file__", None) or ""
        ours = file.startswith(f"{ROOT}/") and "/.venv/" not in file
        if ours and not name.startswith("tests.mutants") and name != "__main__":
            del sys.modules[name]
    name = mutant.path.removesuffix(".py").replace("/", ".").removesuffix(".__init__")
    sys.meta_path.insert(0, _Loader(name, path, compile(tree, path, "exec")))
    importlib.import_module(name)


def _functions(path: str) -> Iterator[types.FunctionType]:
    for each in gc.get_objects():
        if isinstance(each, types.FunctionType) and each.__code__.co_filename == path:
            yield each


def _codes(code: types.CodeType) -> Iterator[tuple[tuple[str, int], types.CodeType]]:
    for each in code.co_consts:
        if isinstance(each, types.CodeType):
            yield (each.co_qualname, each.co_firstlineno), each
            yield from _codes(each)


def _forget_results() -> None:
    """Empty the caches that importing the tests filled."""
    for each in gc.get_objects():
        if isinstance(each, functools._lru_cache_wrapper) and each.__module__.startswith("layouts"):
            each.cache_clear()


class _Loader(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Imports one module from code that is given."""

    def __init__(self, name: str, path: str, code: types.CodeType) -> None:
        self._name, self._path, self._code = name, path, code

    def find_spec(
        self, name: str, path: Sequence[str] | None, target: types.ModuleType | None = None
    ) -> importlib.machinery.ModuleSpec | None:
        if name != self._name:
            return None
        package = [str(Path(self._path).parent)] if self._path.endswith("__init__.py") else None
        return importlib.util.spec_from_file_location(
            name, self._path, loader=self, submodule_search_locations=package
        )

    def exec_module(self, module: types.ModuleType) -> None:
        exec(self._code, module.__dict__)
