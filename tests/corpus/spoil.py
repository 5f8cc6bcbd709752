"""Sound files spoiled in one place or a few, by a seed: the same seed spoils the same way."""

from __future__ import annotations

import io
import random
import re
import zipfile
from collections.abc import Callable, Sequence

# What a cell, a value or an attribute never should be, and in somebody's file is.
WORDS = (
    *("", " ", "0", "-1", "1e308", "1e999", "nan", "-inf", "9" * 40, "1" + "0" * 5000, "0.1.2"),
    *("NPS 0", "4 1/0 in", "-30 psig", "2026-02-30", "0000-00-00", "99999-01-01", "1/0", "½ in"),
    *("\u200b", "\u202e", "\ufeff", "\ufffd", "\x00", "\x1b[31m", "\x85", "\u2028", "\U000e0041"),
    *("AM\u00adMONIA", "e\u0301" * 40, "漢字", "عربي", "\U0001f9ca", "\r\n", "\n\n", "\t", "\x7f"),
    *(
        "=1+1",
        "@SUM(1)",
        "+1",
        "-1",
        "../../etc",
        "con",
        "nul.txt",
        "a/b\\c",
        "..",
        "~",
        "%s%n",
        "{0}",
    ),
    *(
        "<a>",
        "&amp;",
        "]]>",
        "'",
        '"',
        '""',
        "[",
        "]" * 50,
        "{" * 200,
        "[" * 2000,
        "#",
        ",,,,",
        ";",
    ),
    *(
        "true",
        "null",
        "[]",
        "{}",
        "x" * 3000,
        "All",
        "None",
        "yes",
        "NO",
        "0x1F",
        "１２",
        "1,5",
        "1.000,5",
    ),
)
_TOKEN = re.compile(rb'"[^"\n]*"|[A-Za-z0-9_.+-]+')
_CODINGS = ("utf-16", "utf-16-be", "utf-32", "latin-1", "utf-7", "utf-8-sig")

Spoiling = Callable[[random.Random, bytes], bytes]


def _span(dice: random.Random, data: bytes) -> tuple[int, int]:
    start = dice.randrange(len(data) + 1)
    return start, min(len(data), start + dice.choice((1, 2, 8, 60, 400, 5000)))


def _flip(dice: random.Random, data: bytes) -> bytes:
    changed = bytearray(data)
    for _ in range(min(len(data), dice.choice((1, 1, 3, 30)))):
        changed[dice.randrange(len(changed))] = dice.randrange(256)
    return bytes(changed)


def _cut(dice: random.Random, data: bytes) -> bytes:
    start, end = _span(dice, data)
    return data[:start] + data[end:]


def _end_early(dice: random.Random, data: bytes) -> bytes:
    return data[: dice.randrange(len(data) + 1)]


def _repeat(dice: random.Random, data: bytes) -> bytes:
    start, end = _span(dice, data)
    return data[:end] + data[start:end] * dice.choice((1, 2, 50)) + data[end:]


def _insert(dice: random.Random, data: bytes) -> bytes:
    at = dice.randrange(len(data) + 1)
    return data[:at] + dice.choice(WORDS).encode() + data[at:]


def _say_otherwise(dice: random.Random, data: bytes) -> bytes:
    """Some words or numbers replaced, within their quotation marks where they have any."""
    for _ in range(dice.choice((1, 1, 2, 4))):
        tokens = list(_TOKEN.finditer(data))
        if not tokens:
            break
        token = dice.choice(tokens)
        word = dice.choice(WORDS).encode()
        if token[0].startswith(b'"') and dice.random() < 0.7:
            word = b'"' + word + b'"'
        data = data[: token.start()] + word + data[token.end() :]
    return data


def _lines(dice: random.Random, data: bytes) -> bytes:
    """A line gone, doubled, put elsewhere or exchanged for its neighbor."""
    lines = data.splitlines(keepends=True) or [b""]
    line = lines.pop(dice.randrange(len(lines)))
    for _ in range(dice.choice((0, 1, 2, 300))):
        lines.insert(dice.randrange(len(lines) + 1), line)
    return b"".join(lines)


def _recode(dice: random.Random, data: bytes) -> bytes:
    """The text as another program saves it."""
    if dice.random() < 0.3:
        return data.replace(b"\r\n", b"\n").replace(
            b"\n", dice.choice((b"\r", b"\r\n", b"\n\n", b"\0"))
        )
    text = data.decode("utf-8", errors="replace")
    return text.encode(dice.choice(_CODINGS), errors="replace")


def _fill(dice: random.Random, data: bytes) -> bytes:
    """None of it is left."""
    one = dice.choice(
        (b"", b"\n", b"\0", b" ", b"\xff", b"PK\x03\x04", b"%PDF-1.4\n", b"<a>", b"[[", b"{")
    )
    return one * dice.choice((1, 1, 40, 3000))


_SPOILINGS: tuple[Spoiling, ...] = (
    *(_say_otherwise,) * 6,
    *(_flip, _cut, _repeat, _insert, _lines) * 2,
    *(_end_early, _recode, _fill),
)


def _spoil_part(dice: random.Random, data: bytes) -> bytes:
    """A package (zip) with one of its parts spoiled, gone or twice in it."""
    with zipfile.ZipFile(io.BytesIO(data)) as source:
        parts = [(each.filename, source.read(each)) for each in source.infolist()]
    at = dice.randrange(len(parts))
    name, content = parts.pop(at)
    fate = dice.random()
    if fate < 0.9:
        parts.insert(at, (name, dice.choice(_SPOILINGS)(dice, content)))
    elif fate < 0.95:
        parts.insert(at, (dice.choice(("../" + name, name.upper(), "x" * 300)), content))
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as package:
        for each in parts:
            package.writestr(zipfile.ZipInfo(each[0]), each[1])
    return target.getvalue()


def spoil(dice: random.Random, data: bytes, others: Sequence[bytes]) -> bytes:
    """The file spoiled; now and then it is a sound file of another kind under its name."""
    if dice.random() < 0.04:
        return dice.choice(others)
    if data.startswith(b"PK") and dice.random() < 0.85:
        return _spoil_part(dice, data)
    for _ in range(dice.choice((1, 1, 1, 2))):
        data = dice.choice(_SPOILINGS)(dice, data)
    return data
