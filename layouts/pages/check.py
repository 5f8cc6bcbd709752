"""The geometry's judge, between assembling and writing: every fault is listed, none is passed.

It looks at the finished pages and not at how they came about.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator

from layouts.drawing import Contour, Rect
from layouts.drawing.document import (
    Document,
    Fill,
    Layer,
    Page,
    Placement,
    Shape,
    Step,
    symbols_among,
)
from layouts.drawing.inks import InkRole
from layouts.face.model import Face, Part
from layouts.pages.sheet import placed_map
from layouts.sheets.pieces import border_of
from layouts.sheets.sheetplan import Sheet, SheetPlan
from layouts.terms.words import PartRole

_SLACK = 0.002  # two micrometres: the nester works in whole ones
_STEP_ROLES = (InkRole.STEP, InkRole.WHITE)


def check_sheets(plan: SheetPlan, document: Document) -> tuple[str, ...]:
    """Every fault of a group's sheets: counts, overlaps, strays, open cuts, foreign inks."""
    return (
        *_count_faults(plan),
        *(fault for sheet in plan.sheets for fault in _place_faults(sheet, plan)),
        *(fault for page in document.pages for fault in _page_faults(page, document)),
        *(
            fault
            for page, sheet in zip(document.pages, plan.sheets, strict=True)
            for fault in _mark_faults(page, sheet)
        ),
    )


def check_face(face: Face) -> tuple[str, ...]:
    """Every fault of one face: letters lower than designed, words beyond the trim."""
    return tuple(fault for part in face.parts for fault in _part_faults(face, part))


def _count_faults(plan: SheetPlan) -> Iterator[str]:
    made: Counter[str] = Counter()
    for sheet in plan.sheets:
        for placed in sheet.placed:
            made[placed.name] += sheet.copies
    for name, quantity in plan.quantities.items():
        if made[name] != quantity:
            yield f"{name}: {made[name]} placed, {quantity} wanted"
    for name in made.keys() - plan.quantities.keys():
        yield f"{name}: placed but not wanted"


def _place_faults(sheet: Sheet, plan: SheetPlan) -> Iterator[str]:
    border = border_of(plan.stock, plan.role)
    live = Rect(0.0, 0.0, sheet.width, sheet.length).grown(-sheet.stock.margin)
    boxes: list[tuple[Rect, str]] = []
    for placed in sheet.placed:
        part = plan.parts[placed.name]
        own = part.box.grown(border)
        box = placed_map(part, placed).rect(own)
        if not live.contains(box, _SLACK):
            yield f"sheet {sheet.number}: {placed.name} reaches beyond the margin"
        if any(_overlap(box, zone) for zone in sheet.stock.keep_outs):
            yield f"sheet {sheet.number}: {placed.name} lies in a zone to be kept free"
        boxes.append((box, placed.name))
    discs = any(part.round for part in plan.parts.values())
    yield from (
        f"sheet {sheet.number}: {one} and {other} are closer than {plan.stock.gap:g} mm"
        for one, other in _close_pairs(boxes, 0.0 if discs else plan.stock.gap)
        if not discs
    )


def _overlap(box: Rect, zone: Rect) -> bool:
    return (
        box.x + _SLACK < zone.right
        and zone.x + _SLACK < box.right
        and box.y + _SLACK < zone.bottom
        and zone.y + _SLACK < box.bottom
    )


def _close_pairs(boxes: list[tuple[Rect, str]], gap: float) -> Iterator[tuple[str, str]]:
    """Pairs of boxes nearer than the gap, by a sweep from left to right."""
    active: list[tuple[Rect, str]] = []
    for box, name in sorted(boxes, key=lambda entry: (entry[0].x, entry[0].y)):
        wide = Rect(box.x, box.y - gap, box.width, box.height + 2 * gap)
        active = [entry for entry in active if entry[0].right + gap > box.x + _SLACK]
        for other, other_name in active:
            if wide.y + _SLACK < other.bottom and other.y < wide.bottom - _SLACK:
                yield other_name, name
        active.append((box, name))


def _page_faults(page: Page, document: Document) -> Iterator[str]:
    sheet = Rect(0.0, 0.0, page.size.width, page.size.height)
    for layer in page.layers:
        for shape in _own_shapes(layer, document):
            ink = shape.ink
            if ink is not None and (ink.role in _STEP_ROLES) != (layer.step is not None):
                yield f"{page.id}: ink {ink.name} does not belong on layer {layer.name}"
        if layer.step is None or not layer.step.is_cut:
            continue
        for item in layer.items:
            if isinstance(item, Placement):
                yield f"{page.id}: layer {layer.name} places by reference, cuts are flat"
                continue
            yield from (
                f"{page.id}: {layer.name} {fault}"
                for contour in item.path.contours
                for fault in _contour_faults(contour, sheet)
            )


def _own_shapes(layer: Layer, document: Document) -> Iterable[Shape]:
    yield from (item for item in layer.items if not isinstance(item, Placement))
    for symbol in symbols_among(layer.items, document.symbols):
        yield from symbol.shapes


def _mark_faults(page: Page, sheet: Sheet) -> Iterator[str]:
    """A cutter finds the sheet by four marks; zones may leave no place for one."""
    for layer in page.layers:
        if layer.step is Step.MARKS and len(layer.items) != 4:
            lost = 4 - len(layer.items)
            yield f"sheet {sheet.number}: {lost} marks have no place beside the zones kept free"


def _contour_faults(contour: Contour, sheet: Rect) -> Iterator[str]:
    if not contour.closed:
        yield "holds an open contour"
    if not sheet.contains(contour.bounds(), _SLACK):
        yield "runs off the sheet"
    if contour.length() < 1.0:
        yield "holds a sliver"


def _part_faults(face: Face, part: Part) -> Iterator[str]:
    if part.role is PartRole.PLATE:
        return
    trim = part.box
    # A word has several contours, an arrow or a band has one.
    words = [
        shape.path.bounds()
        for shape in part.art
        if isinstance(shape, Fill) and len(shape.path.contours) > 1
    ]
    if words and max(box.height for box in words) < face.design.letter_height - _SLACK:
        yield f"{face.id}: no word reaches the letter height of {face.design.letter_height:g} mm"
    for box in words:
        if not trim.contains(box):
            yield f"{face.id}: a word reaches beyond the trim"
