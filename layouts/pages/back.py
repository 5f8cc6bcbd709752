"""The backs of sheets that are made on both sides, one page for each front, in the same order.

Print, white and engraving lie where the front's parts lie when the sheet is turned over, and the
same marks with them, so that one register serves both sides. Cuts are made from the front.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from layouts.drawing import Affine, Rect, Size
from layouts.drawing.document import Fill, Layer, Page, Placement, Step, Symbol
from layouts.drawing.typeset import Typesetter
from layouts.pages.margin import SheetText, slug, slug_band
from layouts.pages.marks import white_under
from layouts.pages.sheet import placed_map
from layouts.pages.steps import step_strokes
from layouts.sheets.sheetplan import Sheet, SheetPlan
from layouts.sheets.two_faced import back_map, turned_over

_SLACK = 0.002  # two micrometers, as everywhere on a sheet


def back_page(
    sheet: Sheet, front: Page, plan: SheetPlan, text: SheetText, setter: Typesetter
) -> Page:
    """The back of a sheet whose front is ``front``; it places the same symbols."""
    printer, over = plan.printer, turned_over(Size(sheet.width, sheet.length), plan.backs)
    maps = {
        id(placed): back_map(part, placed_map(part, placed), over)
        for placed in sheet.placed
        for part in [plan.parts[placed.name]]
    }
    beside = tuple(slug(sheet, plan, text, printer, setter, over))
    engraved = [
        words.mapped(maps[id(placed)])
        for placed in sheet.placed
        if (words := plan.parts[placed.name].engraving) is not None
    ]
    layers = (
        Layer(Step.WHITE.title, tuple(_white(sheet, plan, maps, over, bool(beside))), Step.WHITE),
        Layer("Print", tuple(_faces("face", sheet, plan, maps))),
        Layer("Slug", beside),
        Layer(Step.ENGRAVE.title, step_strokes(engraved, Step.ENGRAVE, printer), Step.ENGRAVE),
    )
    filled = tuple(layer for layer in layers if layer.items)
    return replace(
        front, id=f"{front.id}-back", title=f"back of {front.title}", layers=filled, texts=()
    )


def _faces(
    kind: str, sheet: Sheet, plan: SheetPlan, maps: dict[int, Affine]
) -> Iterator[Placement]:
    for placed in sheet.placed:
        part = plan.parts[placed.name]
        if part.art if kind == "face" else part.white:
            yield Placement(f"{kind}-{placed.name}", maps[id(placed)])


def _white(
    sheet: Sheet, plan: SheetPlan, maps: dict[int, Affine], over: Affine, has_slug: bool
) -> Iterator[Placement | Fill]:
    yield from _faces("white", sheet, plan, maps)
    for fill in white_under(sheet, plan.printer, None):
        yield replace(fill, path=fill.path.mapped(over))
    if has_slug:
        band = slug_band(sheet, plan.printer)
        yield from white_under(sheet, replace(plan.printer, marks=None), band)


def register_faults(
    plan: SheetPlan, sheet: Sheet, front: Page, back: Page, symbols: Mapping[str, Symbol]
) -> Iterator[str]:
    """Every face whose back is mirrored, or lies beside its front when the sheet is turned over."""
    over = turned_over(front.size, plan.backs)
    fronts = [(name, over.rect(box)) for name, box, _ in _boxes(front, symbols)]
    backs = list(_boxes(back, symbols))
    if len(fronts) != len(backs):
        counts = f"{len(fronts)} faces on its front and {len(backs)} on its back"
        yield f"sheet {sheet.number}: {counts}"
    for (name, box), (behind, found, mirrored) in zip(fronts, backs, strict=False):
        if name != behind or mirrored or not _same(box, found):
            yield f"sheet {sheet.number}: the back of {name} does not fit its front"


def _boxes(page: Page, symbols: Mapping[str, Symbol]) -> Iterator[tuple[str, Rect, bool]]:
    """Every face of a page with its box and whether it is mirrored."""
    for layer in page.layers:
        for item in layer.items:
            if isinstance(item, Placement) and item.symbol.startswith("face-"):
                at = item.at
                box = at.rect(symbols[item.symbol].bounds)
                yield item.symbol, box, at.a * at.d - at.b * at.c < 0


def _same(one: Rect, other: Rect) -> bool:
    sides = zip(
        (one.x, one.y, one.right, one.bottom),
        (other.x, other.y, other.right, other.bottom),
        strict=True,
    )
    return all(abs(a - b) <= _SLACK for a, b in sides)
