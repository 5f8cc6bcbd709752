"""Check that surveyors agree: the latest look counts, and one day allows one answer."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from layouts.schemes.loader import load_limits
from layouts.survey.sightings import Sighting
from layouts.terms.findings import Finding, Severity
from layouts.terms.units import inches


def by_piece(sightings: Iterable[Sighting]) -> Mapping[str, tuple[Sighting, ...]]:
    """Every row about each piece, the latest first, then by file and row."""
    found: dict[str, list[Sighting]] = defaultdict(list)
    for each in sightings:
        found[each.piece].append(each)
    return {piece: tuple(sorted(rows, key=_latest_first)) for piece, rows in found.items()}


def latest(rows: Iterable[Sighting]) -> tuple[Sighting, ...]:
    """The rows of the last day on which the piece was looked at; of all, where none was seen."""
    every = tuple(rows)
    looked = [each for each in every if each.seen] or list(every)
    day = max((each.noted.date for each in looked), default="")
    return tuple(each for each in looked if each.noted.date == day)


def contradictions(sightings: Iterable[Sighting]) -> Iterator[Finding]:
    """Pieces of which two rows of one day say different things; each names both cells."""
    for rows in by_piece(sightings).values():
        first, *others = latest(rows)
        for other in others:
            if set(other.seen) != set(first.seen):
                yield _against(first, other, "found", _words(first), _words(other))
            if _apart(first.noted.girth, other.noted.girth):
                texts = (inches(each.noted.girth or 0.0) for each in (first, other))
                yield _against(first, other, "circumference_in", *texts)


def differs(measured: float, listed: float) -> bool:
    """Whether a measured length is further from the list's than two tapes would be (as a share)."""
    return abs(measured - listed) > load_limits().diameter.apart * listed


def _apart(one: float | None, other: float | None) -> bool:
    return one is not None and other is not None and differs(one, other)


def _words(sighting: Sighting) -> str:
    return ", ".join(sighting.seen) or "nothing"


def _against(one: Sighting, other: Sighting, column: str, first: str, second: str) -> Finding:
    here, there = (replace(each.noted.place, field=column) for each in (other, one))
    return Finding(
        "survey-contradiction",
        Severity.UNREADABLE,
        f"{other.noted.by} found {second} at {other.piece}, and {one.noted.by} found {first} "
        f"there on the same day ({there.text()})",
        "look again, and correct the row that is wrong",
        place=here,
    )


def _latest_first(each: Sighting) -> tuple[object, ...]:
    place = each.noted.place
    return _backward(each.noted.date), place.file, place.sheet, place.row or 0


def _backward(date: str) -> tuple[int, ...]:
    return tuple(-ord(sign) for sign in date)
