"""The weeding frame: whether it is clear of everything else on a sheet."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from layouts.drawing import Rect
from layouts.drawing.document import Item, Page, Placement, Step, Symbol
from layouts.pages.marks import mark_boxes
from layouts.sheets.sheetplan import Sheet, SheetPlan
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, Severity

_CLEAR = 0.5  # from the frame to anything else, mm: common practice, no source


def refuse_frame(plan: SheetPlan, sheet: Sheet, page: Page, symbols: Mapping[str, Symbol]) -> None:
    """A frame around the kiss cuts crosses no mark, note, zone or edge of its sheet.

    Raises:
        InputError: one does; the shop's file and its key are named.
    """
    wide = plan.printer.weeding_frame
    if not wide:
        return
    kiss = _kiss_cuts(page)
    fault = _fault(kiss.grown(wide), sheet, page, symbols, plan) if kiss else ""
    if fault:
        what = f"the weeding frame {wide:g} mm around the kiss cuts {fault} on {page.title}"
        right = (
            f"make it smaller, {plan.stock.border:g} mm stays inside the through cuts, or give "
            "the stock a larger margin"
        )
        place = Place(plan.printer.file, field="printer, weeding_frame")
        raise InputError([Finding("weeding-frame", Severity.UNREADABLE, what, right, place=place)])


def _kiss_cuts(page: Page) -> Rect | None:
    boxes = [
        item.path.bounds()
        for layer in page.layers
        if layer.step is Step.KISS_CUT
        for item in layer.items
        if not isinstance(item, Placement)
    ]
    return Rect.around(boxes) if boxes else None


def _fault(
    frame: Rect, sheet: Sheet, page: Page, symbols: Mapping[str, Symbol], plan: SheetPlan
) -> str:
    """What the frame runs into, as a clause; empty where it is clear."""
    if not Rect(0.0, 0.0, sheet.width, sheet.length).grown(-_CLEAR).contains(frame):
        return "runs off the sheet"
    for name, boxes in (
        ("touches a mark", mark_boxes(sheet, plan.printer)),
        ("touches a zone to be kept free", iter(sheet.stock.keep_outs)),
        ("touches the notes or the slug", _texts(page, symbols)),
    ):
        if any(_crosses(frame, box.grown(_CLEAR)) for box in boxes):
            return name
    return ""


def _texts(page: Page, symbols: Mapping[str, Symbol]) -> Iterator[Rect]:
    for layer in page.layers:
        if layer.name == "Slug" or layer.step is Step.NOTES:
            yield from (_box(item, symbols) for item in layer.items)


def _box(item: Item, symbols: Mapping[str, Symbol]) -> Rect:
    if isinstance(item, Placement):
        return item.at.rect(symbols[item.symbol].bounds)
    return item.path.bounds()


def _crosses(frame: Rect, box: Rect) -> bool:
    """Whether the frame's line runs through a box."""
    return frame.overlaps(box) and not frame.contains(box)
