"""Hop five: a nested group becomes pages of print and cut.

Print is placed by reference, one symbol a face. Cut content is flat: every contour of a page,
in its place. Marks and the slug line stand in the margin, from the same origin as the rest.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from layouts.drawing import Document, Fill, Item, Layer, Page, Placement, Step, Symbol
from layouts.face.model import Part, PartRole
from layouts.geometry import Affine, Point, Rect, Size, rectangle
from layouts.inks import Ink, InkRole, Lab, black_among, contrast
from layouts.sheetplan import Placed, Sheet, SheetPlan, border_of
from layouts.steps import cut_layers, moved, step_strokes, top_of_pipe_mark
from layouts.stock import Printer
from layouts.symbols import registration_mark
from layouts.typeset import PITCH, Typesetter

_SLUG = 2.4  # cap height of the slug line and the notes, mm
_NAME = 1.3  # cap height of the marker's name in the border, mm
_SCALE_BAR = 100.0


@dataclass(frozen=True, slots=True)
class SheetText:
    """What the slug of every sheet says beside its own number."""

    order: str
    notes: tuple[str, ...]


def assemble(
    plan: SheetPlan, text: SheetText, printer: Printer, setter: Typesetter, date: str | None
) -> Document:
    """Every distinct sheet of the group as one page; symbols are shared by all of them."""
    widths = dict.fromkeys(sheet.width for sheet in plan.sheets)
    notes = {width: _notes(width, plan, text, printer, setter) for width in widths}
    pages = tuple(
        _page(sheet, plan, text, printer, setter, notes[sheet.width]) for sheet in plan.sheets
    )
    symbols = {
        f"{kind}-{name}": Symbol(f"{kind}-{name}", shapes, part.box.grown(part.bleed))
        for name, part in plan.parts.items()
        for kind, shapes in (("face", part.art), ("white", part.white))
        if shapes
    }
    return Document(
        plan.key, f"{text.order} {plan.stock.title}", pages, {**symbols, **setter.symbols()}, date
    )


def _page(
    sheet: Sheet,
    plan: SheetPlan,
    text: SheetText,
    printer: Printer,
    setter: Typesetter,
    notes: Layer,
) -> Page:
    size = Size(sheet.width, sheet.length)
    live = Rect(0.0, 0.0, sheet.width, sheet.length).grown(-plan.stock.margin)
    parts = [(plan.parts[each.name], each) for each in sheet.placed]
    white = tuple(
        Placement(f"white-{placed.name}", placed_map(part, placed))
        for part, placed in parts
        if part.white
    )
    layers = [
        Layer(Step.WHITE.title, white, Step.WHITE),
        Layer("Print", tuple(_print(sheet, plan, setter))),
        Layer("Slug", tuple(_slug(sheet, plan, text, printer, setter))),
        *cut_layers(
            ((part, placed_map(part, placed)) for part, placed in parts),
            border_of(plan.stock, plan.role),
            printer,
        ),
        notes,
    ]
    if printer.marks is not None:
        layers.append(_mark_centers(sheet, plan, printer))
    title = f"sheet {sheet.number} of {len(plan.sheets)}"
    return Page(
        f"{plan.key}-{sheet.number}",
        title,
        size,
        live,
        live,
        tuple(layer for layer in layers if layer.items),
    )


def placed_map(part: Part, placed: Placed) -> Affine:
    """Where a part's own coordinates go on the sheet."""
    move = Affine.move(placed.x, placed.y)
    if not placed.turned:
        return move
    return Affine.quarter_turns(1).then(Affine.move(part.size.height, 0.0)).then(move)


def _print(sheet: Sheet, plan: SheetPlan, setter: Typesetter) -> Iterator[Item]:
    black = _black(plan)
    for placed in sheet.placed:
        part = plan.parts[placed.name]
        if not part.art:
            continue
        at = placed_map(part, placed)
        yield Placement(f"face-{placed.name}", at)
        for item in (
            *_border_name(placed.name, part, black, setter),
            *top_of_pipe_mark(part, black, setter),
        ):
            yield moved(item, at)


