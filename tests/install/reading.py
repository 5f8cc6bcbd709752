"""Text of a document from where its glyphs stand: quick, for pages that OCR has proved legible."""

from __future__ import annotations

from collections.abc import Callable

from layouts.drawing import Document, Page, Placement


def letters(page: Page, wanted: Callable[[Placement], bool] = lambda _: True) -> str:
    """The text of a page in the order in which it is drawn, without any blank.

    The symbol of a glyph ends with its character's code point. ``wanted`` picks glyphs.
    """
    return "".join(
        chr(int(item.symbol.rsplit("-")[-1], 16))
        for layer in page.layers
        for item in layer.items
        if isinstance(item, Placement) and item.symbol.startswith("g-") and wanted(item)
    )


def all_letters(document: Document, wanted: Callable[[Placement], bool] = lambda _: True) -> str:
    """The text of all pages, without any blank."""
    return "".join(letters(page, wanted) for page in document.pages)


def squeezed(text: str) -> str:
    """The text without its blanks."""
    return "".join(text.split())
