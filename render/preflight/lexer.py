"""Content streams as operators with operands, fast enough for every glyph of a proof.

Syntax of ISO 32000-1, 7.2 to 7.3 and 8.9.7 (inline images). Most operators follow plain
numbers or one name, so those are taken in one match; anything else is read piece by piece.
What pages hold by the thousand can be taken in whole runs: paths, outlines, placed forms.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache
from typing import TypeAlias

from render.preflight.limits import DEPTH, Budget, too_deep

Instruction: TypeAlias = tuple[str, list[object]]

_SPACE = rb"[\x00\t\n\f\r ]"
_NUMBER = rb"[+-]?+(?:[0-9]++\.?+[0-9]*+|\.[0-9]++)"
_PLAIN = re.compile(
    rb"%b*+(?:(/[A-Za-z0-9]++)%b++|((?:%b%b++)*+))"
    rb"([A-Za-z][A-Za-z0-9*]*+(?![^\x00\t\n\f\r /\[\](<>{}%%])|['\"])?"
    % (_SPACE, _SPACE, _NUMBER, rb"[\t\n\f\r ]")  # zero bytes are not blanks to bytes.split
)
_END = rb"(?![^\x00\t\n\f\r /\[\](<>{}%])"  # of a word, with nothing grown on to it


def _numbers(count: int, number: bytes = _NUMBER, blanks: bytes = rb"[\t\n\f\r ]++") -> bytes:
    """A pattern for ``count`` numbers, each followed by blanks."""
    return (number + blanks) * count  # written out, as that is searched faster than a repeat


def _operator(operands: bytes, name: bytes) -> bytes:
    """A pattern for an operator behind its operands."""
    return rb"%b*+%b%b%b" % (_SPACE, operands, name, _END)


_PAIR, _DIGITS = _numbers(2), _numbers(2, rb"-?[0-9]++", rb" ")
_ANY_PATH = _operator(b"", rb"(?:%b(?:[lm]|%b(?:%bc|[vy]|re))|h)" % (_PAIR, _PAIR, _PAIR))
# Most paths are whole numbers, an operator to a line; that is matched in half the time.
_LINE = rb"\n(?:%b(?:[lm]|%bc)|h)(?=\n)" % (_DIGITS, _DIGITS * 2)
_PATH = rb"(?:%b|%b)++" % (_LINE, _ANY_PATH)
_SAVE, _RESTORE, _STROKE = (_operator(b"", name) for name in (b"q", b"Q", b"S"))
_MATRIX = _numbers(6)
_PLACE = _operator(rb"/[A-Za-z0-9]++%b++" % _SPACE, b"Do")
_MOVE = _operator(_MATRIX, b"cm")
# Likewise for a letter behind another.
_STEP = rb"\n1 0 0 1 %bcm/[A-Za-z0-9]++ Do(?=\n)" % _DIGITS
_PLACES = rb"%b(?:%b|%b|%b)++%b" % (_SAVE, _STEP, _PLACE, _MOVE, _RESTORE)
# A line of text in one font: strings of hexadecimal digits with the way between them.
_STRINGS = rb"%b*+\[(?:<[0-9A-Fa-f]*+>|%b|[\t\n\f\r ])*+\]" % (_SPACE, _NUMBER)
_TEXT = rb"%b%b%b%b%b" % (
    _operator(b"", b"BT"),
    _operator(rb"/[A-Za-z0-9]++%b++%b" % (_SPACE, _numbers(1)), b"Tf"),
    _operator(_MATRIX, b"Tm"),
    _STRINGS,
    _operator(b"", b"TJ") + _operator(b"", b"ET"),
)
_RUNS = rb"(?P<path>%b)|(?P<text>(?:%b)++)|(?P<placed>(?:%b)++)" % (_PATH, _TEXT, _PLACES)
_MOVED = _SAVE + _operator(b"(?P<matrix>%b)" % _MATRIX, b"cm")
_RUN = re.compile(rb"%b|(?P<moved>%b)" % (_RUNS, _MOVED))
# Never from within a number or blanks, which could be as long as the content.
_RUNS_WITHIN = re.compile(rb"(?=[\x00\t\n\f\r hqB0-9+.-])(?<![0-9+.\x00\t\n\f\r -])(?:%b)" % _RUNS)
_SHORT_RUNS = {"path": b"\x00p", "placed": b"\x00f"}
_FONT_NAME = re.compile(rb"/([A-Za-z0-9]++)%b" % _SPACE)
_WHOLE_PATH = re.compile(rb"%b%b*+" % (_PATH, _SPACE))
_STROKED = re.compile(_STROKE + _RESTORE)
_KEPT_BYTES = 4096  # longer runs of path operators seldom come twice
_MOST_NUMBERS = 16_384  # bytes of plain numbers before one operator, of which none takes 40
_LONGEST_OUTLINE = 1 << 20  # bytes looked through for the end of a moved path
_BLOCK = re.compile(_PLACES)
_PLACED_NAME = re.compile("/[A-Za-z0-9]+")
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
OUTLINE = "q cm m l c v y re h S Q"
PLACED = "q cm Do Q"
TEXTS = "BT Tf Tm TJ ET"
_KINDS = {"path": PATHS, "text": TEXTS, "placed": PLACED}


class NameOperand(str):
    """A name among operands, with its slash."""

    __slots__ = ()


class LexError(ValueError):
    """The content breaks the syntax; the message says where."""


def instructions(
    data: bytes, in_runs: bool = False, budget: Budget | None = None
) -> Iterator[Instruction]:
    """Operators with their operands: numbers, names, bytes, lists, dicts, booleans, None.

    An inline image is one instruction, named BI, whose operand is its dictionary. With
    ``in_runs`` these are one instruction too, where all operators have as many operands as they
    take: `PATHS`, a run of path operators; `PLACED`, forms placed between q and Q, often one
    after the other, so that the state stays as it was; each has the run as it stands for its
    operand. So are `TEXTS`, lines of text each with its font. `OUTLINE` is one path moved and
    stroked between q and Q, with the six numbers of its matrix and the run of its path.

    Every operator and operand is paid for from the budget, where one is given.

    Raises:
        LexError: the data is not a content stream.
        TooLarge: the budget is spent, or arrays lie too deep in one another.
    """
    purse = budget or Budget()
    at = 0
    operands: list[object] = []
    while True:
        run = _RUN.match(data, at) if in_runs and not operands else None
        if run and run.lastgroup in _KINDS:
            at = run.end()
            yield _KINDS[run.lastgroup], [run[0]]
            continue
        outline = _outline(data, run) if run else None
        if outline:
            operands, at = outline
            yield OUTLINE, operands
            operands = []
            continue
        plain = _PLAIN.match(data, at)
        if plain:
            name, numbers, operator = plain.groups()
            if name:
                operands.append(NameOperand(name.decode("ascii")))
                at = plain.end(1)
            elif numbers:
                if len(numbers) > _MOST_NUMBERS:
                    raise LexError("an operation has too many operands")
                operands += map(float, numbers.split())
                at = plain.end(2)
            if operator and operator not in _CONSTANTS:
                at = plain.end()
                if operator == b"BI":
                    entries, at = _image(data, at, purse)
                    operands = [entries]
                if len(operands) > _MOST_NUMBERS:
                    raise LexError("an operation has too many operands")
                purse.work(1 + len(operands))
                yield operator.decode("ascii"), operands
                operands = []
                continue
        start, at = at, _skip(data, at)
        if at >= len(data):
            break
        if at == start:  # else an operator may stand behind a comment
            value, at = _object(data, at, purse)
            operands.append(value)
    if operands:
        raise LexError("it ends in the middle of an operation")


def _outline(data: bytes, moved: re.Match[bytes]) -> tuple[list[object], int] | None:
    """The operands of `OUTLINE`, where what is moved is one, and the place after it."""
    # No operator of paths holds a q or an S, so nothing is searched twice.
    start = moved.end()
    saved = data.find(b"q", start, start + _LONGEST_OUTLINE)
    end = data.find(b"S", start, saved if saved >= 0 else start + _LONGEST_OUTLINE)
    stroked = _STROKED.match(data, end) if end >= 0 else None
    path = data[start:end]
    if stroked is None or not (_is_path if len(path) <= _KEPT_BYTES else _is_long_path)(path):
        return None
    return [*map(float, moved["matrix"].split()), path], stroked.end()


@lru_cache(maxsize=4)
def _is_long_path(run: bytes) -> bool:
    """Whether it is a run of path operators, kept for lettering that is on each sheet."""
    return _WHOLE_PATH.fullmatch(run) is not None


@lru_cache(maxsize=4096)
def _is_path(run: bytes) -> bool:
    """The same for a short run, kept: a sheet repeats few outlines often."""
    return _WHOLE_PATH.fullmatch(run) is not None


def names_in(placed: bytes) -> list[str]:
    """The names of the forms that a run of `PLACED` places, once each, with their slashes."""
    return list(dict.fromkeys(_PLACED_NAME.findall(placed.decode("ascii"))))


def pattern_of(data: bytes) -> tuple[bytes, list[list[str]]]:
    """Content without what its runs of paths and of placed forms say, and the latter's names."""
    placed: list[list[str]] = []

    def shorten(run: re.Match[bytes]) -> bytes:
        if run.lastgroup == "placed":
            placed.append(_PLACED_NAME.findall(run[0].decode("ascii")))
        return run[0] if run.lastgroup == "text" else _SHORT_RUNS[run.lastgroup or ""]

    return _RUNS_WITHIN.sub(shorten, data), placed


