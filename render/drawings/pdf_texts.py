"""The text of a PDF's pages with its places, by pypdfium2: the one place that calls it."""

from __future__ import annotations

import ctypes
from collections.abc import Iterator
from pathlib import Path

import pypdfium2
import pypdfium2.raw as pdfium_c

from layouts.crosscheck.drawn import DrawnSheet, DrawnText
from render.drawings.title_block import number_and_revision
from render.drawings.unreadable import DrawingError

MOST_PAGES = 2_000
_MOST_TEXTS = 200_000  # on one page


def pdf_sheets(path: Path) -> Iterator[DrawnSheet]:
    """One sheet a page; a page without text has none.

    Raises:
        DrawingError: the file is broken or locked, or has more pages than anybody draws.
    """
    try:
        document = pypdfium2.PdfDocument(path)
    except pypdfium2.PdfiumError as error:
        raise DrawingError(f"cannot be opened as a PDF ({error})") from error
    try:
        count = len(document)
        if count > MOST_PAGES:
            raise DrawingError(f"has {count} pages; at most {MOST_PAGES} are read")
        for number in range(count):
            texts = tuple(_texts(document, number))
            called, revision = number_and_revision(each.text for each in texts)
            page = f"page {number + 1}" if count > 1 else ""
            name = ", ".join(part for part in (called, page) if part)
            yield DrawnSheet(path.name, name, revision, texts)
    finally:
        document.close()


def _texts(document: pypdfium2.PdfDocument, number: int) -> Iterator[DrawnText]:
    try:
        page = document[number]
        text_page = page.get_textpage()
    except pypdfium2.PdfiumError as error:
        raise DrawingError(f"has a page {number + 1} that cannot be read ({error})") from error
    for index in range(min(text_page.count_rects(), _MOST_TEXTS)):
        left, bottom, right, top = text_page.get_rect(index)
        text = _bounded(text_page, (left, top, right, bottom))
        if text.strip():
            yield DrawnText(" ".join(text.split()), left, bottom, top - bottom)


def _bounded(text_page: pypdfium2.PdfTextPage, box: tuple[float, float, float, float]) -> str:
    """The text in a box: left, top, right, bottom in points."""
    size = pdfium_c.FPDFText_GetBoundedText(text_page, *box, None, 0)
    if size <= 0:
        return ""
    buffer = (ctypes.c_ushort * (size + 1))()
    written = pdfium_c.FPDFText_GetBoundedText(text_page, *box, buffer, size)
    return bytes(buffer)[: 2 * written].decode("utf-16-le", "ignore").rstrip("\0")
