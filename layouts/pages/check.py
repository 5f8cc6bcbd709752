"""The geometry's judge, between assembling and writing: every fault is listed, none is passed.

It looks at the finished pages, not at how they were made.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import chain

from layouts.drawing import Contour, Rect, Size
from layouts.drawing.document import (
    Fill,
    Layer,
    Page,
    Placement,
    Step,
    Symbol,
    symbols_among,
)
from layouts.drawing.inks import InkRole
from layouts.face.model import Face, Part
from layouts.pages.marks import marks_wanted
from layouts.pages.sheet import placed_map
from layouts.sheets.pieces import border_of
from layouts.sheets.sheetplan import Sheet, SheetPlan
from layouts.sheets.stock import Printer
from layouts.terms.values import frozen
from layouts.terms.words import PartRole

_SLACK = 0.002  # two micrometers: the nester works in whole ones
_STEP_ROLES = (InkRole.STEP, InkRole.WHITE)


@dataclass(slots=True)
class Sound:
    """What was looked at on the sheets of a plan so far and is without fault.

    ``places`` are those of the last sheet that is, ``layers`` the last layer of each step with the
    size of its page, and ``symbols`` those of artwork and of steps.
    """

    places: object = None
    layers: dict[Step, tuple[Layer, Size]] = field(default_factory=dict)
    symbols: tuple[set[str], set[str]] = field(default_factory=lambda: (set(), set()))


def sheet_faults(
    plan: SheetPlan,
    sheet: Sheet,
    page: Page,
    symbols: Mapping[str, Symbol],
    sound: Sound | None = None,
) -> Iterator[str]:
    """Every fault of a sheet and its page: overlaps, strays, open cuts, foreign inks.

    ``sound`` is what the sheets of a plan share; what it holds is not looked at again.
    """
    sound = sound or Sound()
    yield from _place_faults(sheet, plan, sound)
    yield from _page_faults(page, symbols, plan.printer, sound)
    yield from _mark_faults(page, sheet, plan.printer)


def check_face(face: Face) -> tuple[str, ...]:
    """Every fault of one face: letters lower than designed, words beyond the trim."""
    return tuple(fault for part in face.parts for fault in _part_faults(face, part))


def count_faults(plan: SheetPlan) -> Iterator[str]:
    """Every part of which a group's sheets hold more or fewer than wanted."""
    made: Counter[str] = Counter()
    for sheet in plan.sheets:
        for placed in sheet.placed:
            made[placed.name] += sheet.copies
    for name, quantity in plan.quantities.items():
        if made[name] != quantity:
            yield f"{name}: {made[name]} placed, {quantity} wanted"
    for name in made.keys() - plan.quantities.keys():
        yield f"{name}: placed but not wanted"


def _place_faults(sheet: Sheet, plan: SheetPlan, sound: Sound) -> Iterator[str]:
    parts = [(each, plan.parts[each.name]) for each in sheet.placed]
    places = (
        (sheet.stock, sheet.width, sheet.length),
        [(each.x, each.y, each.turned, part.size, part.round) for each, part in parts],
    )
    if places == sound.places:
        return
    border = border_of(plan.stock, plan.role)
    lying = [
        _Lying(
            placed.name,
            placed_map(part, placed).rect(part.box.grown(border)),
            part.round and plan.role is not PartRole.FILM,
        )
        for placed, part in parts
    ]
    faults = [*_strays(sheet, lying), *_neighbors(sheet, lying, plan.stock.gap)]
    if not faults:
        sound.places = places
    yield from faults


def _strays(sheet: Sheet, lying: Iterable[_Lying]) -> Iterator[str]:
    live = Rect(0.0, 0.0, sheet.width, sheet.length).grown(-sheet.stock.margin)
    for each in lying:
        if not live.contains(each.box, _SLACK):
            yield f"sheet {sheet.number}: {each.name} reaches beyond the margin"
        if any(_overlap(each.box, zone) for zone in sheet.stock.keep_outs):
            yield f"sheet {sheet.number}: {each.name} lies in a zone to be kept free"


def _neighbors(sheet: Sheet, lying: Sequence[_Lying], gap: float) -> Iterator[str]:
    for one, other in _close_pairs(lying, gap):
        names = f"{one.name} and {other.name}"
        yield f"sheet {sheet.number}: {names} are closer than {gap:g} mm"


@frozen
class _Lying:
    """A part where it lies: its box with the border, and whether it is a disc."""

    name: str
    box: Rect
    disc: bool


def _overlap(box: Rect, zone: Rect) -> bool:
    return (
        box.x + _SLACK < zone.right
        and zone.x + _SLACK < box.right
        and box.y + _SLACK < zone.bottom
        and zone.y + _SLACK < box.bottom
    )


