"""Matches the headings of a list to columns.

A standard heading counts first, then a common synonym, judged together with the cells below it:
``Size`` over pipe sizes is the pipe. Every match is recorded so that it can be shown.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import lru_cache

from layouts.terms.pipes import parse_pipe, two_sizes
from layouts.terms.pressures import parse_pressure
from layouts.terms.synonyms import KIND as KIND_WORDS
from layouts.terms.synonyms import choose, means_bare, nearest, read_position
from layouts.terms.units import parse_length, parse_temperature
from layouts.terms.values import frozen
from layouts.terms.words import Kind
from render.read.cells import Cell
from render.read.columns import (
    BY_NAME,
    KIND,
    NAMES,
    UNITS,
    Column,
    Heading,
    Measure,
    own_heading,
)
from render.read.heading_words import ABBREVIATIONS, KIND_HINTS, LEFT_OUT, SYNONYMS
from render.read.vocabulary import YES_NO, environment

BY_SYNONYM = "by synonym"
MOST_COLUMNS = 500
SAMPLE = 200  # rows below the headings to examine
_LEAST = 0.5  # share of cells that must be valid for the column
_REPEATED = 0.7  # share of its cells at which a row repeats the headings
_PIPES_ONLY = frozenset({"flow", "covering_in", "state", "girth_in", "run", "pipe"})
_KINDS = {"valve": Kind.VALVE, "equipment": Kind.EQUIPMENT, "pipe": Kind.PIPE}
_SIZE_OF = {Kind.VALVE: "valve_size", Kind.PIPE: "pipe", None: "pipe"}


@frozen
class Mapped:
    """A heading and its matched column; ``column`` is empty for a heading left out.

    ``how`` is empty for a standard heading.
    """

    index: int
    heading: str
    column: str
    unit: str = ""
    how: str = ""
    right: str = ""


@frozen
class HeadingRow:
    """The headings of a sheet: its columns, every match, and the kind of its rows."""

    headings: tuple[Heading, ...]
    mapped: tuple[Mapped, ...]
    kind: Kind | None = None


def map_headings(
    cells: Sequence[Cell],
    below: Sequence[Sequence[Cell]],
    sheet: str = "",
    own: Mapping[str, str] | None = None,
) -> HeadingRow:
    """Match each heading by the plant's ``own`` mapping, as a standard heading, or by synonym.

    ``below`` holds the first rows under it, ``sheet`` the sheet's name.
    """
    texts = [cell if isinstance(cell, str) else "" for cell in cells]
    own = {_plain(heading): column for heading, column in (own or {}).items()}
    found: dict[int, Heading] = {}
    mapped: dict[int, Mapped] = {}
    for index, text in enumerate(texts):
        given = own.get(_plain(text)) if text.strip() else None
        if given is not None:
            _take_given(index, text, given, found, mapped)
        elif (heading := own_heading(index, text)) is not None:
            found[index] = heading
            mapped[index] = Mapped(index, text, heading.column.name, heading.unit)
    kind = _kind_of(texts, found, sheet) or _kind_told(found, below)
    taken = {heading.column.name for heading in found.values()}
    for index, text in enumerate(texts):
        if index in mapped or not text.strip():
            continue
        sample = [row[index] for row in below if index < len(row)]
        mapped[index] = _by_synonym(index, text, sample, kind, taken)
    for index, each in sorted(mapped.items()):
        if index not in found and each.column:
            found[index] = Heading(index, BY_NAME[each.column], each.unit, named=bool(each.unit))
    ordered = tuple(found[index] for index in sorted(found))
    own_kind = KIND in {heading.column.name for heading in ordered}
    return HeadingRow(
        ordered, tuple(mapped[index] for index in sorted(mapped)), None if own_kind else kind
    )


def count_headings(cells: Sequence[object], own: Iterable[str] = ()) -> int:
    """How many cells of a row are, or may be, headings; ``own`` holds the plant's."""
    plants = {_plain(heading) for heading in own}
    return sum(
        own_heading(index, cell) is not None
        or _plain(cell) in plants
        or bool(_candidates(_words(cell)[0]))
        for index, cell in enumerate(cells[:MOST_COLUMNS])
        if isinstance(cell, str) and cell.strip()
    )


def is_repeat(cells: Sequence[Cell], headings: Sequence[Cell]) -> bool:
    """Whether a row repeats the heading row, as at the top of a printed page."""
    most = (1 - _REPEATED) * len(cells)  # more that differ are too many however long the row is
    filled = differing = 0
    for cell, head in zip(cells, headings, strict=False):
        if not isinstance(cell, str) or not cell.strip():
            continue
        filled += 1
        if not isinstance(head, str) or _plain(cell) != _plain(head):
            differing += 1
            if differing > most:
                return False
    return filled > 1 and filled - differing >= _REPEATED * filled


