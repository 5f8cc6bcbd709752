"""The rooms, read from the imports: what each may use, unique names, no way back.

`layouts` computes and `render` reads and writes; `layouts/__init__.py` and `render/__init__.py`
are the map in prose, and the tables here are the same map for the machine.
"""

import ast
import re
import sys
from collections import defaultdict
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
        "calendar",
        "cmath",
        "collections",
        "contextlib",
        "copy",
        "dataclasses",
        "datetime",
        "decimal",
        "difflib",
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
    "layouts.order": {"pydantic", "pydantic_core"},
    "layouts.schemes": {"tomllib", "importlib.resources"},
    "layouts.nest": {"numpy", "numba", "highspy", "random"},
    "layouts.drawing": {"segno"},
}

# What a room may import beside itself. `layouts.terms` is open to all but the nester.
_GROUND = "drawing schemes order"
ROOMS = {
    "layouts.terms": "",
    "layouts.nest": "",
    "layouts.drawing": "terms",
    "layouts.schemes": "terms drawing",
    "layouts.order": "terms drawing schemes",
    "layouts.takeoff": "terms schemes order",
    "layouts.plan": f"terms {_GROUND}",
    "layouts.face": "terms drawing schemes plan",
    "layouts.markers": f"terms {_GROUND} plan face",
    "layouts.review": f"terms {_GROUND} plan",
    "layouts.crosscheck": "terms order",
    "layouts.sheets": "terms drawing schemes order plan face markers nest",
    "layouts.pages": "terms drawing plan face markers sheets",
    "layouts.survey": f"terms {_GROUND} plan face markers",
    "layouts.register": f"terms {_GROUND} markers survey",
    "layouts.papers": f"terms {_GROUND} takeoff plan face markers sheets pages survey register",
    "render.files": "terms",
    "render.read": f"terms {_GROUND} takeoff files",
    "render.shop": "terms drawing schemes order sheets papers files",
    "render.color": "terms drawing schemes papers files",
    "render.write": f"terms {_GROUND} markers sheets pages papers files color",
    "render.preflight": "terms drawing color",
    "render.batch": "terms schemes order markers sheets papers"
    " files read write cli job decide lists options processes",
    "render.drawings": "terms order crosscheck files read folder write",
    "render.folder": f"terms {_GROUND} face markers sheets papers"
    " files read shop write job decide options",
    "render.register": f"terms {_GROUND} plan markers sheets papers survey register"
    " files read shop write folder survey decide options",
    "render.survey": f"terms {_GROUND} face markers sheets papers survey"
    " files read write folder decide options processes",
}
# Modules outside any room: the doors between all of them.
DOORS = frozenset(
    {"job", "decide", "draw", "lists", "one_marker", "options", "processes", "release"}
)
# The doors, the commands and the page may use every room.
FREE = frozenset({"render.cli", "render.web", *(f"render.{door}" for door in DOORS)})
# Base names that say their room in speech and so may repeat.
REPEATED = frozenset({"__init__", "model"})

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


def room_of(module: str) -> str:
    return ".".join(module.split(".")[:2])


def crossings(source: str, module: str, package: str, known: frozenset[str]) -> list[str]:
    """Imports of a module that its room may not make, one text each."""
    room = room_of(module)
    if room in FREE or room in ("layouts", "render"):
        return []
    allowed = {f"{top}.{name}" for name in ROOMS[room].split() for top in ("layouts", "render")}
    found = []
    for line, name in imported(ast.parse(source), package):
        target = name if name in known else name.rpartition(".")[0]
        if not under(target, "layouts") and not under(target, "render"):
            continue
        if room_of(target) not in (room, *allowed):
            found.append(f"{module}:{line} imports {target}")
        elif room_of(target) == "layouts.nest" != room and target != "layouts.nest":
            found.append(f"{module}:{line} imports {target}, which only the nester may")
    return found


def test_every_room_imports_only_what_the_table_allows() -> None:
    everything = [*modules("layouts"), *modules("render")]
    known = frozenset(module for _, module, _ in everything)
    rooms = {room_of(module) for module in known} - {"layouts", "render"} - FREE
    assert rooms == set(ROOMS)
    assert [fault for each in everything for fault in crossings(*each, known)] == []


@pytest.mark.parametrize(
    ("source", "module", "fault"),
    [
        ("from layouts.face import compose", "layouts.plan.size", "imports layouts.face"),
        ("from render.write import pdf", "render.preflight.walk", "imports render.write.pdf"),
        ("def f():\n    from render import job", "render.read.cells", "imports render.job"),
        ("from layouts.nest.judge import judge", "layouts.sheets.groups", "only the nester may"),
    ],
)
def test_a_planted_crossing_is_seen(source: str, module: str, fault: str) -> None:
    everything = [*modules("layouts"), *modules("render")]
    known = frozenset(module for _, module, _ in everything)
    (found,) = crossings(source, module, module.rpartition(".")[0], known)
    assert fault in found


def test_no_module_lies_outside_a_room_but_the_doors() -> None:
    flat = {path.stem for path in (TOP / "layouts").glob("*.py")}
    assert flat == {"__init__"}
    assert {path.stem for path in (TOP / "render").glob("*.py")} == {"__init__", *DOORS}


@pytest.mark.parametrize("top", ["layouts", "render"])
def test_a_base_name_is_one_module(top: str) -> None:
    found: dict[str, list[str]] = defaultdict(list)
    for _, module, _ in modules(top):
        path = TOP / (module.replace(".", "/") + ".py")
        if path.is_file():
            found[path.stem].append(module)
    assert [each for name, each in found.items() if len(each) > 1 and name not in REPEATED] == []


def test_no_module_imports_itself_by_a_detour() -> None:
    everything = [*modules("layouts"), *modules("render")]
    known = frozenset(module for _, module, _ in everything)
    graph = {
        module: {
            target
            for _, name in imported(ast.parse(source), package)
            if (target := name if name in known else name.rpartition(".")[0]) in known
            and target != module
        }
        for source, module, package in everything
    }
    assert cycles(graph) == []


def cycles(graph: dict[str, set[str]]) -> list[list[str]]:
    """Every group of modules that reach each other, by Tarjan's algorithm (1972)."""
    order: dict[str, int] = {}
    low: dict[str, int] = {}
    stack: list[str] = []
    found: list[list[str]] = []

    def visit(node: str) -> None:
        order[node] = low[node] = len(order)
        stack.append(node)
        for target in sorted(graph[node]):
            if target not in order:
                visit(target)
                low[node] = min(low[node], low[target])
            elif target in stack:
                low[node] = min(low[node], order[target])
        if low[node] == order[node]:
            at = stack.index(node)
            group = stack[at:]
            del stack[at:]
            if len(group) > 1:
                found.append(sorted(group))

    for node in sorted(graph):
        if node not in order:
            visit(node)
    return found


def test_a_planted_cycle_is_seen() -> None:
    assert cycles({"a": {"b"}, "b": {"c"}, "c": {"b"}}) == [["b", "c"]]


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
        ("from render import write", "layouts.face", "layouts.face:1 imports render.write"),
        ("from ..render import write", "layouts.face", "layouts.face:1 imports render.write"),
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


def test_the_maps_name_every_room() -> None:
    """A stranger finds each folder in one of the two maps."""
    for package in ("layouts", "render"):
        text = ast.get_docstring(ast.parse((TOP / package / "__init__.py").read_text("utf-8")))
        assert text
        rooms = {path.parent.name for path in (TOP / package).glob("*/__init__.py")}
        words = set(re.findall(r"\w+", text))
        assert rooms <= words
