"""Finds everything that makes a document impossible to write before anything is drawn."""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping

from layouts.drawing import Rect
from layouts.drawing.document import Document, Fill, Layer, Page, Placement, Symbol
from layouts.sheets.stock import LONGEST_FRAME
from render.write.pdf.content import inherits
from render.write.pdf.press import Press

_SLACK_MM = 1e-6


def document_faults(document: Document, press: Press) -> list[str]:
    """Every fault as a sentence without a period; empty if the document can be written."""
    faults = [] if document.pages else ["the document has no page; give at least one"]
    faults += _press_faults(press)
    faults += _symbol_faults(document.symbols)
    inheriting = {name for name, symbol in document.symbols.items() if inherits(symbol)}
    seen: set[int] = set()
    for page in document.pages:
        faults += _page_faults(page)
        for layer in page.layers:
            if id(layer) not in seen:
                seen.add(id(layer))
                faults += [
                    f"page {page.id}, layer {layer.name}: {fault}"
                    for fault in _layer_faults(layer, document.symbols, inheriting)
                ]
    return faults


def _press_faults(press: Press) -> Iterator[str]:
    if press.process and (press.profile is None or press.profile.channels != 4):
        yield "inks can be converted to process colors only with a CMYK printer profile"


def _page_faults(page: Page) -> Iterator[str]:
    media = Rect(0, 0, page.size.width, page.size.height)
    if max(page.size.width, page.size.height) > LONGEST_FRAME + _SLACK_MM:
        yield f"page {page.id}: no side of a PDF page is longer than {LONGEST_FRAME:g} mm"
    if not media.contains(page.bleed, _SLACK_MM):
        yield f"page {page.id}: the bleed lies outside the page; enlarge the page"
    if not page.bleed.contains(page.trim, _SLACK_MM):
        yield f"page {page.id}: the trim lies outside the bleed; enlarge the bleed"


def _symbol_faults(symbols: Mapping[str, Symbol]) -> Iterator[str]:
    for name, symbol in symbols.items():
        for item in symbol.placed:
            inner = symbols.get(item.symbol)
            if inner is None:
                yield f"symbol {item.symbol} stands within {name} but is not in the document"
            elif inner.placed:
                yield f"symbol {item.symbol} stands within {name} and places others; draw it flat"


def _layer_faults(
    layer: Layer, symbols: Container[str], inheriting: Container[str]
) -> Iterator[str]:
    cut = layer.step is not None and layer.step.is_cut
    for item in layer.items:
        if isinstance(item, Placement):
            if item.symbol not in symbols:
                yield f"symbol {item.symbol} is placed but not in the document"
            elif cut:
                yield f"symbol {item.symbol} is placed among cut contours; draw its contours flat"
            elif item.at.determinant == 0:
                yield f"symbol {item.symbol} is placed with no extent; scale it by more than 0"
            elif layer.step is None and item.ink is None and item.symbol in inheriting:
                yield f"symbol {item.symbol} takes its placement's ink, and its placement has none"
        elif not item.path.count:
            yield "a shape has no contour; leave it out"
        elif cut and isinstance(item, Fill):
            yield "a cut contour is filled; stroke it"
        elif layer.step is None and item.ink is None:
            yield "a shape has no ink; only shapes of a symbol may take that of their placement"