def _take_given(
    index: int,
    text: str,
    given: str,
    found: dict[int, Heading],
    mapped: dict[int, Mapped],
) -> None:
    """A heading named in the plant's mapping; an empty column leaves it out."""
    if not given:
        mapped[index] = Mapped(index, text, "", how="left out by the mapping")
        return
    heading = own_heading(index, given)
    assert heading is not None  # the mapping was checked when it was read
    unit = heading.unit if heading.named else _words(text)[1].get(heading.column.measure, "")
    named = heading.named or bool(unit)
    found[index] = Heading(index, heading.column, unit or heading.unit, named)
    mapped[index] = Mapped(index, text, heading.column.name, unit, "by the mapping")


def _by_synonym(
    index: int, text: str, sample: Sequence[Cell], kind: Kind | None, taken: set[str]
) -> Mapped:
    """The column of a synonym, or why the heading is left out."""
    words, units = _words(text)
    if (why := LEFT_OUT.get(words)) is not None:
        return Mapped(index, text, "", how=f"left out: {why}")
    names = [name for name in _candidates(words) if name not in taken]
    names = _fitting_kind(names, kind, taken)
    scores = {name: _score(BY_NAME[name], sample) for name in names}
    best = max(names, key=lambda name: scores[name], default="")
    if best and scores[best] >= _LEAST:
        taken.add(best)
        return Mapped(index, text, best, units.get(BY_NAME[best].measure, ""), BY_SYNONYM)
    doubles = [name for name in _candidates(words) if name in taken]
    if doubles:
        return Mapped(index, text, "", right=f"{doubles[0]} is another column already")
    return Mapped(index, text, "", right=_suggestion(text, sample, taken, best))


def _suggestion(text: str, sample: Sequence[Cell], taken: set[str], doubted: str) -> str:
    if doubted:
        return f"it may be {doubted}, but its cells do not read so"
    near = nearest(text, NAMES)
    if near and _score(BY_NAME[near], sample) >= _LEAST:
        return f"did you mean {near}?"
    return "see the headings of the list"


def _candidates(words: str) -> list[str]:
    if words in _BY_WORDS:
        return _BY_WORDS[words]
    own = own_heading(0, words)  # an abbreviation of a standard heading
    return [own.column.name] if own is not None and words else []


def _fitting_kind(names: list[str], kind: Kind | None, taken: set[str]) -> list[str]:
    """Candidates that fit the rest of the sheet: on a valve list, a size is a valve's."""
    if "valve_size" in names or "pipe" in names:
        size = _SIZE_OF.get(kind, "valve_size")
        names = [name for name in names if name not in ("valve_size", "pipe") or name == size]
    if "tag" in names and "line" in names:
        names = [name for name in names if name != ("tag" if kind is Kind.PIPE else "line")]
    if "function" in names and "legend" in names:
        other = "legend" if kind is Kind.VALVE else "function"
        names = [name for name in names if name != other]
        if kind in (Kind.PIPE, None):
            return []
    return names


def _kind_of(texts: Sequence[str], found: Mapping[int, Heading], sheet: str) -> Kind | None:
    """The kind of a sheet's rows, from its name or its headings."""
    for kind, hints in KIND_HINTS.items():
        if any(hint in _words(sheet)[0].replace("valves", "valve").split() for hint in hints):
            return _KINDS[kind]
    foreign = [_words(text)[0] for index, text in enumerate(texts) if index not in found]
    for kind, hints in KIND_HINTS.items():
        for words in foreign:
            if words.split()[:1] and words.split()[0] in hints and _candidates(words):
                return _KINDS[kind]
    columns = {name for words in foreign for name in _candidates(words)[:1]}
    return Kind.PIPE if len(columns & _PIPES_ONLY) > 1 else None


def _kind_told(found: Mapping[int, Heading], below: Sequence[Sequence[Cell]]) -> Kind | None:
    """The kind that every sample row gives in the kind column."""
    index = next((at for at, each in found.items() if each.column.name == KIND), None)
    if index is None:
        return None
    said = {row[index] for row in below if index < len(row) and row[index]}
    texts = [each for each in said if isinstance(each, str) and _reads(_as_kind, each)]
    kinds = {_as_kind(each) for each in texts}
    return Kind(kinds.pop()) if len(kinds) == 1 and len(texts) == len(said) else None


