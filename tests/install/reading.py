"""Text of a document from where its glyphs stand: quick, for pages that OCR has proved legible."""

from __future__ import annotations

from collections.abc import Callable

from layouts.drawing import Document, Page, Placement


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
