"""Turns a document into bytes: draws pages as they come, then every symbol in use once."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from pikepdf import Object

from layouts.drawing import IDENTITY
from layouts.drawing.document import Document, Item, Layer, Page, Placement, Step, Symbol
from layouts.drawing.inks import Ink
from layouts.terms.errors import OutputError
from render.write.pdf import xmp
from render.write.pdf.content import (
    PAGE_STEPS_PER_MM,
    Needs,
    SymbolForm,
    TextUse,
    Turn,
    Use,
    glyph_form,
    layer_stream,
    symbol_form,
)
from render.write.pdf.embedding import Fonts
from render.write.pdf.letters import Letters
from render.write.pdf.objects import File
from render.write.pdf.paths import Outlines
from render.write.pdf.press import Press
from render.write.pdf.separations import Plates
from render.write.pdf.writable import Writable, press_faults


def write(document: Document, press: Press | None = None) -> bytes:
    """The document as PDF: PDF/X-4 with a profile, plain PDF 1.6 without.

    Symbols are clipped to their ``bounds`` (grown by the widest stroke), so these must contain
    everything drawn, bleed included.

    Raises:
        OutputError: the document contradicts itself or the press; every fault is named.
    """
    writer = Writer(document, press)
    for page in document.pages:
        writer.page(page)
    return writer.save()


class Writer:
    """A PDF that is written page by page; only what a page's layers draw is kept of it.

    ``document`` gives everything but the pages. Its symbols may grow between them, as long as
    what a name means stays the same.
    """

    def __init__(self, document: Document, press: Press | None = None) -> None:
        self._document, self._press = document, press or Press()
        self._faults = list(press_faults(self._press))
        self._judge = Writable(document.symbols)
        profile = self._press.profile
        about = xmp.facts(document.title, document.id, document.date, profile is not None)
        self._file = File(about)
        self._plates = Plates(self._press)
        self._symbols = _Symbols(document.symbols)
        self._layers = _Layers(self._file, self._plates, self._symbols)
        self._pages: list[tuple[Page, list[_DrawnLayer]]] = []

    def page(self, page: Page) -> None:
        """Draw a page, unless it or one before it has a fault.

        Raises:
            OutputError: an ink has two definitions, or a step's is used by another or by artwork.
        """
        self._faults += self._judge.page_faults(page)
        if not self._faults:
            drawn = self._layers.of(page)
            self._pages.append((replace(page, layers=(), texts=()), drawn))

    def save(self) -> bytes:
        """The whole file.

        Raises:
            OutputError: a page contradicts itself or the press; every fault is named.
        """
        if not self._pages and not self._faults:
            self._faults.append("the document has no page; give at least one")
        if self._faults:
            raise OutputError("; ".join(self._faults))
        file = self._file
        forms = self._symbols.forms(self._plates)
        file.plates(self._plates)  # drawing has named all plates by now
        file.fonts(self._symbols.fonts.used())
        file.symbols(forms)
        for tag, (title, step) in self._layers.groups():
            file.group(tag, title, step)
        for page, layers in self._pages:
            tags = [each.tag for each in layers if each.tag]
            file.page(page, [(each.content, each.needs) for each in layers], tags)
        if self._document.full_size:
            file.keep_size()
        if self._press.profile:
            file.intent(self._press.profile)
        return file.save()


@dataclass(frozen=True, slots=True)
class _DrawnLayer:
    """A layer in the file: its content, what that needs, and the tag of its group, if any."""

    content: Object
    needs: Needs
    tag: str


class _Layers:
    """Layers as they are drawn. A layer that pages in a row share is drawn once."""

    def __init__(self, file: File, plates: Plates, symbols: _Symbols) -> None:
        self._file, self._plates, self._symbols = file, plates, symbols
        self._outlines = Outlines(PAGE_STEPS_PER_MM)
        self._groups: dict[tuple[str, Step], str] = {}
        # The last page's layers are held, so that an identity means one of them.
        self._before: dict[int, tuple[Layer, _DrawnLayer]] = {}

    def of(self, page: Page) -> list[_DrawnLayer]:
        """Every layer of a page."""
        items = [item for layer in page.layers for item in layer.items]
        inks = [item.ink for item in items if item.ink is not None]
        inks += self._symbols.place(items)
        self._plates.add(inks, (layer.step for layer in page.layers if layer.step))
        now: dict[int, tuple[Layer, _DrawnLayer]] = {}
        for layer in page.layers:
            known = now.get(id(layer)) or self._before.get(id(layer))
            now[id(layer)] = known or (layer, self._draw(layer))
        self._before = now
        return [now[id(layer)][1] for layer in page.layers]

    def groups(self) -> list[tuple[str, tuple[str, Step]]]:
        """Tag, and layer name with step, of every optional content group."""
        return [(tag, key) for key, tag in self._groups.items()]

    def _draw(self, layer: Layer) -> _DrawnLayer:
        tag = ""
        if layer.step:
            key = (layer.name, layer.step)
            tag = self._groups.setdefault(key, f"L{len(self._groups)}")
        known = self._symbols
        stream = layer_stream(layer, self._plates, known.uses, known.texts, self._outlines, tag)
        return _DrawnLayer(self._file.layer(stream), stream.needs, tag)


class _Symbols:
    """The symbols that pages place: their names in the file, and how large each gets."""

    def __init__(self, symbols: Mapping[str, Symbol]) -> None:
        self._symbols = symbols
        self.fonts = Fonts()
        self.texts: dict[str, TextUse] = {}
        self.uses: dict[str, Use] = {}
        self._largest: dict[str, float] = {}
        self._seen: set[tuple[str, Turn]] = set()

    def place(self, items: Iterable[Item]) -> Iterator[Ink]:
        """Take note of all that is placed; the inks of what had not been placed before."""
        for item in items:
            if not isinstance(item, Placement) or item.symbol in self.texts:
                continue
            turn = (item.at.a, item.at.b, item.at.c, item.at.d)
            if (item.symbol, turn) in self._seen:
                continue
            self._seen.add((item.symbol, turn))
            wording = self._symbols[item.symbol].wording
            if wording is None:
                yield from self._enlarge(item.symbol, _largest_scale(turn))
            else:
                self.texts[item.symbol] = self.fonts.text(wording)

    def _enlarge(self, name: str, scale: float) -> Iterator[Ink]:
        self._largest[name] = max(scale, self._largest.get(name, 0.0))
        if name not in self.uses:
            placed = Placement(name, IDENTITY)
            self.uses[name] = Use.of(placed, f"S{len(self.uses)}", self._symbols)
            shapes = self._symbols[name].shapes
            yield from (shape.ink for shape in shapes if shape.ink is not None)

    def forms(self, plates: Plates) -> dict[str, SymbolForm]:
        """Every symbol and glyph in use as a form, by its name in the file."""
        for name in tuple(self._largest):
            for item in self._symbols[name].placed:
                turn = (item.at.a, item.at.b, item.at.c, item.at.d)
                scale = self._largest[name] * _largest_scale(turn)
                plates.add(self._enlarge(item.symbol, scale))
        letters = Letters()
        forms = {
            use.name: symbol_form(
                self._symbols[name], plates, self._largest[name], self.uses, letters
            )
            for name, use in self.uses.items()
        }
        return forms | {name: glyph_form(glyph) for name, glyph in letters.glyphs()}


def _largest_scale(turn: Turn) -> float:
    """The larger of the two scales of a placement."""
    a, b, c, d = turn
    return max(math.hypot(a, b), math.hypot(c, d))
