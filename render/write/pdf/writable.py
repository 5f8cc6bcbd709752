"""Finds everything that makes a page impossible to write before any of it is drawn."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from layouts.drawing import Rect
from layouts.drawing.document import Fill, Layer, Page, Placement, Symbol
from layouts.sheets.stock import LONGEST_FRAME
from render.write.pdf.content import inherits
from render.write.pdf.press import Press

_SLACK_MM = 1e-6


def press_faults(press: Press) -> Iterator[str]:
    """What a press asks for and its profile cannot give."""
    if press.process and (press.profile is None or press.profile.channels != 4):
        yield "inks can be converted to process colors only with a CMYK printer profile"


class Writable:
    """Judges pages one at a time; ``symbols`` may grow between them.

    Each fault is a sentence without a period. A layer that pages in a row share is judged once.
    """

    def __init__(self, symbols: Mapping[str, Symbol]) -> None:
        self._symbols = symbols
        self._sound: set[str] = set()
        self._before: tuple[Layer, ...] = ()

    def page_faults(self, page: Page) -> list[str]:
        """Every fault of a page and of the symbols that it is the first to place."""
        faults = list(_page_faults(page))
        seen = set(map(id, self._before))
        for layer in page.layers:
            if id(layer) not in seen:
                seen.add(id(layer))
                faults += self.layer_faults(layer, f"page {page.id}, ")
        self._before = page.layers
        return faults

    def layer_faults(self, layer: Layer, where: str = "") -> list[str]:
        """Every fault of a layer and of the symbols that it is the first to place."""
        faults = [
            f"{where}layer {layer.name}: {fault}" for fault in _layer_faults(layer, self._symbols)
        ]
        return [*faults, *self._faults_within(layer)]

    def _faults_within(self, layer: Layer) -> Iterator[str]:
        placed = {item.symbol for item in layer.items if isinstance(item, Placement)}
        for name in sorted(placed - self._sound):
            symbol = self._symbols.get(name)
            if symbol is not None and symbol.placed:
                self._sound.add(name)
                yield from _symbol_faults(name, self._symbols)


def _page_faults(page: Page) -> Iterator[str]:
    media = Rect(0, 0, page.size.width, page.size.height)
    if max(page.size.width, page.size.height) > LONGEST_FRAME + _SLACK_MM:
        yield f"page {page.id}: no side of a PDF page is longer than {LONGEST_FRAME:g} mm"
    if not media.contains(page.bleed, _SLACK_MM):
        yield f"page {page.id}: the bleed lies outside the page; enlarge the page"
    if not page.bleed.contains(page.trim, _SLACK_MM):
        yield f"page {page.id}: the trim lies outside the bleed; enlarge the bleed"


def _symbol_faults(name: str, symbols: Mapping[str, Symbol]) -> Iterator[str]:
    for item in symbols[name].placed:
        inner = symbols.get(item.symbol)
        if inner is None:
            yield f"symbol {item.symbol} stands within {name} but is not in the document"
        elif inner.placed:
            yield f"symbol {item.symbol} stands within {name} and places others; draw it flat"


def _layer_faults(layer: Layer, symbols: Mapping[str, Symbol]) -> Iterator[str]:
    cut = layer.step is not None and layer.step.is_cut
    for item in layer.items:
        if isinstance(item, Placement):
            if item.symbol not in symbols:
                yield f"symbol {item.symbol} is placed but not in the document"
            elif cut:
                yield f"symbol {item.symbol} is placed among cut contours; draw its contours flat"
            elif item.at.determinant == 0:
                yield f"symbol {item.symbol} is placed with no extent; scale it by more than 0"
            elif layer.step is None and item.ink is None and inherits(symbols[item.symbol]):
                yield f"symbol {item.symbol} takes its placement's ink, and its placement has none"
        elif item.path.is_empty:
            yield "a shape has no contour; leave it out"
        elif cut and isinstance(item, Fill):
            yield "a cut contour is filled; stroke it"
        elif layer.step is None and item.ink is None:
            yield "a shape has no ink; only shapes of a symbol may take that of their placement"
