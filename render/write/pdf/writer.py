"""Turns a document into bytes: draws every symbol and layer once, then builds the file."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping

from layouts.drawing import IDENTITY, Path
from layouts.drawing.document import Document, Fill, Layer, Placement, Step, Symbol
from layouts.terms.errors import OutputError
from render.write.pdf import xmp
from render.write.pdf.content import (
    PAGE_STEPS_PER_MM,
    Stream,
    SymbolForm,
    Turn,
    Use,
    layer_stream,
    symbol_form,
)
from render.write.pdf.embedding import Fonts
from render.write.pdf.objects import File
from render.write.pdf.paths import Outlines
from render.write.pdf.press import Press
from render.write.pdf.separations import Plates
from render.write.pdf.writable import document_faults


def write(document: Document, press: Press | None = None) -> bytes:
    """The document as PDF: PDF/X-4 with a profile, plain PDF 1.6 without.

    Symbols are clipped to their ``bounds`` (grown by the widest stroke), so these must contain
    everything drawn, bleed included.

    Raises:
        OutputError: the document contradicts itself or the press; every fault is named.
    """
    press = press or Press()
    faults = document_faults(document, press)
    if faults:
        raise OutputError("; ".join(faults))
    plates = Plates(document, press)
    about = xmp.facts(document.title, document.id, document.date, press.profile is not None)
    drawn = _Drawn(document, plates)
    layers = [[drawn.layer(layer) for layer in page.layers] for page in document.pages]
    forms = {
        name: symbol_form(
            document.symbols[symbol], plates, drawn.largest[symbol], drawn.uses, drawn.glyph_uses
        )
        for name, symbol in drawn.symbols_in_use()
    }
    forms |= {
        drawn.glyph_uses[id(glyph)].name: _glyph_form(glyph, plates) for glyph in drawn.glyphs
    }
    file = File(plates, about)  # drawing has named all plates by now
    file.fonts(drawn.fonts.used())
    file.symbols(forms)
    for tag, (title, step) in drawn.groups():
        file.group(tag, title, step)
    for page, streams in zip(document.pages, layers, strict=True):
        file.page(page, [stream for stream, _ in streams], [tag for _, tag in streams if tag])
    if document.full_size:
        file.keep_size()
    if press.profile:
        file.intent(press.profile)
    return file.save()


# A glyph is drawn in cap heights, in steps of a micrometer on letters as high as this, mm.
_LARGEST_LETTER = 1000.0


class _Drawn:
    """Layers drawn so far. Pages that share a layer share its stream."""

    def __init__(self, document: Document, plates: Plates) -> None:
        self._plates = plates
        self._streams: dict[int, tuple[Stream, str]] = {}
        self._outlines = Outlines(PAGE_STEPS_PER_MM)
        self._groups: dict[tuple[str, Step], str] = {}
        self.fonts = Fonts()
        self._texts = {
            symbol.id: self.fonts.text(symbol.wording)
            for symbol in _placed_symbols(document)
            if symbol.wording is not None
        }
        self.largest = _largest_scales(document)
        self.uses = {
            symbol: Use.of(Placement(symbol, IDENTITY), f"S{number}", document.symbols)
            for number, symbol in enumerate(self.largest)
        }
        self.glyphs = _glyphs(document, self.largest)
        self.glyph_uses = {
            id(path): Use(f"G{number}", fills=True, strokes=False)
            for number, path in enumerate(self.glyphs)
        }

    def layer(self, layer: Layer) -> tuple[Stream, str]:
        """The layer's stream and the tag of its group (empty for artwork)."""
        # The document holds its layers while the file is written, so an id means one layer.
        known = self._streams.get(id(layer))
        if known is None:
            tag = ""
            if layer.step:
                key = (layer.name, layer.step)
                tag = self._groups.setdefault(key, f"L{len(self._groups)}")
            stream = layer_stream(layer, self._plates, self.uses, self._texts, self._outlines, tag)
            known = self._streams[id(layer)] = (stream, tag)
        return known

    def symbols_in_use(self) -> list[tuple[str, str]]:
        """Resource name and id of every symbol that is placed, in order of first use."""
        return [(use.name, symbol) for symbol, use in self.uses.items()]

    def groups(self) -> list[tuple[str, tuple[str, Step]]]:
        """Tag, and layer name with step, of every optional content group."""
        return [(tag, key) for key, tag in self._groups.items()]


def _placed_symbols(document: Document) -> Iterator[Symbol]:
    """The symbols that layers place, once each, in order of first use."""
    layers = {id(layer): layer for page in document.pages for layer in page.layers}
    items = (item for layer in layers.values() for item in layer.items)
    names = dict.fromkeys(item.symbol for item in items if isinstance(item, Placement))
    return (document.symbols[name] for name in names)


def _largest_scales(document: Document) -> Mapping[str, float]:
    """How much each symbol in use is enlarged where it is placed largest."""
    turns: dict[str, set[Turn]] = {}
    layers = {id(layer): layer for page in document.pages for layer in page.layers}
    for layer in layers.values():
        for item in layer.items:
            if isinstance(item, Placement) and document.symbols[item.symbol].wording is None:
                at = item.at
                turns.setdefault(item.symbol, set()).add((at.a, at.b, at.c, at.d))
    largest = {symbol: max(map(_largest_scale, found)) for symbol, found in turns.items()}
    for name in tuple(largest):
        for item in document.symbols[name].placed:
            at = item.at
            scale = largest[name] * _largest_scale((at.a, at.b, at.c, at.d))
            largest[item.symbol] = max(scale, largest.get(item.symbol, 0.0))
    return largest


def _glyphs(document: Document, symbols: Iterable[str]) -> tuple[Path, ...]:
    """The glyphs of all lettering on these symbols."""
    found: dict[int, Path] = {}
    for name in symbols:
        for shape in document.symbols[name].shapes:
            if isinstance(shape, Fill) and shape.path.parts:
                found.update((id(path), path) for path, _ in shape.path.outlines())
    return tuple(found.values())


def _glyph_form(path: Path, plates: Plates) -> SymbolForm:
    """A glyph as a form that takes the color it is placed in, the same in every file."""
    symbol = Symbol("", (Fill(path, None),), path.bounds())
    return symbol_form(symbol, plates, _LARGEST_LETTER, {}, {})


def _largest_scale(turn: Turn) -> float:
    """The larger of the two scales of a placement."""
    a, b, c, d = turn
    return max(math.hypot(a, b), math.hypot(c, d))
