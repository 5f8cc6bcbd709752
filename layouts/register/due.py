"""The work of a round up to a day: pieces to inspect, and pieces to replace by year."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import groupby

from layouts.register.model import Entry, Register
from layouts.terms.values import frozen

_NUMBER = re.compile(r"-\d{1,5}$")  # of the second piece at a place and those after it


@frozen
class Due:
    """One piece with why it is due, and since when (an ISO day)."""

    entry: Entry
    why: str
    since: str

    @property
    def year(self) -> str:
        """The year in which it is due."""
        return self.since[:4]


@frozen
class Round:
    """What is due until a day, each in the order of the register; no piece is in both."""

    until: str
    inspect: tuple[Due, ...]
    replace: tuple[Due, ...]


def due_until(register: Register, until: str) -> Round:
    """What is to be inspected and replaced until a day, that day included.

    What is due for replacement is not inspected beforehand.
    """
    replaced = tuple(each for each in map(replacement, register.entries) if _by(each, until))
    ids = {each.entry.id for each in replaced}
    looked = (_inspection(entry) for entry in register.entries if entry.id not in ids)
    return Round(until, tuple(each for each in looked if _by(each, until)), replaced)


def replacement(entry: Entry) -> Due:
    """When a piece is due for replacement: since it was seen to be bad, or at its end of life."""
    if entry.needs_work:
        return Due(entry, entry.state, entry.inspected_on)
    return Due(entry, "end of expected life", entry.end_of_life)


def by_year(register: Register) -> Mapping[str, int]:
    """Pieces by the year in which they are due for replacement, no year between left out."""
    years = Counter(due.year for due in map(replacement, register.entries) if due.since)
    if not years:
        return {}
    first, last = int(min(years)), int(max(years))
    return {str(year): years[str(year)] for year in range(first, last + 1)}


def neighbors(dues: Iterable[Due]) -> Iterator[tuple[Due, ...]]:
    """Pieces of one marker at one place that are due alike, together; the order is kept."""
    for _, same in groupby(dues, _alike):
        yield tuple(same)


def ids_text(dues: Sequence[Due]) -> str:
    """``K7M2Q9D, -2, -3``: the ids of neighbors, what they share said once."""
    texts: list[str] = []
    before = ""
    for due in dues:
        base = _NUMBER.sub("", due.entry.id)
        texts.append(due.entry.id.removeprefix(base if base == before else "") or due.entry.id)
        before = base
    return ", ".join(texts)


def _alike(due: Due) -> tuple[str, ...]:
    entry = due.entry
    return entry.area, entry.line_or_tag, entry.position, entry.marker, due.why, due.since


def _inspection(entry: Entry) -> Due:
    why = "never inspected" if not entry.inspected_on else "inspection"
    if entry.state == "hidden":
        why = "hidden at the last inspection"
    return Due(entry, why, entry.next_inspection or "0000-01-01")


def _by(due: Due, until: str) -> bool:
    return bool(due.since) and due.since <= until
