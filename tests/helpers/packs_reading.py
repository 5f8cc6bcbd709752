"""Text of a document from where its glyphs stand: quick, for pages that OCR has proved legible."""

from __future__ import annotations

import re
from collections.abc import Callable
from itertools import pairwise

from layouts.drawing.document import Document, Page, Placement


def letters(page: Page, wanted: Callable[[Placement], bool] = lambda _: True) -> str:
    """The text of a page in the order in which it is drawn, without any blank.

    The symbol of a glyph ends with its character's code point, that of a word or a line that is
    set often with the word or the line. ``wanted`` picks what is placed.
    """
    return "".join(
        squeezed(_spelled(item.symbol))
        for layer in page.layers
        for item in layer.items
        if isinstance(item, Placement) and item.symbol[:2] in ("g-", "w-", "l-") and wanted(item)
    )


def _spelled(symbol: str) -> str:
    if symbol.startswith("g-"):
        return chr(int(symbol.rsplit("-")[-1], 16))
    return symbol.split("-", 2)[2]


def all_letters(document: Document, wanted: Callable[[Placement], bool] = lambda _: True) -> str:
    """The text of all pages, without any blank."""
    return "".join(letters(page, wanted) for page in document.pages)


def squeezed(text: str) -> str:
    """The text without its blanks."""
    return "".join(text.split())


def runs(document: Document) -> list[str]:
    """The text in runs: one typeface on one line, ended by a jump back or by a box to tick.

    A run begins with the boxes that stand before it.
    """
    found: list[str] = []
    before: tuple[object, ...] = ()
    x = 0.0
    for page in document.pages:
        for item in (item for layer in page.layers for item in layer.items):
            if not isinstance(item, Placement) or item.symbol[:2] not in ("g-", "w-", "l-", "ti"):
                continue
            ticked = item.symbol == "tick"
            key = (page.id, item.at.f, item.at.a, "" if ticked else item.symbol.split("-")[1])
            if key != before or item.at.e < x or ticked:
                found.append("")
            found[-1] += TICK if ticked else squeezed(_spelled(item.symbol))
            before, x = key, item.at.e
    return found


TICK = "\N{BALLOT BOX}"


def numbers(document: Document) -> list[int]:
    """The numbers of positions in a pack, in the order in which they stand."""
    found = runs(document)
    return [int(run) for run, after in pairwise(found) if after == TICK and run.isdecimal()]


def list_rows(document: Document) -> list[int]:
    """The row of the list beside each position of a pack that has one."""
    rows = (re.fullmatch(r"(?:\d+pc)?row(\d+)", run) for run in runs(document))
    return [int(row[1]) for row in rows if row]


def boxes(document: Document) -> int:
    """The boxes to tick, those that stand for many pieces counted as their pieces."""
    found = [*runs(document), ""]
    total = 0
    for before, run, after in zip(["", *found], found, [*found[1:], ""], strict=False):
        if run != TICK:
            continue
        many = re.match(r"(\d+)pc", after) if before != TICK else None
        total += int(many[1]) if many else 1
    return total
