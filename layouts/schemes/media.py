"""Media and their names: NH3, R-717 and anhydrous ammonia are one medium. Pressures in psig."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from functools import lru_cache

from layouts.schemes.rows import Faults, Row, Table
from layouts.terms.errors import InputError
from layouts.terms.values import frozen

_SIGNS = re.compile(r"[\s\-‐‑–_.°]+")
_AMOUNT = re.compile(r"[+\-−–]?\d+(?:\.\d+)?\s*(?:%|°?[FC])?")
_LONGEST_NAME = 5  # words


@frozen
class Medium:
    """One medium: its word on a marker, and the names that lists use for it.

    ``like`` is the contents whose color it takes where a scheme does not list it, empty where
    it is like nothing else. ``refrigerant`` is its ISO 817 number; ``freezes_f`` is None for a
    mixture and for what does not freeze in a plant. ``vessel_names`` is true where a machine
    named after the medium holds it: a glycol pump, but no oil separator.
    """

    key: str
    word: str
    names: tuple[str, ...]
    like: str
    cas: str
    refrigerant: str
    psig: tuple[float, float]
    freezes_f: float | None
    vessel_names: bool
    source: str
    status: str

    @property
    def spellings(self) -> tuple[str, ...]:
        """Its word and every other name, upper case, its own numbers included."""
        cas = (f"CAS {self.cas}", self.cas) if self.cas else ()
        numbers = (self.refrigerant, *cas) if self.refrigerant else cas
        return (self.word, *self.names, *numbers)


@frozen
class NamedMedium:
    """A medium found in a text, with the words before and after its name."""

    medium: Medium
    before: str
    name: str
    after: str

    def with_word(self, word: str) -> str:
        """The text with another word in place of the name."""
        return " ".join(part for part in (self.before, word, self.after) if part)


@frozen
class Media:
    """Every medium by every name of it."""

    media: tuple[Medium, ...]
    by_name: Mapping[str, Medium]
    qualifiers: frozenset[str]

    def find(self, text: str) -> NamedMedium | None:
        """The medium that a text names, beside words such as SUPPLY or 20 F; None for others.

        The longest name wins: CHILLED WATER is not WATER that is chilled.
        """
        words = plain_words(text).split()
        for length in range(min(len(words), _LONGEST_NAME), 0, -1):
            for start in range(len(words) - length + 1):
                name = " ".join(words[start : start + length])
                medium = self.by_name.get(squeeze_name(name))
                rest = [*words[:start], *words[start + length :]]
                if medium is not None and all(map(self._qualifies, rest)):
                    before, after = words[:start], words[start + length :]
                    return NamedMedium(medium, " ".join(before), name, " ".join(after))
        return None

    def _qualifies(self, word: str) -> bool:
        return word.strip("()") in self.qualifiers or bool(_AMOUNT.fullmatch(word.strip("()")))


@lru_cache(maxsize=4096)  # contents and names are few
def plain_words(text: str) -> str:
    """Upper case and single spaces, subscript digits as plain ones: CO₂ is CO2."""
    return " ".join(unicodedata.normalize("NFKC", text).upper().split())


@lru_cache(maxsize=4096)
def squeeze_name(name: str) -> str:
    """A name without the signs in which its spellings differ: R-717, R 717 and R717."""
    return _SIGNS.sub("", plain_words(name))


def build_media(values: Table, origin: str) -> Media:
    """The media that the tables describe. Raises ``InputError`` with every fault."""
    faults = Faults(origin, "media")
    top = Row(values, "", faults)
    top.child("sources")
    words = top.child("qualifiers")
    qualifiers = frozenset(words.texts("words", needed=True))
    words.source()
    words.status()
    words.close()
    media = tuple(_medium(row) for row in top.children("media", "key"))
    by_name: dict[str, Medium] = {}
    for medium in media:
        for name in medium.spellings:
            first = by_name.setdefault(squeeze_name(name), medium)
            if first is not medium:
                what = f"{name!r} is a name of {first.key} and of {medium.key}"
                top.fault("duplicate", "media", what, "keep it with one of them")
    top.close()
    if faults.found:
        raise InputError(faults.found)
    return Media(media, by_name, qualifiers)


def _medium(row: Row) -> Medium:
    low, high = row.numbers("psig", 2)
    medium = Medium(
        key=row.text("key"),
        word=row.text("word"),
        names=row.texts("names"),
        like=row.text("like", ""),
        cas=row.text("cas", ""),
        refrigerant=row.text("refrigerant", ""),
        psig=(low, high),
        freezes_f=row.number("freezes_f") if row.has("freezes_f") else None,
        vessel_names=row.flag("vessel_names", False),
        source=row.source(),
        status=row.status(),
    )
    if low >= high:
        row.fault("value", "psig", "the range ends before it starts", "write [low, high]")
    row.close()
    return medium
