"""Tag numbers of valves and machines: ranges spelled out, and the order that people expect."""

from __future__ import annotations

import re

from layouts.terms.values import frozen

MOST_IN_A_RANGE = 1000  # more is a slip of the keys
_NUMBERED = re.compile(r"(.*?)(\d+)(\D*)", re.DOTALL)
_SEPARATORS = re.compile(r"[,;]")
_AND = re.compile(r"\s*&\s*|\s+and\s+|[\r\n]+", re.IGNORECASE)
_TO = re.compile(r"\s+(?:to|thru|through|until|bis)\s+", re.IGNORECASE)
_DASH = re.compile(r"\s+[-–—]+\s+|\s*[–—]\s*")
_HYPHEN = re.compile(r"([A-Za-z][\w-]*?[-_ ]?)(\d+[A-Za-z]?)-([A-Za-z][\w-]*?[-_ ]?)(\d+[A-Za-z]?)")
_SLASH = re.compile(r"([A-Za-z]+[-_ ]?)(\d+[A-Za-z]?)\s*/\s*([A-Za-z]*[-_ ]?)(\d*[A-Za-z]?)")
_TWO_NUMBERS = re.compile(r"([A-Za-z]+[-_ ]?)(\d+)-(\d+)")
_FEW = 30  # tags that a range written with a hyphen may hold
_DOTS = re.compile(r"\s*(?:\.{2,}|…)\s*")


class TagRangeError(ValueError):
    """A range of tags that cannot be spelled out; the message says what would be right."""


@frozen
class Numbered:
    """A tag split at its last number: ``HV-101A`` is ``HV-``, ``101`` and ``A``."""

    prefix: str
    digits: str
    suffix: str


def split_tag(tag: str) -> Numbered | None:
    """The tag in its parts, None where it has no number."""
    found = _NUMBERED.fullmatch(tag)
    return Numbered(found[1], found[2], found[3]) if found else None


def expand_tags(text: str) -> list[str]:
    """Every tag that a cell names, in order.

    ``HV-101..HV-118`` and ``HV-101..118`` are ranges, both ends included; commas and semicolons
    separate tags and ranges, and so do ``&`` and *and*. Ranges in words (``SV-301 to SV-304``,
    *thru*,
    *through*) and with a dash between spaces, or a long one, are read alike. Leading zeros are
    kept: ``V-08..V-11`` gives V-08, V-09, V-10, V-11. A cell without any of these signs is one tag.

    Raises:
        TagRangeError: a range has no end, no number, ends of different kinds, runs backward or is
            longer than ``MOST_IN_A_RANGE``; or a tag is given twice.
    """
    tags: list[str] = []
    for part in _SEPARATORS.split(_pairs_apart(text)):
        word = " ".join(part.split())
        if not word:
            raise TagRangeError(
                f"{text!r} has an empty place in it; write tags and ranges with a comma between, "
                "as in HV-101..HV-118, HV-120"
            )
        ends = _ends_of(word)
        tags += [_whole(word, tags)] if len(ends) == 1 else _spell_range(word, ends)
    seen: set[str] = set()
    for tag in tags:
        if tag.casefold() in seen:
            raise TagRangeError(f"{text!r} gives {tag} twice; give each tag once")
        seen.add(tag.casefold())
    return tags


def maybe_range(tag: str) -> str:
    """The range that a tag such as ``HV-1-4`` may mean, or empty where it is one tag.

    Two numbers with a hyphen between may be the first and the last of a few valves, or an area
    and a number in it; nobody but the list's owner knows.
    """
    found = _TWO_NUMBERS.fullmatch(tag)
    if found is None:
        return ""
    first, last = int(found[2]), int(found[3])
    alike = len(found[3]) - len(found[2]) in (0, 1)
    if not (alike and 0 < last - first <= _FEW):
        return ""
    return f"{found[1]}{found[2]}..{found[1]}{found[3]}"