def fonts_in(texts: bytes) -> list[str]:
    """The names of the fonts that a run of `TEXTS` chooses, in its order, with their slashes."""
    return ["/" + each.decode("ascii") for each in _FONT_NAME.findall(texts)]


def blocks_in(placed: bytes) -> list[bytes]:
    """The parts of a run of `PLACED`, each from a q to its Q."""
    return _BLOCK.findall(placed)


def _skip(data: bytes, at: int) -> int:
    """The place after blanks and comments."""
    blank = _BLANK.match(data, at)
    return blank.end() if blank else at


def _object(data: bytes, at: int, purse: Budget, depth: int = 0) -> tuple[object, int]:
    """The object at a place, and the place after it."""
    purse.work(1)
    if data[at : at + 1] == b"(":
        return _string(data, at, purse)
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
            return _read_nested(data, after, b"]" if text == b"[" else b">>", purse, depth + 1)
    if text in _CONSTANTS:
        return _CONSTANTS[text], after
    raise LexError(f"byte {at} begins no object")


def _read_nested(
    data: bytes, at: int, close: bytes, purse: Budget, depth: int
) -> tuple[object, int]:
    """An array or dictionary, from after its opening."""
    if depth > DEPTH:
        raise too_deep("arrays and dictionaries in the content")
    values: list[object] = []
    while True:
        at = _skip(data, at)
        if data.startswith(close, at):
            break
        if at >= len(data):
            raise LexError("it ends inside an array or a dictionary")
        value, at = _object(data, at, purse, depth)
        values.append(value)
    after = at + len(close)
    return (values if close == b"]" else _pairs(values)), after


def _pairs(values: list[object]) -> dict[str, object]:
    if len(values) % 2:
        raise LexError("a dictionary has a key without a value")
    return {str(key): value for key, value in zip(values[::2], values[1::2], strict=True)}


def _string(data: bytes, at: int, purse: Budget) -> tuple[bytes, int]:
    """A string in parentheses, as it is written: what it says is not looked at."""
    depth, start = 0, at
    while at < len(data):
        purse.work(1)
        character = data[at : at + 1]
        depth += {b"(": 1, b")": -1}.get(character, 0)
        at += 1
        if depth == 0:
            return data[start + 1 : at - 1], at
        part = _STRING_PART.match(data, at)
        at = part.end() if part else at
    raise LexError("it ends inside a string")


def _image(data: bytes, at: int, purse: Budget) -> tuple[dict[str, object], int]:
    """The dictionary of an inline image, and the place after its data."""
    values: list[object] = []
    while True:
        at = _skip(data, at)
        if data[at : at + 2] == b"ID":
            break
        if at >= len(data):
            raise LexError("it ends inside an image")
        value, at = _object(data, at, purse)
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
