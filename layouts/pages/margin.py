"""The contents of a sheet's margin: marks, the slug line with a scale bar, and the shop's notes.

All of it keeps clear of the stock's keep-out zones: a mark goes along its edge, texts take the
widest free stretch.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from layouts.drawing import Affine, Point, Rect, rectangle
from layouts.drawing.document import Fill, Item, Layer, Step, TextLine
from layouts.drawing.inks import Ink, InkRole, black_among
from layouts.drawing.memo import Kept
from layouts.drawing.symbols import registration_mark
from layouts.drawing.typeset import PITCH, Typesetter
from layouts.pages.marks import mark_places
from layouts.pages.sheet_code import sheet_code
from layouts.pages.steps import step_strokes
from layouts.sheets.name_patterns import filled
from layouts.sheets.sheetplan import Sheet, SheetPlan
from layouts.sheets.stock import Printer
from layouts.terms.values import frozen
from layouts.terms.words import PartRole

_SLUG = 2.4  # cap height of the slug line and the notes, mm
_SCALE_BAR = 100.0
_BETWEEN = "  |  "  # the phrases of the slug
_LEAST_LINE = 40.0  # room that the slug line needs beside the bar, mm


@frozen
class SheetText:
    """What the slug of every sheet says beside its own number."""

    order: str
    notes: tuple[str, ...]


def black_of(plan: SheetPlan) -> Ink:
    """The black of the group's print."""
    return _COMMON.of(plan).black


@frozen
class _Common:
    """What all sheets of a group say: black, the inks that print, and what patterns may name."""

    black: Ink
    inks: str
    named: Mapping[str, object]


def _common(plan: SheetPlan) -> _Common:
    inks = {
        id(shape.ink): shape.ink
        for part in plan.parts.values()
        for shape in part.art
        if shape.ink is not None
    }
    names = {ink.name for ink in inks.values() if ink.role is not InkRole.PAPER}
    listed = ", ".join(sorted(names)) or "none"
    return _Common(black_among(inks.values()), listed, plan.named)


_COMMON = Kept(_common, most=16)


def slug(
    sheet: Sheet,
    plan: SheetPlan,
    text: SheetText,
    printer: Printer,
    setter: Typesetter,
    over: Affine | None = None,
) -> Iterator[Item]:
    """Marks, a scale bar of 100 mm and one line of text, in the bottom margin; black only.

    ``over`` is where the marks of the front lie on the back, None for the front.
    """
    if plan.role is PartRole.PLATE or not sheet.stock.prints:
        return
    black = black_of(plan)
    if printer.marks is not None:
        for center in mark_places(sheet, printer):
            at = center if over is None else over.point(center)
            yield Fill(registration_mark(printer.marks, at, printer.mark_size), black)
    margin = sheet.stock.margin
    start, end = _stretch(sheet, printer, sheet.length - margin, sheet.length)
    if printer.sheet_codes and over is None:
        yield Fill(sheet_code(sheet, plan, end), black)
        end -= margin
    baseline = sheet.length - margin / 2 + _SLUG / 2
    if end - start >= _SCALE_BAR + 4 + _LEAST_LINE:
        yield from _scale_bar(start, baseline, black, setter)
        start += _SCALE_BAR + 4
    line = slug_line(sheet, plan, text, "" if over is None else f"back{_BETWEEN}")
    size = min(_SLUG, (end - start) / setter.width(line, 1.0))
    if size > 0:
        yield from setter.line(line, Point(start, baseline), size, black)


def slug_band(sheet: Sheet, printer: Printer) -> Rect:
    """The box that the slug line keeps to."""
    margin = sheet.stock.margin
    start, end = _stretch(sheet, printer, sheet.length - margin, sheet.length)
    height = margin if printer.sheet_codes else 2 * _SLUG
    top = sheet.length - margin / 2 - height / 2
    return Rect(start - 1.0, top, end - start + 2.0, height)


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


def slug_line(sheet: Sheet, plan: SheetPlan, text: SheetText, side: str = "") -> str:
    """What the slug says, by the shop's pattern: order, group, stock, sheet, copies, inks."""
    common = _COMMON.of(plan)
    values = {
        **common.named,
        "order": text.order,
        "stock": sheet.stock.title,
        "sheet": sheet.number,
        "copies": sheet.copies,
        "areas": ", ".join(sheet.areas),
        "inks": common.inks,
    }
    return side + filled(plan.printer.slug, values, _BETWEEN)


def note_lines(
    sheet: Sheet, plan: SheetPlan, text: SheetText, printer: Printer, setter: Typesetter
) -> tuple[TextLine, ...]:
    """The lines of the notes, as large as the top margin takes."""
    margin = sheet.stock.margin
    left, right = _stretch(sheet, printer, 0.0, margin)
    words = "  ".join((f"{plan.build}.", *text.notes, *_knife_words(plan)))
    size = _SLUG
    lines = setter.wrap(words, size, right - left)
    while len(lines) * PITCH * size > margin - 1.0:
        size *= 0.9
        lines = setter.wrap(words, size, right - left)
    return tuple(
        TextLine(line, Point(left, 0.5 + size * (1.4 + PITCH * index)), size)
        for index, line in enumerate(lines)
    )


def _knife_words(plan: SheetPlan) -> Iterator[str]:
    """How the shop cuts each step, where its file says so."""
    for step, knife in plan.stock.printer.knives.items():
        if knife.text:
            yield f"{step.title}: {knife.text}."


def notes(
    sheet: Sheet, plan: SheetPlan, text: SheetText, printer: Printer, setter: Typesetter
) -> Layer:
    """Build, laminate and mounting as outlines in the top margin, on the notes step."""
    lines = note_lines(sheet, plan, text, printer, setter)
    paths = (setter.outline_text(line.text, line.at, line.size) for line in lines)
    return Layer(Step.NOTES.title, step_strokes(paths, Step.NOTES, printer), Step.NOTES)