def is_numbered_twice(tag: str) -> bool:
    """Whether a tag has two numbers that can be no range, as in ``HV-3-1`` or ``HV-2-101``."""
    return bool(_TWO_NUMBERS.fullmatch(tag)) and not maybe_range(tag)


def _pairs_apart(text: str) -> str:
    """``HV-1 & HV-2`` and ``HV-1/HV-2`` with commas; what may be one tag is left as it is."""
    found = _SLASH.fullmatch(" ".join(text.split()))
    if found:
        if found[1].casefold() == found[3].casefold():
            return f"{found[1]}{found[2]}, {found[3]}{found[4]}"
        if found[3] == "" or (found[4] == "" and len(found[3]) == 1):
            raise TagRangeError(
                f"{text!r} may be two tags; write each tag with a comma between, as in "
                "HV-101, HV-102"
            )
    return _AND.sub(",", text)


def _ends_of(word: str) -> list[str]:
    """The ends of a range, however it is written; a single tag gives itself."""
    for sign in (_DOTS, _TO, _DASH):
        ends = sign.split(word)
        if len(ends) > 1:
            return [end.strip() for end in ends]
    found = _HYPHEN.fullmatch(word)
    if found and found[1].casefold() == found[3].casefold():
        return [f"{found[1]}{found[2]}", f"{found[3]}{found[4]}"]
    return [word]


def _whole(word: str, before: list[str]) -> str:
    """A tag; a bare number after a tag is the next of its kind, as in ``HV-101, 102``."""
    last = split_tag(before[-1]) if before else None
    return f"{last.prefix}{word}" if last and last.prefix and word.isdecimal() else word


def natural_key(tag: str) -> tuple[tuple[int, int, str], ...]:
    """A sorting key by which ``HV-9`` comes before ``HV-10``, whatever the case of letters."""
    parts = re.findall(r"\d+|\D+", tag.casefold())
    return tuple((0, int(part), "") if part.isdecimal() else (1, 0, part) for part in parts)


def _spell_range(word: str, ends: list[str]) -> list[str]:
    """The tags of one range."""
    if len(ends) != 2 or not all(ends):
        raise TagRangeError(f"{word!r} is not a range; write its two ends, as in HV-101..HV-118")
    first, last = split_tag(ends[0]), split_tag(ends[1])
    if first is None or last is None:
        lacking = ends[0] if first is None else ends[1]
        raise TagRangeError(
            f"{word!r}: {lacking} has no number to count from; write both ends with numbers, as in "
            "HV-101..HV-118, or name each tag"
        )
    if last.prefix == "" and last.suffix == "":
        last = Numbered(first.prefix, last.digits, first.suffix)
    if _kind(first) != _kind(last):
        raise TagRangeError(
            f"{word!r}: {ends[0]} and {ends[1]} differ in more than their number; write ranges of "
            "one kind, as in HV-101..HV-118"
        )
    return _count_range(word, first, last)


def _count_range(word: str, first: Numbered, last: Numbered) -> list[str]:
    start, end = int(first.digits), int(last.digits)
    if end < start:
        raise TagRangeError(
            f"{word!r} runs backward; write the smaller number first, as in "
            f"{first.prefix}{last.digits}{first.suffix}..{first.prefix}{first.digits}{first.suffix}"
        )
    if end - start + 1 > MOST_IN_A_RANGE:
        raise TagRangeError(
            f"{word!r} stands for {end - start + 1} tags; a range holds at most {MOST_IN_A_RANGE}"
        )
    padded = first.digits.startswith("0") or last.digits.startswith("0")
    if padded and len(first.digits) != len(last.digits):
        raise TagRangeError(
            f"{word!r}: {first.digits} and {last.digits} are padded differently; write both ends "
            f"with as many digits, as in {first.prefix}{start:0{len(last.digits)}d}"
        )
    width = len(first.digits) if padded else 0
    return [f"{first.prefix}{number:0{width}d}{first.suffix}" for number in range(start, end + 1)]


def _kind(tag: Numbered) -> tuple[str, str]:
    return tag.prefix.casefold(), tag.suffix.casefold()
