"""Mutants of what decides a marker: ``python -m tests.mutants COUNT SEED`` from the top folder.

Each mutant is one changed operator or constant in a module; the tests near that module must fail
for it. It works in a copy of the project, prints each mutant that lives, and the count at the end.
"""

from __future__ import annotations

import ast
import random
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

# Module and the tests that are near it.
NEAR = {
    "layouts/plan/size.py": "tests/plan",
    "layouts/plan/level.py": "tests/plan",
    "layouts/plan/diameter.py": "tests/plan",
    "layouts/face/common.py": "tests/face",
    "layouts/nest/judge.py": "tests/nest",
    "layouts/pages/check.py": "tests/pages",
    "layouts/markers/fingerprint.py": "tests/markers",
}
_SWAPS: dict[type[ast.AST], Any] = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.And: ast.Or,
    ast.Or: ast.And,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
}


def _sites(tree: ast.AST) -> Iterator[ast.AST]:
    for node in ast.walk(tree):
        swapped = isinstance(node, ast.BinOp | ast.BoolOp) and type(node.op) in _SWAPS
        compared = isinstance(node, ast.Compare) and type(node.ops[0]) in _SWAPS
        number = isinstance(node, ast.Constant) and type(node.value) in (int, float)
        if swapped or compared or number:
            yield node


def _change(node: ast.AST) -> None:
    match node:
        case ast.BinOp() | ast.BoolOp():
            node.op = _SWAPS[type(node.op)]()
        case ast.Compare():
            node.ops[0] = _SWAPS[type(node.ops[0])]()
        case ast.Constant(value=int() | float() as value):
            node.value = value + 1


def _lives(copy: Path, near: str) -> bool:
    command = [sys.executable, "-m", "pytest", "-x", "-q", "-m", "not full and not slow", near]
    done = subprocess.run(
        command, cwd=copy, capture_output=True, timeout=300, check=False, stdin=subprocess.DEVNULL
    )
    if done.returncode not in (0, 1):
        raise RuntimeError(done.stdout.decode() + done.stderr.decode())
    return done.returncode == 0


def main(count: int, seed: int) -> None:
    """Make and try mutants; those that live are printed with the line as it was changed."""
    lived = 0
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "copy"
        skipped = shutil.ignore_patterns(".git", ".venv", "__pycache__", ".*_cache")
        shutil.copytree(Path.cwd(), copy, ignore=skipped)
        sites = [
            (name, at)
            for name in NEAR
            for at in range(len(list(_sites(ast.parse(Path(name).read_text())))))
        ]
        for near in sorted(set(NEAR.values())):
            if not _lives(copy, near):
                raise RuntimeError(f"{near} fails without any mutant")
        for name, at in random.Random(seed).sample(sites, min(count, len(sites))):
            sound = Path(name).read_text()
            tree = ast.parse(sound)
            node = list(_sites(tree))[at]
            before = ast.unparse(node)
            _change(node)
            (copy / name).write_text(ast.unparse(tree))
            if _lives(copy, NEAR[name]):
                lived += 1
                line = getattr(node, "lineno", 0)
                print(f"{name}:{line}: {before} -> {ast.unparse(node)}", flush=True)
            (copy / name).write_text(sound)
    print(f"{count - lived} of {count} killed, of {len(sites)} possible (seed {seed})")


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]))