def _close_pairs(lying: Sequence[_Lying], gap: float) -> Iterator[tuple[_Lying, _Lying]]:
    """Pairs of parts nearer than the gap, by a sweep from left to right.

    Two discs may lie in each other's boxes; what counts is the distance of their rims.
    """
    active: list[_Lying] = []
    for one in sorted(lying, key=lambda each: (each.box.x, each.box.y)):
        active = [other for other in active if other.box.right + gap > one.box.x + _SLACK]
        for other in active:
            if _rims_close(one, other, gap) if one.disc and other.disc else _close(one, other, gap):
                yield other, one
        active.append(one)


def _close(one: _Lying, other: _Lying, gap: float) -> bool:
    top, bottom = one.box.y - gap, one.box.bottom + gap
    return top + _SLACK < other.box.bottom and other.box.y < bottom - _SLACK


def _rims_close(one: _Lying, other: _Lying, gap: float) -> bool:
    least = (one.box.width + other.box.width) / 2 + gap
    return one.box.center.distance(other.box.center) < least - _SLACK


def _page_faults(
    page: Page, symbols: Mapping[str, Symbol], printer: Printer, sound: Sound
) -> Iterator[str]:
    for layer in page.layers:
        if layer.step is None:
            yield from _ink_faults(page, layer, symbols, sound)
            continue
        last = sound.layers.get(layer.step)
        if last is not None and last[0] is layer and last[1] == page.size:
            continue
        faults = [*_ink_faults(page, layer, symbols, sound), *_cut_faults(page, layer, printer)]
        if not faults:
            sound.layers[layer.step] = layer, page.size
        yield from faults


def _ink_faults(
    page: Page, layer: Layer, symbols: Mapping[str, Symbol], sound: Sound
) -> Iterator[str]:
    """Inks of processing steps in artwork, and inks that print on the layer of a step."""
    sound_so_far = sound.symbols[layer.step is not None]
    own = [item for item in layer.items if not isinstance(item, Placement)]
    placed = [
        item
        for item in layer.items
        if isinstance(item, Placement) and item.symbol not in sound_so_far
    ]
    drawn = list(symbols_among(placed, symbols))
    wrong = False
    for shape in chain(own, (shape for symbol in drawn for shape in symbol.shapes)):
        ink = shape.ink
        if ink is not None and (ink.role in _STEP_ROLES) != (layer.step is not None):
            wrong = True
            yield f"{page.id}: ink {ink.name} does not belong on layer {layer.name}"
    if not wrong:
        sound_so_far.update(symbol.id for symbol in drawn)


def _cut_faults(page: Page, layer: Layer, printer: Printer) -> Iterator[str]:
    if layer.step is None or not layer.step.is_cut:
        return
    sheet = Rect(0.0, 0.0, page.size.width, page.size.height)
    may_be_open = _may_be_open(layer.step, printer)
    for item in layer.items:
        if isinstance(item, Placement):
            yield f"{page.id}: layer {layer.name} places by reference, cuts are flat"
            continue
        for contour in item.path.contours:
            for fault in _contour_faults(contour, sheet, may_be_open):
                yield f"{page.id}: {layer.name} {fault}"


def _mark_faults(page: Page, sheet: Sheet, printer: Printer) -> Iterator[str]:
    """A cutter finds the sheet by its marks; zones may leave no place for one."""
    wanted = marks_wanted(sheet, printer)
    for layer in page.layers:
        if layer.step is Step.MARKS and len(layer.items) != wanted:
            lost = wanted - len(layer.items)
            yield f"sheet {sheet.number}: {lost} marks have no place beside the zones kept free"


def _may_be_open(step: Step, printer: Printer) -> bool:
    """Whether the shop's machine wants pieces: shared edges once, or bridges."""
    if step is Step.THROUGH_CUT:
        return printer.merge_edges or printer.bridge > 0
    return step is Step.KISS_CUT and printer.merge_edges


def _contour_faults(contour: Contour, sheet: Rect, may_be_open: bool) -> Iterator[str]:
    if not contour.closed and not may_be_open:
        yield "holds an open contour"
    if not sheet.contains(contour.bounds(), _SLACK):
        yield "runs off the sheet"
    if contour.length() < 1.0 and not may_be_open:
        yield "holds a sliver"


def _part_faults(face: Face, part: Part) -> Iterator[str]:
    if part.role is PartRole.PLATE:
        return
    trim = part.box
    # A word has several contours, an arrow or a band has one.
    words = [
        shape.path.bounds()
        for shape in part.art
        if isinstance(shape, Fill) and shape.path.count > 1
    ]
    if words and max(box.height for box in words) < face.design.letter_height - _SLACK:
        yield f"{face.id}: no word reaches the letter height of {face.design.letter_height:g} mm"
    for box in words:
        if not trim.contains(box):
            yield f"{face.id}: a word reaches beyond the trim"
