"""A surveyor's record of a marker: words for its condition, and everything else noted."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import field
from enum import StrEnum

from layouts.terms.findings import Place
from layouts.terms.synonyms import nearest, show_value
from layouts.terms.units import UnitError, parse_length
from layouts.terms.values import frozen


class Seen(StrEnum):
    """What is seen at the place of a piece."""

    PRESENT = "present"
    MISSING = "missing"
    WRONG_WORD = "wrong word"
    WRONG_ARROW = "wrong arrow"
    FADED = "faded"
    TOO_SMALL = "too small"
    HIDDEN = "hidden"
    OTHER = "other marker"

    @property
    def help(self) -> str:
        """What it means, in a few words."""
        return _HELP[self]

    @property
    def alone(self) -> bool:
        """Whether nothing else can be true of the same piece."""
        return self in (Seen.PRESENT, Seen.MISSING, Seen.HIDDEN)


_HELP: Mapping[Seen, str] = {
    Seen.PRESENT: "hangs as pictured, and reads well",
    Seen.MISSING: "nothing hangs there",
    Seen.WRONG_WORD: "the words are not those of the picture",
    Seen.WRONG_ARROW: "the arrow points the other way, or is missing",
    Seen.FADED: "words or colors can hardly be read",
    Seen.TOO_SMALL: "cannot be read from where people stand",
    Seen.HIDDEN: "behind ice, insulation or equipment",
    Seen.OTHER: "a marker of another kind or convention",
}
# Other words that people write; common practice, no source.
_SAID: Mapping[str, Seen] = {
    **{str(seen): seen for seen in Seen},
    **dict.fromkeys(("ok", "good", "there", "yes", "in place"), Seen.PRESENT),
    **dict.fromkeys(("gone", "none", "no marker", "nothing", "no"), Seen.MISSING),
    **dict.fromkeys(("wrong words", "wrong text", "wrong legend"), Seen.WRONG_WORD),
    **dict.fromkeys(("wrong arrows", "wrong flow", "no arrow"), Seen.WRONG_ARROW),
    **dict.fromkeys(("fade", "worn", "illegible", "unreadable", "peeling"), Seen.FADED),
    **dict.fromkeys(("small",), Seen.TOO_SMALL),
    **dict.fromkeys(
        ("hidden by ice", "hidden by insulation", "ice", "iced", "insulated over"), Seen.HIDDEN
    ),
    **dict.fromkeys(("other", "another marker", "other marker found"), Seen.OTHER),
}
_PARTED = re.compile(r"\s*(?:[,;/+&]|\band\b)\s*")


class SeenError(ValueError):
    """Words that say nothing about a marker; the message says what would be right."""


def read_seen(text: str) -> tuple[Seen, ...]:
    """What a cell says was seen: ``faded, too small``; nothing for an empty one.

    Raises:
        SeenError: a word is not known, or two of them contradict each other.
    """
    found: list[Seen] = []
    for part in _PARTED.split(" ".join(text.casefold().split())):
        if not part:
            continue
        seen = _SAID.get(part)
        if seen is None:
            near = nearest(part, _SAID)
            hint = f"did you mean {_SAID[near]}? It takes " if near else "write "
            raise SeenError(f"{part!r} is not a word for what is seen; {hint}{', '.join(Seen)}")
        if seen not in found:
            found.append(seen)
    against = [seen for seen in found if seen.alone]
    if against and len(found) > 1:
        what = f"{' and '.join(found)} cannot both be true of one marker"
        raise SeenError(f"{what}; write {against[0]} only, or what else is seen")
    return tuple(found)


def read_circumference(text: str) -> float:
    """Millimeters of a measured circumference; a number by itself is in inches.

    Raises:
        UnitError: it is not a length, or it is zero; the message says what would be right.
    """
    girth = parse_length(text)
    if girth <= 0:
        what = f"{show_value(text)} is not a circumference"
        raise UnitError(f"{what}; write it in inches, as in 20.5")
    return girth


@frozen
class Noted:
    """Whatever else a row says: what the marker reads, a note, a photo, by whom and when.

    ``girth`` is the measured circumference in mm; ``place`` is the row that says so.
    """

    reads: str = ""
    girth: float | None = None
    note: str = ""
    photo: str = ""
    by: str = ""
    date: str = ""
    place: Place = field(default_factory=Place)

    @property
    def signed(self) -> str:
        """``A. Reader, 2026-03-01``."""
        return ", ".join(part for part in (self.by, self.date) if part)

    @property
    def texts(self) -> tuple[str, ...]:
        """What it says beside its words, for people."""
        said = (
            f"reads {self.reads!r}" if self.reads else "",
            self.note,
            f"photo {self.photo}" if self.photo else "",
        )
        return tuple(part for part in said if part)


@frozen
class Sighting:
    """One row about a piece of the list."""

    piece: str
    seen: tuple[Seen, ...]
    noted: Noted


@frozen
class Stray:
    """An installed marker that is not in any list, as far as it was recorded."""

    area: str
    thing: str
    location: str
    from_: str
    to: str
    seen: tuple[Seen, ...]
    noted: Noted