def _as_kind(text: str) -> str:
    return choose(text, KIND_WORDS)


def writes_comma(heading: Heading, below: Sequence[Sequence[Cell]]) -> bool:
    """Whether a column's commas can only be decimal: one of them parts no thousands, and no
    number of the column has a point.
    """
    if not heading.column.measure.is_number:
        return False
    texts = [row[heading.index] for row in below if heading.index < len(row)]
    commas = [text for text in texts if isinstance(text, str) and "," in text]
    plain = all(_DECIMAL.fullmatch(text.strip()) for text in commas)
    surely = sum(not _THOUSANDS.search(text) for text in commas)
    pointed = any(isinstance(text, str) and re.search(r"\d\.\d", text) for text in texts)
    return plain and surely >= _SURE and not pointed


_DECIMAL = re.compile(r"[-+]?\d+,\d+\s*[^\d,]*")
_THOUSANDS = re.compile(r"(?<!\d)[1-9]\d{0,2},\d{3}(?!\d)")
_SURE = 2  # numbers that decide a column
_BRACKETS = re.compile(r"[(\[{]([^)\]}]*)[)\]}]")


def _words(heading: object) -> tuple[str, dict[Measure, str]]:
    """A heading's words, spelled out, and the unit that it names for each measure."""
    text = unicodedata.normalize("NFKD", str(heading).casefold().replace("ß", "ss"))
    text = "".join(sign for sign in text if not unicodedata.combining(sign))
    units: dict[Measure, str] = {}
    for inner in _BRACKETS.findall(text):
        units |= _units(inner)
    bare = _BRACKETS.sub(" ", text)
    tokens = re.findall(r"[^\W_]+|#", bare.replace("p&id", "p id"))
    if len(tokens) > 1 and (last := _units(tokens[-1])) and not units:
        whole = " ".join(ABBREVIATIONS.get(token, token) for token in tokens)
        if whole not in _BY_WORDS:
            tokens, units = tokens[:-1], last
    if len(tokens) == 1:
        return ABBREVIATIONS.get(tokens[0], tokens[0]) if tokens[0] not in _BY_WORDS else tokens[
            0
        ], units
    return " ".join(ABBREVIATIONS.get(token, token) for token in tokens), units


def _units(text: str) -> dict[Measure, str]:
    plain = re.sub(r"[\W_]+", "", text.casefold())
    return {measure: words[plain] for measure, words in UNITS.items() if plain in words}


@lru_cache(maxsize=4096)  # the headings are compared with each row's first cells
def _plain(heading: str) -> str:
    return re.sub(r"[\W_]+", "", heading.casefold())


_BY_WORDS: dict[str, list[str]] = {}
for _column, _said in SYNONYMS.items():
    for _word in _said.split("|"):
        _BY_WORDS.setdefault(_word, []).append(_column)
        _spelled = " ".join(ABBREVIATIONS.get(token, token) for token in _word.split())
        if _spelled != _word:
            _BY_WORDS.setdefault(_spelled, []).append(_column)


def _reads(read: Callable[[str], object], text: str) -> bool:
    try:
        read(text)
    except ValueError:
        return False
    return True


def _score(column: Column, sample: Iterable[Cell]) -> float:
    """Share of the filled cells that are valid for the column; 1 if none is filled."""
    texts = [cell.strip() for cell in sample if isinstance(cell, str) and cell.strip()]
    texts = texts[:SAMPLE]
    if not texts:
        return 1.0
    return sum(_reads_as(column, text.replace(",", ".")) for text in texts) / len(texts)


def _reads_as(column: Column, text: str) -> bool:
    match column.measure:
        case Measure.LENGTH:
            return means_bare(text) or _reads(parse_length, text)
        case Measure.PRESSURE:
            return _reads(parse_pressure, text) or bool(re.match(r"\d", text))
        case Measure.TEMPERATURE:
            return _reads(parse_temperature, text)
        case Measure.PIPE:
            return two_sizes(text) is not None or _reads(parse_pipe, text)
        case Measure.CHOICE:
            return column.words is None or _reads(lambda t: choose(t, column.words or {}), text)
        case Measure.FLAG:
            return _reads(lambda t: choose(t, YES_NO), text)
        case Measure.SETTING:
            return _reads(environment, text)
    if column.name == KIND:
        return _reads(_as_kind, text)
    if column.name == "normal_position":
        return _reads(read_position, text)
    if column.name == "qty":
        return bool(re.match(r"\d", text))
    return True
