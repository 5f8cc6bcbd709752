"""A typed reader of data tables that collects every fault instead of stopping at the first.

A fault yields a neutral value so that reading goes on: an empty text, or a number that is not a
number, which no later comparison takes for a second fault. Nothing is built from it, because the
caller refuses the file when ``Faults.found`` is not empty.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from enum import StrEnum
from typing import TypeGuard, TypeVar

from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.units import UnitError, parse_length

STATUSES = ("confirmed", "common practice", "memory")
Table = Mapping[str, object]
Word = TypeVar("Word", bound=StrEnum)


def row_key(value: object) -> object:
    """What tells rows apart: their key without regard to case and outer spaces."""
    return value.strip().upper() if isinstance(value, str) else value


class Faults:
    """The faults of one data file, in the order in which they were met."""

    def __init__(self, origin: str, prefix: str) -> None:
        self.origin = origin
        self.prefix = prefix
        self.found: list[Finding] = []

    def add(self, code: str, field: str, what: str, right: str) -> None:
        """Note one fault; ``field`` is its dotted path in the file."""
        place = Place(file=self.origin, field=field)
        self.found.append(
            Finding(f"{self.prefix}-{code}", Severity.UNREADABLE, what, right, place=place)
        )


class Row:
    """One table of the file, read key by key; ``close`` reports keys that nobody asked for."""

    def __init__(self, values: Table, path: str, faults: Faults) -> None:
        self._values = values
        self._path = path
        self._faults = faults
        self._asked: set[str] = set()

    def has(self, key: str) -> bool:
        """Whether the key is written."""
        return key in self._values

    def text(self, key: str, default: str | None = None) -> str:
        """A string; needed unless a default is given."""
        value = self._value(key, default is None)
        if value is None:
            return default or ""
        if not isinstance(value, str) or not (value.strip() or default is not None):
            self.fault("type", key, f"{value!r} is not a text", "write it between quotes")
            return ""
        return value

    def number(self, key: str) -> float:
        """A finite number; needed."""
        value = self._value(key, True)
        if value is None:
            return math.nan
        if not _is_number(value):
            self.fault("type", key, f"{value!r} is not a number", "write it without quotes")
            return math.nan
        return float(value)

    def whole(self, key: str) -> int:
        """A whole number of one or more; needed."""
        value = self.number(key)
        if value < 1 or value % 1:
            self.fault("value", key, f"{value:g} is not a count", "write a whole number, 1 or more")
        return int(value) if value >= 1 else 1

    def length(self, key: str, default: float | None = None) -> float:
        """A length with its unit, in mm."""
        value = self._value(key, default is None)
        if value is None:
            return math.nan if default is None else default
        if not isinstance(value, str):
            self.fault("type", key, f"{value!r} has no unit", f'write it as "{value} in"')
            return math.nan
        try:
            return parse_length(value)
        except UnitError as error:
            self.fault("value", key, str(error), 'write it as "1-1/4 in" or "30 mm"')
            return math.nan

    def flag(self, key: str, default: bool | None = None) -> bool:
        """True or false."""
        value = self._value(key, default is None)
        if value is None:
            return bool(default)
        if not isinstance(value, bool):
            self.fault("type", key, f"{value!r} is not true or false", "write true or false")
            return False
        return value

    def word(self, key: str, kind: type[Word]) -> Word | None:
        """A word of a closed vocabulary, or None where the key is left out."""
        value = self._value(key, False)
        if value is None:
            return None
        return self._member(key, value, kind)

    def words(self, key: str, kind: type[Word]) -> tuple[Word, ...]:
        """A required list of words of a closed vocabulary."""
        members = (self._member(key, value, kind) for value in self._list(key, True))
        return tuple(member for member in members if member is not None)

    def texts(self, key: str, *, needed: bool = False) -> tuple[str, ...]:
        """A list of strings; empty where the key is left out."""
        texts = []
        for value in self._list(key, needed):
            if isinstance(value, str):
                texts.append(value)
            else:
                self.fault("type", key, f"{value!r} is not a text", "write it between quotes")
        return tuple(texts)

    def numbers(self, key: str, count: int) -> tuple[float, ...]:
        """A required list of a given number of numbers."""
        values = self._list(key, True)
        numbers = [float(value) for value in values if _is_number(value)]
        if len(numbers) != count or len(values) != count:
            if self.has(key):
                self.fault("type", key, f"{list(values)!r} is not {count} numbers", "write them so")
            return (math.nan,) * count
        return tuple(numbers)

    def number_list(self, key: str) -> tuple[float, ...]:
        """A needed list of two numbers or more."""
        values = self._list(key, True)
        numbers = tuple(float(value) for value in values if _is_number(value))
        if self.has(key) and (len(numbers) < 2 or len(numbers) != len(values)):
            self.fault(
                "type", key, f"{list(values)!r} is not a list of numbers", "write two or more"
            )
            return (0.0, 1.0)
        return numbers or (0.0, 1.0)

    def source(self, key: str = "source") -> str:
        """Where the row is known from; an ``@name`` that is left has no entry in ``[sources]``."""
        value = self._value(key, False)
        if not isinstance(value, str) or not value.strip():
            self.fault("source-missing", key, "the row has no source", "say where it is known from")
            return ""
        if value.startswith("@"):
            right = f'write {value[1:]} = "..." under [sources]'
            self.fault("source-unknown", key, f"{value!r} is not an entry of [sources]", right)
        return value

    def status(self, key: str = "status") -> str:
        """How well the row is known."""
        value = self._value(key, False)
        if value not in STATUSES:
            what = "the row has no status" if value is None else f"{value!r} is not a status"
            self.fault("status-unknown", key, what, f"write one of {', '.join(STATUSES)}")
            return ""
        return str(value)

    def child(self, key: str, *, needed: bool = True) -> Row:
        """A table inside this one; empty where it is left out."""
        value = self._value(key, needed)
        if value is not None and not isinstance(value, Mapping):
            self.fault("type", key, f"{value!r} is not a table", f"write it under [{key}]")
            value = None
        return Row(value or {}, self._join(key), self._faults)

    def children(self, key: str, name: str) -> Iterator[Row]:
        """The rows of a list of tables, each named by one of its keys; names must be distinct."""
        seen: set[object] = set()
        for place, value in enumerate(self._list(key, False), start=1):
            if not isinstance(value, Mapping):
                self.fault("type", key, f"{value!r} is not a table", f"write it under [[{key}]]")
                continue
            title = row_key(value.get(name, place))
            row = Row(value, f"{self._join(key)}[{value.get(name, place)}]", self._faults)
            if title in seen:
                row.fault(
                    "duplicate", name, f"{value[name]!r} is written twice", "keep one of the rows"
                )
            seen.add(title)
            yield row

    def names(self) -> tuple[str, ...]:
        """All keys of this table, for a table whose keys are names; they count as read."""
        self._asked.update(self._values)
        return tuple(self._values)

    def fault(self, code: str, key: str, what: str, right: str) -> None:
        """Note a fault of one key of this table."""
        self._faults.add(code, self._join(key), what, right)

    def close(self) -> None:
        """Report the keys that nothing reads."""
        for key in self._values:
            if key not in self._asked:
                known = ", ".join(sorted(self._asked))
                self.fault("unknown-key", key, f"{key!r} means nothing here", f"known are {known}")

    def _join(self, key: str) -> str:
        return f"{self._path}.{key}" if self._path else key

    def _value(self, key: str, needed: bool) -> object:
        self._asked.add(key)
        value = self._values.get(key)
        if value is None and needed:
            self.fault("missing", key, f"{key!r} is missing", "write it")
        return value

    def _list(self, key: str, needed: bool) -> list[object]:
        value = self._value(key, needed)
        if value is None:
            return []
        if not isinstance(value, list | tuple):
            self.fault("type", key, f"{value!r} is not a list", "write it between [ and ]")
            return []
        return list(value)

    def _member(self, key: str, value: object, kind: type[Word]) -> Word | None:
        if isinstance(value, str) and value in list(kind):
            return kind(value)
        right = f"write one of {', '.join(kind)}"
        self.fault("value", key, f"{value!r} is not known here", right)
        return None


def _is_number(value: object) -> TypeGuard[float]:
    """Whether the value is a finite number; true and false are not numbers."""
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


def with_sources(values: Table) -> Table:
    """The tables of one file with each ``@name`` source written out from its ``[sources]``.

    Done file by file, so that a file laid over another never changes the sources of its rows.
    """
    named = values.get("sources")
    if not isinstance(named, Mapping):
        return values
    return {key: _written_out(key, value, named) for key, value in values.items()}


def _written_out(key: str, value: object, named: Table) -> object:
    if isinstance(value, Mapping):
        return {each: _written_out(each, inner, named) for each, inner in value.items()}
    if isinstance(value, list):
        return [_written_out("", inner, named) for inner in value]
    if isinstance(value, str) and value.startswith("@") and key.endswith("source"):
        return named.get(value[1:], value)
    return value
