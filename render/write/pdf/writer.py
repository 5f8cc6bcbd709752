"""Turns a document into bytes: pages as they come, and every symbol when it is first placed."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from functools import lru_cache

from layouts.drawing.document import Document, Item, Layer, Page, Placement, Step, Symbol
from layouts.drawing.inks import Ink
from layouts.terms.errors import OutputError
from layouts.terms.values import frozen
from render.write.pdf import xmp
from render.write.pdf.content import (
    PAGE_STEPS_PER_MM,
    SYMBOL_STEPS_PER_MM,
    Needs,
    TextUse,
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
    """A PDF that is written page by page; nothing that a page draws is kept.

    ``document`` gives everything but the pages. Its symbols may come and go between them, as long
    as what a name means stays the same.
    """

    def __init__(self, document: Document, press: Press | None = None) -> None:
        self._document, self._press = document, press or Press()
        self._faults = list(press_faults(self._press))
        self._judge = Writable(document.symbols)
        profile = self._press.profile
        about = xmp.facts(document.title, document.id, document.date, profile is not None)
        self._file = File(about)
        self._plates = Plates(self._press)
        self._symbols = _Symbols(document.symbols, self._plates, self._file)
        self._layers = _Layers(self._file, self._plates, self._symbols)
        self._begun = False

    def page(self, page: Page) -> None:
        """Write a page, unless it or one before it has a fault.

        Raises:
            OutputError: an ink has two definitions, or a step's is used by another or by artwork.
        """
        self._begun = True
        self._faults += self._judge.page_faults(page)
        if not self._faults:
            layers = self._layers.of(page)
            tags = [each.tag for each in layers if each.tag]
            self._file.page(page, [(each.content, each.needs) for each in layers], tags)

    def save(self) -> bytes:
        """The whole file.

        Raises:
            OutputError: a page contradicts itself or the press; every fault is named.
        """
        if not self._begun and not self._faults:
            self._faults.append("the document has no page; give at least one")
        if self._faults:
            raise OutputError("; ".join(self._faults))
        file, fonts = self._file, self._symbols.fonts.used()
        self._symbols.draw_glyphs()
        file.plates(self._plates)  # drawing has named all plates by now
        file.fonts(fonts)
        for tag, (title, step) in self._layers.groups():
            file.group(tag, title, step)
        if self._document.full_size:
            file.keep_size()
        if fonts:
            file.for_readers()
        if self._press.profile:
            file.intent(self._press.profile)
        return file.save()


@frozen
class _DrawnLayer:
    """A layer in the file: its content's object, what that needs, and the tag of its group."""

    content: int
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
        tag, known = "", self._symbols
        new = known.new_among(layer.items)
        inks = [item.ink for item in layer.items if item.ink is not None]
        self._plates.add((*inks, *known.inks(new)), (layer.step,) if layer.step else ())
        known.draw(new)
        if layer.step:
            key = (layer.name, layer.step)
            tag = self._groups.setdefault(key, f"L{len(self._groups)}")
        stream = layer_stream(layer, self._plates, known.uses, known.texts, self._outlines, tag)
        return _DrawnLayer(self._file.layer(stream), stream.needs, tag)


class _Symbols:
    """The forms of what pages place, each written when it is first placed.

    A symbol that is placed larger later is drawn again in finer steps.
    """

    def __init__(self, symbols: Mapping[str, Symbol], plates: Plates, file: File) -> None:
        self._symbols, self._plates, self._file = symbols, plates, file
        self._letters = Letters()
        self._count = 0
        self.fonts = Fonts()
        self.texts: dict[str, TextUse] = {}
        self.uses: dict[str, Use] = {}

    def new_among(self, items: Iterable[Item]) -> dict[str, float]:
        """The symbols to draw for these items, each with its steps a millimeter."""
        new: dict[str, float] = {}
        for item in items:
            if not isinstance(item, Placement) or item.symbol in self.texts:
                continue
            wording = self._symbols[item.symbol].wording
            if wording is None:
                self._enlarge(item, 1.0, new)
            else:
                self.texts[item.symbol] = self.fonts.text(wording)
        for name in tuple(new):
            for item in self._symbols[name].placed:
                self._enlarge(item, new[name] / SYMBOL_STEPS_PER_MM, new)
        return new

    def _enlarge(self, item: Placement, scale: float, new: dict[str, float]) -> None:
        """Note a symbol as new if its form is missing or too coarse for the placement."""
        at, known = item.at, self.uses.get(item.symbol)
        steps = _steps_at(scale * at.a, scale * at.b, scale * at.c, scale * at.d)
        if steps > new.get(item.symbol, known.steps_per_mm if known else 0.0):
            new[item.symbol] = steps

    def inks(self, names: Iterable[str]) -> Iterator[Ink]:
        """The inks of the symbols' own shapes."""
        for name in names:
            yield from (shape.ink for shape in self._symbols[name].shapes if shape.ink is not None)

    def draw(self, new: Mapping[str, float]) -> None:
        """Write the forms of new symbols, whose inks have plates."""
        for name, steps in new.items():
            self.uses[name] = Use.of(self._symbols[name], f"S{self._count}", steps, self._symbols)
            self._count += 1
        for name, steps in new.items():
            form = symbol_form(self._symbols[name], self._plates, steps, self.uses, self._letters)
            self._file.symbol(self.uses[name].name, form)

    def draw_glyphs(self) -> None:
        """Write the glyphs of all lettering so far, which forms have asked for by name."""
        for name, glyph in self._letters.glyphs():
            self._file.symbol(name, glyph_form(glyph))


@lru_cache(maxsize=4096)  # most placements have one of a few scales
def _steps_at(a: float, b: float, c: float, d: float) -> float:
    """Steps a millimeter of a symbol placed so: at most a micrometer on the page."""
    largest = max(math.hypot(a, b), math.hypot(c, d))
    return SYMBOL_STEPS_PER_MM * 10.0 ** math.ceil(math.log10(largest) - 1e-9)
