"""Content streams as operators with operands, fast enough for every glyph of a proof.

Syntax of ISO 32000-1, 7.2 to 7.3 and 8.9.7 (inline images). Most operators follow plain
numbers or one name, so those are taken in one match; anything else is read piece by piece.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TypeAlias

Instruction: TypeAlias = tuple[str, list[object]]

_SPACE = rb"[\x00\t\n\f\r ]"
_NUMBER = rb"[+-]?(?:\d++(?:\.\d*+)?|\.\d++)"
_PLAIN = re.compile(
    rb"%b*+(?:(/[A-Za-z0-9]++)%b++|((?:%b%b++)*+))"
    rb"([A-Za-z][A-Za-z0-9*]*+(?![^\x00\t\n\f\r /\[\](<>{}%%])|['\"])?"
    % (_SPACE, _SPACE, _NUMBER, rb"[\t\n\f\r ]")  # zero bytes are no blanks to bytes.split
)
_PAIR = rb"(?:%b%b++){2}+" % (_NUMBER, _SPACE)
_PATHS = re.compile(  # operators of paths with the operands that they take, as many as there are
    rb"(?:%b*+(?:%b(?:[lm]|%b(?:[vy]|re|%bc))|h)(?=[\x00\t\n\f\r /\[\](<>{}%%]|\Z))++"
    % (_SPACE, _PAIR, _PAIR, _PAIR)
)
_BLANK = re.compile(rb"(?:%b|%%[^\r\n]*+)*+" % _SPACE)
_OBJECT = re.compile(
    rb"(?P<number>%b)|(?P<name>/[^\x00\t\n\f\r /\[\]()<>{}%%]*+)|(?P<open>\[|<<)|(?P<close>\]|>>)"
    rb"|(?P<hex><[0-9A-Fa-f\x00\t\n\f\r ]*+>)|(?P<word>[A-Za-z][A-Za-z0-9*]*+)" % _NUMBER
)
_STRING_PART = re.compile(rb"[^()\\]*+(?:\\.[^()\\]*+)*+", re.DOTALL)
_ESCAPED = re.compile(rb"#([0-9A-Fa-f]{2})")
_IMAGE_END = re.compile(rb"%bEI(?![^\x00\t\n\f\r /\[(<%%])" % _SPACE)
_CONSTANTS: dict[bytes, object] = {b"true": True, b"false": False, b"null": None}

PATHS = "m l c v y re h"


class NameOperand(str):
    """A name among operands, with its slash."""

    __slots__ = ()


class LexError(ValueError):
    """The content breaks the syntax; the message says where."""


def instructions(data: bytes, whole_paths: bool = False) -> Iterator[Instruction]:
    """Operators with their operands: numbers, names, bytes, lists, dicts, booleans, None.

    An inline image is one instruction, named BI, whose operand is its dictionary. With
    ``whole_paths`` a run of path operators, all with as many numbers as they take, is one
    instruction too, named `PATHS`: its operand is the run as it stands.

    Raises:
        LexError: the content is no content stream.
    """
    at = 0
    operands: list[object] = []
    while True:
        paths = _PATHS.match(data, at) if whole_paths and not operands else None
        if paths:
            at = paths.end()
            yield PATHS, [paths[0]]
            continue
        plain = _PLAIN.match(data, at)
        if plain:
            name, numbers, operator = plain.groups()
            if name:
                operands.append(NameOperand(name.decode("ascii")))
                at = plain.end(1)
            elif numbers:
                operands += map(float, numbers.split())
                at = plain.end(2)
            if operator and operator not in _CONSTANTS:
                at = plain.end()
                if operator == b"BI":
                    entries, at = _image(data, at)
                    operands = [entries]
                yield operator.decode("ascii"), operands
                operands = []
                continue
        at = _skip(data, at)
        if at >= len(data):
            break
        value, at = _object(data, at)
        operands.append(value)
    if operands:
        raise LexError("it ends in the middle of an operation")


def _skip(data: bytes, at: int) -> int:
    """The place after blanks and comments."""
    blank = _BLANK.match(data, at)
    return blank.end() if blank else at


def _object(data: bytes, at: int) -> tuple[object, int]:
    """The object at a place, and the place after it."""
    if data[at : at + 1] == b"(":
        return _string(data, at)
    found = _OBJECT.match(data, at)
    if found is None or found.lastgroup == "close":
        raise LexError(f"byte {at} begins no object")
    text, after = found[0], found.end()
    match found.lastgroup:
        case "number":
            return float(text), after
        case "name":
            return _name(text), after
        case "hex":
            return bytes.fromhex(_even(text[1:-1])), after
        case "open":
            return _nested(data, after, b"]" if text == b"[" else b">>")
    if text in _CONSTANTS:
        return _CONSTANTS[text], after
    raise LexError(f"byte {at} begins no object")


def _nested(data: bytes, at: int, close: bytes) -> tuple[object, int]:
    """An array or dictionary, from after its opening."""
    values: list[object] = []
    while True:
        at = _skip(data, at)
        if data.startswith(close, at):
            break
        if at >= len(data):
            raise LexError("it ends inside an array or a dictionary")
        value, at = _object(data, at)
        values.append(value)
    after = at + len(close)
    return (values if close == b"]" else _pairs(values)), after


def _pairs(values: list[object]) -> dict[str, object]:
    if len(values) % 2:
        raise LexError("a dictionary has a key without a value")
    return {str(key): value for key, value in zip(values[::2], values[1::2], strict=True)}


def _string(data: bytes, at: int) -> tuple[bytes, int]:
    """A string in parentheses, as it stands: what it says is not looked at."""
    depth, start = 0, at
    while at < len(data):
        character = data[at : at + 1]
        depth += {b"(": 1, b")": -1}.get(character, 0)
        at += 1
        if depth == 0:
            return data[start + 1 : at - 1], at
        part = _STRING_PART.match(data, at)
        at = part.end() if part else at
    raise LexError("it ends inside a string")


def _image(data: bytes, at: int) -> tuple[dict[str, object], int]:
    """The dictionary of an inline image, and the place after its data."""
    values: list[object] = []
    while True:
        at = _skip(data, at)
        if data[at : at + 2] == b"ID":
            break
        if at >= len(data):
            raise LexError("it ends inside an image")
        value, at = _object(data, at)
        values.append(value)
    end = _IMAGE_END.search(data, at + 2)
    if end is None:
        raise LexError("it ends inside an image")
    return _pairs(values), end.end()


def _name(text: bytes) -> NameOperand:
    plain = _ESCAPED.sub(lambda found: bytes([int(found[1], 16)]), text)
    return NameOperand(plain.decode("utf-8", "surrogateescape"))


def _even(digits: bytes) -> str:
    """Hexadecimal digits without blanks, an odd last one followed by 0."""
    text = re.sub(_SPACE, b"", digits).decode("ascii")
    return text + "0" * (len(text) % 2)