def _border_name(name: str, part: Part, black: Ink, setter: Typesetter) -> tuple[Placement, ...]:
    """The marker's name in what is cut away below the face, in black or knocked out of it."""
    if part.role is not PartRole.FILM:
        return ()
    ground = part.art[0].ink if part.art else None
    light = ground is not None and contrast(ground.lab, black.lab) < 3
    ink = Ink("Paper", Lab(95.0, 0.0, 0.0), InkRole.PAPER) if light else black
    at = Point(part.size.width / 2, part.size.height + (part.bleed + _NAME) / 2)
    return setter.line(name, at, _NAME, ink, "center")


def _mark_places(sheet: Sheet, plan: SheetPlan) -> tuple[Point, ...]:
    """Centers of the marks: the corners of the sheet, in the middle of the margin."""
    near = plan.stock.margin / 2
    return tuple(
        Point(x, y) for x in (near, sheet.width - near) for y in (near, sheet.length - near)
    )


def _mark_centers(sheet: Sheet, plan: SheetPlan, printer: Printer) -> Layer:
    """A square of 1 mm around each mark's center, for the cutter's own file."""
    squares = (
        rectangle(Rect(center.x - 0.5, center.y - 0.5, 1.0, 1.0))
        for center in _mark_places(sheet, plan)
    )
    return Layer(Step.MARKS.title, step_strokes(squares, Step.MARKS, printer), Step.MARKS)


def _black(plan: SheetPlan) -> Ink:
    return black_among(shape.ink for part in plan.parts.values() for shape in part.art)


def _slug(
    sheet: Sheet, plan: SheetPlan, text: SheetText, printer: Printer, setter: Typesetter
) -> Iterator[Item]:
    """Marks, a scale bar of 100 mm and one line of text, in the bottom margin; black alone."""
    if plan.role is PartRole.PLATE:
        return
    black = _black(plan)
    if printer.marks is not None:
        for center in _mark_places(sheet, plan):
            yield Fill(registration_mark(printer.marks, center, printer.mark_size), black)
    baseline = sheet.length - plan.stock.margin / 2 + _SLUG / 2
    left = plan.stock.margin + printer.mark_size
    yield Fill(
        rectangle(Rect(left, baseline - _SLUG / 2, _SCALE_BAR, 0.3)),
        black,
    )
    for x in (left, left + _SCALE_BAR - 0.3):
        yield Fill(rectangle(Rect(x, baseline - _SLUG, 0.3, _SLUG)), black)
    yield from setter.line("100 mm", Point(left + 2, baseline + 0.6), 1.2, black)
    line, start = slug_line(sheet, plan, text), left + _SCALE_BAR + 4
    room = sheet.width - start - plan.stock.margin - printer.mark_size
    size = min(_SLUG, room / setter.width(line, 1.0))
    yield from setter.line(line, Point(start, baseline), size, black)


def slug_line(sheet: Sheet, plan: SheetPlan, text: SheetText) -> str:
    """What the slug says: order, stock, sheet, copies, inks."""
    names = sorted(
        {
            shape.ink.name
            for part in plan.parts.values()
            for shape in part.art
            if shape.ink is not None and shape.ink.role is not InkRole.PAPER
        }
    )
    return (
        f"{text.order}  |  {plan.stock.title}  |  {plan.build}  |  sheet {sheet.number} of "
        f"{len(plan.sheets)}, print {sheet.copies}  |  inks: {', '.join(names) or 'none'}"
    )


def _notes(
    width: float, plan: SheetPlan, text: SheetText, printer: Printer, setter: Typesetter
) -> Layer:
    """Build, laminate and mounting as outlines in the top margin, on the notes step."""
    margin, left = plan.stock.margin, plan.stock.margin + printer.mark_size
    words = "  ".join((f"{plan.build}.", *text.notes))
    size = _SLUG
    lines = setter.wrap(words, size, width - 2 * left)
    while len(lines) * PITCH * size > margin - 1.0:
        size *= 0.9
        lines = setter.wrap(words, size, width - 2 * left)
    paths = (
        setter.outline_text(line, Point(left, 0.5 + size * (1.4 + PITCH * index)), size)
        for index, line in enumerate(lines)
    )
    return Layer(Step.NOTES.title, step_strokes(paths, Step.NOTES, printer), Step.NOTES)
