"""The contents of a line: one medium under any of its names, and the scheme that colors it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import TypeVar

from layouts.plan.model import Notes
from layouts.schemes.loader import load_media, other_scheme
from layouts.schemes.media import Medium, NamedMedium, plain_words, squeeze_name
from layouts.schemes.model import Pairing, Scheme, Unsettled
from layouts.terms.findings import Severity
from layouts.terms.values import frozen

# Words that the state band already says, so that the contents need not repeat them.
_STATE_WORDS = frozenset({"LIQUID", "VAPOR", "GAS"})
_Found = TypeVar("_Found")
_PERCENT = re.compile(r"(\d+(?:\.\d+)?)\s*(?:%|PERCENT)")
_STATED_F = re.compile(r"([+\-−–]?\d+(?:\.\d+)?)\s*°?\s*F\b")


@frozen
class Carried:
    """The contents of a line or a machine.

    ``written`` is what the list says and ``word`` what a marker prints, both upper case;
    ``scheme`` is the one that colors it: the marker's own, or the one it leaves such contents
    to. ``own`` is true for the contents that the scheme is made for.
    """

    written: str
    word: str
    scheme: Scheme
    own: bool
    medium: Medium | None = None
    pairing: Pairing | None = None
    unsettled: Unsettled | None = None

    @property
    def renamed(self) -> bool:
        """Whether the marker prints another name than the list has."""
        return self.written != self.word

    @property
    def key(self) -> str:
        """The key that identifies a medium: NH3 and AMMONIA share one."""
        return self.medium.key if self.medium is not None else self.word

    @property
    def stated_f(self) -> float | None:
        """The temperature that the contents name, as in GLYCOL SUPPLY 20 F."""
        found = _STATED_F.search(self.written)
        return float(found[1].replace("−", "-").replace("–", "-")) if found else None

    @property
    def percent(self) -> float | None:
        """The share of the mass that the contents name, as in PG 30 %."""
        found = _PERCENT.search(self.written)
        return float(found[1]) if found else None


def carried_by(contents: str, scheme: Scheme, schemes: Mapping[str, Scheme]) -> Carried:
    """The contents by the scheme, or by the one that it leaves other contents to.

    Empty contents are the scheme's own. ``schemes`` are the order's, the plant's choices of
    color in them.
    """
    written = plain_words(contents) or scheme.contents
    found = _in_scheme(written, scheme)
    if found.pairing is not None or found.unsettled is not None or not scheme.others:
        return found
    other = schemes.get(scheme.others) or other_scheme(scheme)
    elsewhere = _in_scheme(written, other) if other is not None else found
    known = elsewhere.pairing is not None or elsewhere.unsettled is not None
    return elsewhere if known else found


def _in_scheme(written: str, scheme: Scheme) -> Carried:
    named = load_media().find(written)
    medium = named.medium if named is not None else None
    home = load_media().find(scheme.contents)
    own = written == scheme.contents or (home is not None and medium is home.medium)
    word = written if scheme.written_contents else _word(written, named, scheme, own)
    names = [written, word, *(medium.spellings if medium is not None else ())]
    like = [medium.like] if medium is not None and medium.like else []
    pairing = _first(scheme.pairing_for(name) for name in names)
    unsettled = None
    if pairing is None:
        unsettled = _first(scheme.unsettled_for(name) for name in names)
    if pairing is None and unsettled is None:
        pairing = _first(scheme.pairing_for(name) for name in like)
        unsettled = _first(scheme.unsettled_for(name) for name in like) if not pairing else None
    return Carried(written, word, scheme, own, medium, pairing, unsettled)


def _first(found: Iterable[_Found | None]) -> _Found | None:
    return next((each for each in found if each is not None), None)


def _word(written: str, named: NamedMedium | None, scheme: Scheme, own: bool) -> str:
    """The words that print: the scheme's own for its contents, else the medium's."""
    if named is None:
        return written
    if not own:
        kept = squeeze_name(named.name) == squeeze_name(named.medium.word)
        return written if kept else named.with_word(named.medium.word)
    beside = {*named.before.split(), *named.after.split()}
    if scheme.states and beside <= _STATE_WORDS:
        return scheme.contents
    return named.with_word(scheme.contents)


def pairing_of(carried: Carried, notes: Notes) -> Pairing | None:
    """Colors for the contents, or a finding that the scheme has none for them."""
    scheme, unsettled = carried.scheme, carried.unsettled
    if unsettled is not None:
        notes.find(
            Severity.UNREADABLE,
            "contents-unsettled",
            f"{scheme.title} leaves the color for {carried.written!r} to the plant: "
            f"{unsettled.what}",
            unsettled.right,
            unsettled.source,
            field="contents",
        )
        return None
    pairing = carried.pairing
    if pairing is None:
        words = sorted(word for each in scheme.pairings for word in each.contents)
        carries = ", ".join(words[:8])
        notes.find(
            Severity.UNREADABLE,
            "contents-unknown",
            f"{scheme.title} has no color for {carried.written!r}",
            f"it carries {carries}; correct the contents, or choose a color for them on the sheet "
            "Order: color, contents, purple (or another)",
            field="contents",
        )
        return None
    notes.reason(
        "colors", f"{pairing.meaning}: {pairing.legend} on {pairing.field}", pairing.source
    )
    if carried.renamed:
        source = carried.medium.source if carried.medium is not None else ""
        notes.reason("contents", f"{carried.written} is printed as {carried.word}", source)
    return pairing


def legend_keeps_contents(legend: str, carried: Carried, notes: Notes) -> None:
    """A legend that drops the word of the scheme's own contents is a warning."""
    scheme, words = carried.scheme, plain_words(legend)
    if not words or not carried.own or scheme.written_contents:
        return
    if f" {scheme.contents} " in f" {words} ":
        return
    notes.find(
        Severity.WARNING,
        "legend-without-contents",
        f"the legend {words!r} does not say {scheme.contents}, the word that this convention asks "
        "for first",
        f"leave the legend empty, or write {scheme.contents} in it",
        scheme.standard,
        field="legend",
    )
