"""A page made ready for the knife: its cut layers flat, clean and in cutting order."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from layouts.drawing import Contour, Path, Point, Rect, rectangle
from layouts.drawing.document import CUTS, Item, Layer, Page, Placement, Step, Stroke, Symbol
from layouts.pages.cuts.bridges import Bridges, cut_bridges
from layouts.pages.cuts.cut_order import HOME, ordered_cuts
from layouts.pages.cuts.entry import Entries, choose_entries
from layouts.pages.cuts.merge import merge_edges
from layouts.pages.cuts.tidy import SLIVER, Forms, tidied_cuts
from layouts.sheets.stock import Printer
from layouts.terms.values import frozen

_FOLLOWED = CUTS | {Step.FOLD}


class Known:
    """What pages with the same symbols and options share: contours' forms and ways to enter them.

    ``ready`` holds the last layer of each step with what was made of it: pages in a row may hold
    the same layer.
    """

    def __init__(self) -> None:
        self.forms = Forms()
        self.entries = Entries()
        self.ready: dict[Step, tuple[Layer, Layer]] = {}


@frozen
class CutOptions:
    """Settings of the shop's machine.

    ``home`` is where the knife rests, ``sliver`` (mm) what is too thin to cut; ``merge`` cuts an
    edge that two neighbors share once, ``bridges`` leaves gaps in through cuts, and ``weeding``
    puts a kiss cut around all kiss cuts, at that distance (mm) outside them.
    """

    home: Point = HOME
    sliver: float = SLIVER
    merge: bool = False
    bridges: Bridges | None = None
    weeding: float | None = None

    @staticmethod
    def of(printer: Printer) -> CutOptions:
        """What a shop's machines ask for."""
        return CutOptions(
            merge=printer.merge_edges,
            bridges=Bridges(printer.bridge, printer.bridge_spacing) if printer.bridge else None,
            weeding=printer.weeding_frame or None,
        )


def prepare_cuts(
    contours: Iterable[Contour], options: CutOptions | None = None, known: Known | None = None
) -> tuple[Contour, ...]:
    """One step's contours of a page, as they are to be cut, in cutting order.

    Inside comes before outside, closed contours are entered off their corners, and nothing is
    cut twice. Merged or bridged contours become open pieces; all others stay closed. The weeding
    option is the page's, since it applies only to kiss cuts.
    """
    wanted = options or CutOptions()
    known = known or Known()
    cuts = ordered_cuts(tidied_cuts(contours, wanted.sliver, known.forms), wanted.home)
    if wanted.merge:
        cuts = merge_edges(cuts)
    cuts = choose_entries(cuts, wanted.home, known.entries)
    if wanted.bridges:
        cuts = tuple(piece for each in cuts for piece in cut_bridges(each, wanted.bridges))
    return cuts


def prepared_page(
    page: Page,
    symbols: Mapping[str, Symbol],
    options: CutOptions | None = None,
    known: Known | None = None,
) -> Page:
    """The page with its kiss cuts, through cuts, holes and folds ready for the knife.

    Each contour becomes a separate stroke, in cutting order, with ink and width of the layer's
    first line. Holes and folds are neither merged nor bridged, kiss cuts not bridged. Layers
    keep their order; all other layers stay as they are. ``known`` is what several pages share.
    """
    wanted, known = options or CutOptions(), known or Known()
    layers = tuple(_layer(layer, symbols, wanted, known) for layer in page.layers)
    return replace(page, layers=layers)


def weeding_frame(contours: Iterable[Contour], margin: float, radius: float = 0.0) -> Path:
    """A kiss cut around a group, ``margin`` mm outside it, so that the waste lifts in one piece.

    Raises:
        ValueError: there are no contours to enclose.
    """
    return rectangle(Rect.around(each.bounds() for each in contours).grown(margin), radius)


def _layer(layer: Layer, symbols: Mapping[str, Symbol], options: CutOptions, known: Known) -> Layer:
    if layer.step is None or layer.step not in _FOLLOWED:
        return layer
    last = known.ready.get(layer.step)
    if last is None or last[0] is not layer:
        last = known.ready[layer.step] = layer, _prepared(layer, symbols, options, known)
    return last[1]


def _prepared(
    layer: Layer, symbols: Mapping[str, Symbol], options: CutOptions, known: Known
) -> Layer:
    lines = [line for item in layer.items for line in _lines(item, symbols)]
    contours = [contour for line in lines for contour in line.path.contours]
    if not contours:
        return layer
    if layer.step is Step.KISS_CUT and options.weeding is not None:
        contours += weeding_frame(contours, options.weeding).contours
    whole = layer.step in (Step.HOLE, Step.FOLD)
    own = replace(
        options,
        merge=options.merge and not whole,
        bridges=options.bridges if layer.step is Step.THROUGH_CUT else None,
    )
    cuts, line = prepare_cuts(contours, own, known), lines[0]
    strokes = (
        Stroke(Path((cut,)), line.ink, line.width, line.dash, line.overprint) for cut in cuts
    )
    return replace(layer, items=tuple(strokes))


def _lines(item: Item, symbols: Mapping[str, Symbol]) -> Iterator[Stroke]:
    """The strokes of an item in their place; a cut layer's fills are not for the knife."""
    if isinstance(item, Stroke):
        yield item
    elif isinstance(item, Placement):
        for shape in symbols[item.symbol].shapes:
            if isinstance(shape, Stroke):
                yield replace(shape, path=shape.path.mapped(item.at), ink=shape.ink or item.ink)
