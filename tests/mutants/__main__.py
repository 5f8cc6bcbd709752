"""Mutants of what decides a marker: ``python -m tests.mutants COUNT SEED [PART OF A PATH]``.

Each mutant is one change of a module; a test that runs the changed line must fail for it. The
tests run once under coverage (kept in ``build/mutants``), then each mutant meets the tests that
run its line, quickest first, in a forked child that has everything imported. A mutant that never
ends is killed by its processor time. What lives is printed, and the figures by module at the end;
``tests/MUTANTS.md`` judges them.
"""

from __future__ import annotations

import os
import random
import sys
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path

from tests.mutants.changes import Mutant, mutants_of
from tests.mutants.reach import Reach, find_reach
from tests.mutants.trial import import_all, trial

_SOURCES = (
    "layouts/schemes/sizes.py",
    "layouts/plan/*.py",
    "layouts/plan/build/*.py",
    "layouts/face/*.py",
    "layouts/takeoff/*.py",
    "layouts/markers/fingerprint.py",
    "layouts/markers/content.py",
    "layouts/nest/judge*.py",
    "layouts/pages/check.py",
)
# Of the nester only its judge is changed, and the tests of the rest take minutes.
_TESTS = (
    *(f"tests/{room}" for room in ("schemes", "plan", "face", "takeoff", "markers", "pages")),
    *(f"tests/{room}" for room in ("review", "sheets")),
    *(f"tests/nest/test_judge{part}.py" for part in ("", "_bound", "_geometry")),
)
_MOST_SECONDS = 120.0  # of tests that one mutant meets


def main(count: int, seed: int, part: str = "") -> None:
    """Make and try mutants, as many of each module as its share of all; tell which live."""
    modules = [str(path) for each in _SOURCES for path in sorted(Path().glob(each))]
    import_all(_TESTS)
    reach = find_reach(_TESTS, modules)
    killed: Counter[str] = Counter()
    tried: Counter[str] = Counter()
    for mutant in (each for each in _sample(modules, count, seed) if part in each.path):
        tried[mutant.path] += 1
        by = _try(mutant, reach)
        killed[mutant.path] += bool(by)
        if not by:
            print(f"{mutant.path}:{mutant.lines[0]}: {mutant.text}", flush=True)
    for path in tried:
        print(f"{killed[path]:5} of {tried[path]:3}  {path}")
    print(f"{killed.total()} of {tried.total()} killed (seed {seed})")


def _try(mutant: Mutant, reach: Reach) -> str:
    tests: list[str] = []
    seconds = 0.0
    for name in reach.tests_for(mutant):
        seconds += reach.seconds[name]
        if seconds > _MOST_SECONDS and tests:
            break
        tests.append(name)
    return trial(mutant, tests, 10.0 + 2 * seconds) if tests else ""


def _sample(modules: Sequence[str], count: int, seed: int) -> Iterator[Mutant]:
    """So many mutants, each module by its share, in the order of the modules."""
    every = {path: mutants_of(Path(path)) for path in modules}
    total = sum(map(len, every.values()))
    exact = {path: min(1.0, count / total) * len(found) for path, found in every.items()}
    shares = {path: int(share) for path, share in exact.items()}
    by_rest = sorted(modules, key=lambda path: shares[path] - exact[path])
    for path in by_rest[: min(count, total) - sum(shares.values())]:
        shares[path] += 1
    chance = random.Random(seed)
    for path, found in every.items():
        picked = sorted(chance.sample(range(len(found)), shares[path]))
        yield from (found[at] for at in picked)


if __name__ == "__main__":
    os.nice(10)
    main(int(sys.argv[1]), int(sys.argv[2]), *sys.argv[3:])
