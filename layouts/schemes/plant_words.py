"""Scheme entries by contents: cutoffs, open questions, and words of a second language."""

from __future__ import annotations

from layouts.schemes.model import Cutoff, SecondLanguage, SecondWord, Unsettled
from layouts.schemes.rows import Row


def words_of(row: Row, key: str) -> tuple[str, ...]:
    """A list of contents as they are compared: upper case, single spaces."""
    return tuple(" ".join(text.upper().split()) for text in row.texts(key))


def read_cutoffs(top: Row) -> tuple[Cutoff, ...]:
    """The cutoff pressures of contents other than the scheme's own."""
    cutoffs: list[Cutoff] = []
    for row in top.children("cutoffs", "key"):
        row.text("key", "")
        cutoff = Cutoff(words_of(row, "contents"), row.number("psig"), row.source())
        if not cutoff.contents:
            what = "the cutoff names no contents"
            row.fault("missing", "contents", what, 'write them, such as contents = ["CO2"]')
        for word in cutoff.contents:
            if any(word in other.contents for other in cutoffs):
                what = f"{word!r} has two cutoffs"
                row.fault("duplicate", "contents", what, "keep one of the rows")
        row.close()
        cutoffs.append(cutoff)
    return tuple(cutoffs)


def read_unsettled(row: Row) -> Unsettled:
    """Contents that the scheme leaves to the plant."""
    row.text("key")
    unsettled = Unsettled(
        words_of(row, "contents"), row.text("what"), row.text("right"), row.source()
    )
    row.close()
    return unsettled


def read_second(row: Row) -> SecondLanguage:
    """The second language of the legends: built-in words, overridden by the plant's own."""
    language = row.text("language")
    words: dict[str, SecondWord] = {}
    if row.has("known"):
        known = row.child("known")
        words = _by_legend(known.child("words"), known)
    if row.has("second") or not words:
        words |= _by_legend(row.child("second"), row)
    row.close()
    return SecondLanguage(language, words)


def _by_legend(table: Row, of: Row) -> dict[str, SecondWord]:
    """The words by their legend; source and status are those of the row around the table."""
    source, status = of.source(), of.status()
    return {
        " ".join(name.upper().split()): SecondWord(table.text(name).upper(), source, status)
        for name in table.names()
    }
