"""Hop five: a nested group becomes pages of print and cut.

Print is placed by reference, one symbol a face. Cut content is flat: every contour of a page,
in its place. Marks and the slug line are in the margin, from the same origin as the rest.
"""

from __future__ import annotations

from collections.abc import Iterator

from layouts.drawing import Affine, Point, Rect, Size
from layouts.drawing.document import Document, Item, Layer, Page, Placement, Step, Symbol
from layouts.drawing.inks import Ink, InkRole, Lab, contrast
from layouts.drawing.typeset import Typesetter
from layouts.face.model import Part
from layouts.pages.margin import SheetText, black_of, note_lines, notes, slug, slug_band
from layouts.pages.marks import mark_centers, refuse_marks, white_under
from layouts.pages.steps import cut_layers, move_item, top_of_pipe_mark
from layouts.sheets.pieces import border_of
from layouts.sheets.sheetplan import Placed, Sheet, SheetPlan
from layouts.sheets.stock import NotesIn, Printer
from layouts.terms.words import PartRole

_NAME = 1.3  # cap height of the marker's name in the border, mm


def assemble(
    plan: SheetPlan, text: SheetText, printer: Printer, setter: Typesetter, date: str | None
) -> Document:
    """Every distinct sheet of the group as one page; symbols are shared by all of them."""
    one_of = {sheet.stock.key: sheet for sheet in plan.sheets}
    for sheet in one_of.values():
        refuse_marks(sheet.stock, printer)
    told = {key: notes(sheet, plan, text, printer, setter) for key, sheet in one_of.items()}
    pages = tuple(
        _page(sheet, plan, text, printer, setter, told[sheet.stock.key]) for sheet in plan.sheets
    )
    symbols = {
        f"{kind}-{name}": Symbol(f"{kind}-{name}", shapes, part.box.grown(part.bleed))
        for name, part in plan.parts.items()
        for kind, shapes in (("face", part.art), ("white", part.white))
        if shapes
    }
    return Document(
        plan.key, plan.document_title(text.order), pages, {**symbols, **setter.symbols()}, date
    )


def _page(
    sheet: Sheet,
    plan: SheetPlan,
    text: SheetText,
    printer: Printer,
    setter: Typesetter,
    told: Layer,
) -> Page:
    beside = tuple(slug(sheet, plan, text, printer, setter))
    size = Size(sheet.width, sheet.length)
    live = Rect(0.0, 0.0, sheet.width, sheet.length).grown(-sheet.stock.margin)
    parts = [(plan.parts[each.name], each) for each in sheet.placed]
    white = tuple(
        Placement(f"white-{placed.name}", placed_map(part, placed))
        for part, placed in parts
        if part.white
    )
    band = slug_band(sheet, printer) if beside else None
    layers = [
        Layer(Step.WHITE.title, (*white, *white_under(sheet, printer, band)), Step.WHITE),
        Layer("Print", tuple(_print(sheet, plan, setter))),
        Layer("Slug", beside),
        *cut_layers(
            ((part, placed_map(part, placed)) for part, placed in parts),
            border_of(plan.stock, plan.role),
            printer,
        ),
        told,
    ]
    if printer.marks is not None:
        layers.append(mark_centers(sheet, printer))
    title = f"sheet {sheet.number} of {len(plan.sheets)}"
    return Page(
        f"{plan.key}-{sheet.number}",
        title,
        size,
        live,
        live,
        tuple(layer for layer in layers if layer.items),
        note_lines(sheet, plan, text, printer, setter) if printer.notes is NotesIn.TEXT else (),
    )


def placed_map(part: Part, placed: Placed) -> Affine:
    """The map from a part's own coordinates to the sheet."""
    move = Affine.move(placed.x, placed.y)
    if not placed.turned:
        return move
    return Affine.quarter_turns(1).then(Affine.move(part.size.height, 0.0)).then(move)


def _print(sheet: Sheet, plan: SheetPlan, setter: Typesetter) -> Iterator[Item]:
    black = black_of(plan)
    for placed in sheet.placed:
        part = plan.parts[placed.name]
        if not part.art:
            continue
        at = placed_map(part, placed)
        yield Placement(f"face-{placed.name}", at)
        for item in (
            *_border_name(placed, part, black, setter),
            *top_of_pipe_mark(part, black, setter),
        ):
            yield move_item(item, at)


def _border_name(
    placed: Placed, part: Part, black: Ink, setter: Typesetter
) -> tuple[Placement, ...]:
    """The marker's name in what is cut away below the face, in black or knocked out of it.

    Where markers are kept together by area their position is printed beside it.
    """
    if part.role is not PartRole.FILM:
        return ()
    ground = part.art[0].ink if part.art else None
    light = ground is not None and contrast(ground.lab, black.lab) < 3
    ink = Ink("Paper", Lab(95.0, 0.0, 0.0), InkRole.PAPER) if light else black
    at = Point(part.size.width / 2, part.size.height + (part.bleed + _NAME) / 2)
    text, size = placed.name, _NAME
    if placed.area:
        full, short = f"{text}  {placed.area} {placed.number}", f"{text} / {placed.number}"
        text = full if setter.width(full, size) <= part.size.width else short
        size = min(size, part.size.width / setter.width(text, 1.0))
    return setter.line(text, at, size, ink, "center")
