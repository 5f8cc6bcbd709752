"""What a mutant changes: one operator, number, branch or statement of a module."""

from __future__ import annotations

import ast
import copy
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

_OPERATORS: dict[type[ast.AST], Any] = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Mult,
    ast.And: ast.Or,
    ast.Or: ast.And,
}
# No behavior, or what the type checker holds: annotations are left out field by field, and so is
# the `strict` of a zip, which guards against what cannot be.
_SKIPPED = (ast.Assert, ast.Import, ast.ImportFrom, ast.Raise)
_TEXT = (ast.JoinedStr, ast.List, ast.Tuple, ast.ListComp)


@dataclass(frozen=True, slots=True)
class Mutant:
    """One change of a module: of the node ``at`` in the order of the tree, the alternative ``way``.

    ``lines`` are those of its statement; ``called`` says that it runs when a function is called
    and not when the module is imported.
    """

    path: str
    at: int
    way: int
    lines: tuple[int, ...]
    called: bool
    text: str


def mutants_of(path: Path) -> list[Mutant]:
    """Every mutant of a module, in the order of its tree."""
    tree = ast.parse(path.read_text())
    found = []
    for at, (node, lines, called) in enumerate(_nodes(tree, (), called=False)):
        for way, other in enumerate(_alternatives(node)):
            text = f"{_short(node)} -> {_short(other)}"
            found.append(Mutant(str(path), at, way, lines, called, text))
    return found


def mutated(mutant: Mutant) -> ast.Module:
    """The module's tree with the change in it; lines keep their numbers."""
    tree = ast.parse(Path(mutant.path).read_text())
    node = [each for each, _, _ in _nodes(tree, (), called=False)][mutant.at]
    other = ast.copy_location(list(_alternatives(node))[mutant.way], node)
    for parent in ast.walk(tree):
        for name, value in ast.iter_fields(parent):
            if value is node:
                setattr(parent, name, other)
            elif isinstance(value, list):
                value[:] = [other if each is node else each for each in value]
    return ast.fix_missing_locations(tree)


def _short(node: ast.AST) -> str:
    text = " ".join(ast.unparse(node).split())
    return text if len(text) <= 70 else text[:67] + "..."


def _nodes(
    node: ast.AST, lines: tuple[int, ...], *, called: bool
) -> Iterator[tuple[ast.AST, tuple[int, ...], bool]]:
    """Nodes that may be changed, with the lines of their statement and whether a call runs them."""
    if isinstance(node, _SKIPPED) or (isinstance(node, ast.keyword) and node.arg == "strict"):
        return
    if isinstance(node, ast.stmt):
        lines = _lines(node)
    yield node, lines, called
    for name, value in ast.iter_fields(node):
        if name in ("annotation", "returns", "decorator_list", "format_spec"):
            continue
        function = isinstance(node, ast.FunctionDef | ast.Lambda)
        inner = called or (function and name == "body")
        for child in value if isinstance(value, list) else [value]:
            if isinstance(child, ast.AST):
                yield from _nodes(child, lines, called=inner)


def _lines(node: ast.stmt) -> tuple[int, ...]:
    """The lines of a statement; of a compound one, those of its head."""
    body = getattr(node, "body", None)
    last = body[0].lineno - 1 if body else node.end_lineno or node.lineno
    return tuple(range(node.lineno, max(node.lineno, last) + 1))


def _alternatives(node: ast.AST) -> Iterator[ast.AST]:
    """What may be put in a node's place, each with one difference."""
    match node:
        case ast.Compare(left=left, ops=operators, comparators=right):
            for index, operator in enumerate(operators):
                if type(operator) in _OPERATORS:
                    other = copy.deepcopy(node)
                    other.ops[index] = _OPERATORS[type(operator)]()
                    yield other
            yield from _other_words(node, [left, *right])
        case ast.BinOp(left=one, op=operator, right=two) if not _is_text(one, two):
            if type(operator) in _OPERATORS:
                yield ast.BinOp(one, _OPERATORS[type(operator)](), two)
        case ast.BoolOp(op=operator, values=values):
            yield ast.BoolOp(_OPERATORS[type(operator)](), values)
        case ast.UnaryOp(op=ast.Not() | ast.USub(), operand=operand):
            yield operand
        case ast.Subscript(slice=ast.Constant(value=int() as index)):
            yield ast.Subscript(node.value, ast.Constant(index ^ 1), node.ctx)
        case ast.Constant(value=bool() as value):
            yield ast.Constant(not value)
        case ast.Constant(value=int() | float() as value):
            yield ast.Constant(value + 1)
            if value:
                yield ast.UnaryOp(ast.USub(), ast.Constant(value))
        case ast.Call(func=ast.Name(id="min" | "max" as name)):
            swapped = "max" if name == "min" else "min"
            yield ast.Call(ast.Name(swapped, ast.Load()), node.args, node.keywords)
        case ast.Dict(keys=keys):
            yield from _other_words(node, [each for each in keys if each is not None])
        case ast.IfExp(test=test, body=body, orelse=orelse):
            yield from (ast.IfExp(each, body, orelse) for each in _negated(test))
        case _:
            yield from _other_statements(node)


def _other_statements(node: ast.AST) -> Iterator[ast.AST]:
    match node:
        case ast.Return(value=ast.expr() as value):
            if not (isinstance(value, ast.Constant) and value.value is None):
                yield ast.Return(ast.Constant(None))
        case (
            ast.Continue()
            | ast.Break()
            | ast.Expr(value=ast.Call() | ast.Yield() | ast.YieldFrom())
        ):
            yield ast.Pass()
        case ast.AugAssign(target=target, op=operator, value=value):
            yield ast.Pass()
            if type(operator) in _OPERATORS and not _is_text(value):
                yield ast.AugAssign(target, _OPERATORS[type(operator)](), value)
        case ast.If(test=test, body=body, orelse=orelse):
            yield from (ast.If(each, body, orelse) for each in _negated(test))


def _negated(test: ast.expr) -> Iterator[ast.expr]:
    """The opposite of a plain test; a comparison or a `not` has a change of its own."""
    if isinstance(test, ast.Name | ast.Attribute | ast.Call | ast.NamedExpr):
        yield ast.UnaryOp(ast.Not(), test)


def _other_words(node: ast.AST, values: list[ast.expr]) -> Iterator[ast.AST]:
    """The node with another word where it decides: compared, or a key."""
    for value in values:
        words = value.elts if isinstance(value, ast.Tuple | ast.Set | ast.List) else [value]
        for word in words:
            if isinstance(word, ast.Constant) and isinstance(word.value, str):
                sound = word.value
                word.value = sound + "?"
                other = copy.deepcopy(node)
                word.value = sound
                yield other


def _is_text(*values: ast.expr) -> bool:
    """Whether text or a list is added, where minus has no meaning."""
    return any(
        isinstance(each, _TEXT)
        or (isinstance(each, ast.Constant) and isinstance(each.value, str | bytes))
        for each in values
    )
