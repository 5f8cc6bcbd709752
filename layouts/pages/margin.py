"""What stands in a sheet's margin: marks, the slug line with a scale bar, and the shop's notes.

All of it keeps clear of the stock's keep-out zones: a mark goes along its edge, texts take the
widest free stretch.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from layouts.drawing import Point, Rect, rectangle
from layouts.drawing.document import Fill, Item, Layer, Step
from layouts.drawing.inks import Ink, InkRole, black_among
from layouts.drawing.symbols import registration_mark
from layouts.drawing.typeset import PITCH, Typesetter
from layouts.pages.steps import step_strokes
from layouts.sheets.sheetplan import Sheet, SheetPlan
from layouts.sheets.stock import Printer
from layouts.terms.words import PartRole

_SLUG = 2.4  # cap height of the slug line and the notes, mm
_SCALE_BAR = 100.0
_LEAST_LINE = 40.0  # room that the slug line needs beside the bar, mm
_CLEAR = 1.0  # from a mark to a zone, mm


@dataclass(frozen=True, slots=True)
class SheetText:
    """What the slug of every sheet says beside its own number."""

    order: str
    notes: tuple[str, ...]


def mark_places(sheet: Sheet, printer: Printer) -> tuple[Point, ...]:
    """Centers of the marks, in the middle of the margin: at the corners of the sheet, or along
    its sides as near to them as the zones allow. A mark without a place is left out.
    """
    near, half = sheet.stock.margin / 2, printer.mark_size / 2
    places = []
    for x in (near, sheet.width - near):
        for from_top in (True, False):
            y = _clear_place(sheet, x, half, from_top)
            if y is not None:
                places.append(Point(x, y))
    return tuple(places)


def _clear_place(sheet: Sheet, x: float, half: float, from_top: bool) -> float | None:
    """The y nearest to a corner at which a mark touches no zone, up to the sheet's middle."""
    middle = sheet.length / 2
    y = sheet.stock.margin / 2 if from_top else sheet.length - sheet.stock.margin / 2
    while y <= middle if from_top else y > middle:
        box = Rect(x - half, y - half, 2 * half, 2 * half).grown(_CLEAR)
        zone = next((zone for zone in sheet.stock.keep_outs if _touch(box, zone)), None)
        if zone is None:
            return y
        y = zone.bottom + half + _CLEAR + 0.01 if from_top else zone.y - half - _CLEAR - 0.01
    return None


def _touch(box: Rect, zone: Rect) -> bool:
    return box.x < zone.right and zone.x < box.right and box.y < zone.bottom and zone.y < box.bottom


def mark_centers(sheet: Sheet, printer: Printer) -> Layer:
    """A square of 1 mm around each mark's center, for the cutter's own file."""
    squares = (
        rectangle(Rect(center.x - 0.5, center.y - 0.5, 1.0, 1.0))
        for center in mark_places(sheet, printer)
    )
    return Layer(Step.MARKS.title, step_strokes(squares, Step.MARKS, printer), Step.MARKS)


def black_of(plan: SheetPlan) -> Ink:
    """The black of the group's print."""
    return black_among(shape.ink for part in plan.parts.values() for shape in part.art)


def slug(
    sheet: Sheet, plan: SheetPlan, text: SheetText, printer: Printer, setter: Typesetter
) -> Iterator[Item]:
    """Marks, a scale bar of 100 mm and one line of text, in the bottom margin; black alone."""
    if plan.role is PartRole.PLATE:
        return
    black = black_of(plan)
    if printer.marks is not None:
        for center in mark_places(sheet, printer):
            yield Fill(registration_mark(printer.marks, center, printer.mark_size), black)
    margin = sheet.stock.margin
    start, end = _stretch(sheet, printer, sheet.length - margin, sheet.length)
    baseline = sheet.length - margin / 2 + _SLUG / 2
    if end - start >= _SCALE_BAR + 4 + _LEAST_LINE:
        yield from _scale_bar(start, baseline, black, setter)
        start += _SCALE_BAR + 4
    line = slug_line(sheet, plan, text)
    size = min(_SLUG, (end - start) / setter.width(line, 1.0))
    if size > 0:
        yield from setter.line(line, Point(start, baseline), size, black)


def _scale_bar(left: float, baseline: float, black: Ink, setter: Typesetter) -> Iterator[Item]:
    yield Fill(rectangle(Rect(left, baseline - _SLUG / 2, _SCALE_BAR, 0.3)), black)
    for x in (left, left + _SCALE_BAR - 0.3):
        yield Fill(rectangle(Rect(x, baseline - _SLUG, 0.3, _SLUG)), black)
    yield from setter.line("100 mm", Point(left + 2, baseline + 0.6), 1.2, black)


def _stretch(sheet: Sheet, printer: Printer, top: float, bottom: float) -> tuple[float, float]:
    """The widest stretch between the marks that no zone touches, from left to right."""
    inset = sheet.stock.margin + printer.mark_size
    left, right = inset, sheet.width - inset
    zones = sorted(
        (zone for zone in sheet.stock.keep_outs if zone.y < bottom and top < zone.bottom),
        key=lambda zone: zone.x,
    )
    free: list[tuple[float, float]] = []
    for zone in zones:
        free.append((left, min(zone.x, right)))
        left = max(left, zone.right)
    free.append((left, right))
    return max(free, key=lambda span: span[1] - span[0])


def slug_line(sheet: Sheet, plan: SheetPlan, text: SheetText) -> str:
    """What the slug says: order, stock, sheet, copies, inks, and areas that are kept together."""
    names = sorted(
        {
            shape.ink.name
            for part in plan.parts.values()
            for shape in part.art
            if shape.ink is not None and shape.ink.role is not InkRole.PAPER
        }
    )
    areas = f"  |  for {', '.join(sheet.areas)}" if sheet.areas else ""
    return (
        f"{text.order}  |  {sheet.stock.title}  |  {plan.build}  |  sheet {sheet.number} of "
        f"{len(plan.sheets)}, print {sheet.copies}{areas}  |  inks: {', '.join(names) or 'none'}"
    )


def notes(
    sheet: Sheet, plan: SheetPlan, text: SheetText, printer: Printer, setter: Typesetter
) -> Layer:
    """Build, laminate and mounting as outlines in the top margin, on the notes step."""
    margin = sheet.stock.margin
    left, right = _stretch(sheet, printer, 0.0, margin)
    words = "  ".join((f"{plan.build}.", *text.notes))
    size = _SLUG
    lines = setter.wrap(words, size, right - left)
    while len(lines) * PITCH * size > margin - 1.0:
        size *= 0.9
        lines = setter.wrap(words, size, right - left)
    paths = (
        setter.outline_text(line, Point(left, 0.5 + size * (1.4 + PITCH * index)), size)
        for index, line in enumerate(lines)
    )
    return Layer(Step.NOTES.title, step_strokes(paths, Step.NOTES, printer), Step.NOTES)
