"""Text of a document from where its glyphs stand: quick, for pages that OCR has proved legible."""

from __future__ import annotations

from layouts.drawing import Document, Page, Placement


def letters(page: Page) -> str:
    """All lines of a page, top to bottom and left to right, without any blank.

    The symbol of a glyph ends with its character's code point.
    """
    glyphs = sorted(
        (round(item.at.f, 2), item.at.e, chr(int(item.symbol.rsplit("-")[-1], 16)))
        for layer in page.layers
        for item in layer.items
        if isinstance(item, Placement) and item.symbol.startswith("g-")
    )
    return "".join(char for _, _, char in glyphs)


def all_letters(document: Document) -> str:
    """The text of all pages, without any blank."""
    return "".join(letters(page) for page in document.pages)


def squeezed(text: str) -> str:
    """The text without its blanks."""
    return "".join(text.split())
