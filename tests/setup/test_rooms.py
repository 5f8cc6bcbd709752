"""The rule of the rooms, read from the imports: `layouts` computes, `render` reads and writes."""

import ast
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

TOP = Path(__file__).resolve().parents[2]

# What a pure computation may take from the standard library: nothing here reads a file, a clock,
# the environment or the network (by the library's documentation of each).
PURE = frozenset(
    {
        "__future__",
        "abc",
        "array",
        "base64",
        "bisect",
        "cmath",
        "collections",
        "contextlib",
        "copy",
        "dataclasses",
        "datetime",
        "decimal",
        "enum",
        "fractions",
        "functools",
        "graphlib",
        "hashlib",
        "heapq",
        "itertools",
        "json",
        "keyword",
        "math",
        "numbers",
        "operator",
        "re",
        "statistics",
        "string",
        "struct",
        "textwrap",
        "types",
        "typing",
        "unicodedata",
        "zlib",
    }
)
# The few rooms that may have more, each with what it may have.
EXTRA = {
    "layouts.order.order": {"pydantic"},
    "layouts.schemes": {"tomllib", "importlib.resources"},
    "layouts.nest": {"numpy", "numba", "highspy", "random"},
}
IMPURE_CALLS = frozenset({"open", "print", "input", "exec", "eval", "__import__", "breakpoint"})
CLOCKS = frozenset({"now", "today", "utcnow"})


def imported(tree: ast.AST, package: str) -> Iterator[tuple[int, str]]:
    """Line and full dotted name of everything that `tree`, a module of `package`, imports.

    `from a import b` gives `a.b`: b may be a module.
    """
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level:
                parents = package.split(".")
                base = ".".join([*parents[: len(parents) - node.level + 1], *base.split(".")])
            base = base.strip(".")
            yield from ((node.lineno, f"{base}.{alias.name}") for alias in node.names)


def under(name: str, root: str) -> bool:
    return name == root or name.startswith(root + ".")


def faults(source: str, module: str, package: str) -> list[str]:
    """What in a module of `layouts` is not pure, one text a fault."""
    tree = ast.parse(source)
    allowed = {"layouts"} | PURE
    for room, extra in EXTRA.items():
        if under(module, room):
            allowed |= extra
    found = [
        f"{module}:{line} imports {name}"
        for line, name in imported(tree, package)
        if not any(under(name, root) for root in allowed)
    ]
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            called = node.func
            if isinstance(called, ast.Name) and called.id in IMPURE_CALLS:
                found.append(f"{module}:{node.lineno} calls {called.id}()")
            if isinstance(called, ast.Attribute) and called.attr in CLOCKS:
                found.append(f"{module}:{node.lineno} asks the clock with {called.attr}()")
    return found


def modules(room: str) -> list[tuple[str, str, str]]:
    """Source, module name and package name of every file of a room."""
    found = []
    for path in sorted((TOP / room).rglob("*.py")):
        parts = path.relative_to(TOP).with_suffix("").parts
        package = ".".join(parts[:-1])
        module = package if parts[-1] == "__init__" else ".".join(parts)
        found.append((path.read_text(encoding="utf-8"), module, package))
    return found


def test_layouts_is_pure_and_never_imports_render() -> None:
    rooms = modules("layouts")
    assert len(rooms) > 5
    assert [fault for room in rooms for fault in faults(*room)] == []


def test_render_does_not_import_tests() -> None:
    rooms = modules("render")
    assert rooms
    named = [
        f"{module}:{line} imports {name}"
        for source, module, package in rooms
        for line, name in imported(ast.parse(source), package)
        if under(name, "tests")
    ]
    assert named == []


def test_every_pure_name_is_of_the_standard_library() -> None:
    assert sys.stdlib_module_names >= PURE


@pytest.mark.parametrize(
    ("source", "module", "fault"),
    [
        ("import render.write.pdf", "layouts.face", "layouts.face:1 imports render.write.pdf"),
        ("from render import pdf", "layouts.face", "layouts.face:1 imports render.write.pdf"),
        ("from ..render import pdf", "layouts.face", "layouts.face:1 imports render.write.pdf"),
        ("def f():\n    import os", "layouts.plan", "layouts.plan:2 imports os"),
        ("from pathlib import Path", "layouts.plan", "layouts.plan:1 imports pathlib.Path"),
        ("import pydantic", "layouts.plan", "layouts.plan:1 imports pydantic"),
        ("import tomllib", "layouts.plan", "layouts.plan:1 imports tomllib"),
        ("import importlib", "layouts.schemes", "layouts.schemes:1 imports importlib"),
        ("import numpy as np", "layouts.pages.sheet", "layouts.pages.sheet:1 imports numpy"),
        ("import random", "layouts.pages.sheet", "layouts.pages.sheet:1 imports random"),
        (
            "import layouts_helper",
            "layouts.pages.sheet",
            "layouts.pages.sheet:1 imports layouts_helper",
        ),
        ("open('x')", "layouts.nest.quick", "layouts.nest.quick:1 calls open()"),
        ("d = date.today()", "layouts.face", "layouts.face:1 asks the clock with today()"),
    ],
)
def test_a_planted_fault_is_seen(source: str, module: str, fault: str) -> None:
    assert faults(source, module, "layouts") == [fault]


@pytest.mark.parametrize(
    ("source", "module"),
    [
        ("from pydantic import BaseModel", "layouts.order.order"),
        ("import tomllib\nfrom importlib import resources", "layouts.schemes.loader"),
        ("import numpy\nimport numba", "layouts.nest.pricing"),
        ("from . import geometry\nfrom .inks import Ink", "layouts.face"),
        ("from collections.abc import Mapping\nimport math", "layouts.face"),
    ],
)
def test_what_a_room_may_have_is_no_fault(source: str, module: str) -> None:
    assert faults(source, module, "layouts") == []
