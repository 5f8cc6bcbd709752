"""Hop five: a nested group becomes pages of print and cut, one at a time.

Print is placed by reference, one symbol a face. Cut content is flat: every contour of a page,
in its place. Marks and the slug line are in the margin, from the same origin as the rest.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from layouts.drawing import Affine, Point, Rect, Size
from layouts.drawing.document import Item, Layer, Page, Placement, Step, Symbol
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
_PAPER = Ink("Paper", Lab(95.0, 0.0, 0.0), InkRole.PAPER)


class SheetPages:
    """The pages of a group's sheets, each assembled when it is asked for.

    ``symbols`` are the group's faces and what the texts of the pages so far place.

    Raises:
        InputError: the marks do not fit the margin of a stock.
    """

    def __init__(
        self, plan: SheetPlan, text: SheetText, printer: Printer, setter: Typesetter
    ) -> None:
        self._plan, self._text, self._printer, self._setter = plan, text, printer, setter
        one_of = {sheet.stock.key: sheet for sheet in plan.sheets}
        for sheet in one_of.values():
            refuse_marks(sheet.stock, printer)
        self._told = {
            key: notes(sheet, plan, text, printer, setter) for key, sheet in one_of.items()
        }
        self.symbols: Mapping[str, Symbol] = _Symbols(_faces(plan), setter.symbols())

    def page(self, sheet: Sheet) -> Page:
        """One sheet of the group; pages of one stock share their layer of notes."""
        told = self._told[sheet.stock.key]
        return _page(sheet, self._plan, self._text, self._printer, self._setter, told)


class _Symbols(Mapping[str, Symbol]):
    """Symbols of faces, and behind them those of texts, of which there may be more later."""

    def __init__(self, faces: Mapping[str, Symbol], texts: Mapping[str, Symbol]) -> None:
        self._faces, self._texts = faces, texts

    def __getitem__(self, name: str) -> Symbol:
        found = self._faces.get(name)
        return self._texts[name] if found is None else found

    def __iter__(self) -> Iterator[str]:
        yield from self._faces
        yield from self._texts

    def __len__(self) -> int:
        return len(self._faces) + len(self._texts)


def _faces(plan: SheetPlan) -> dict[str, Symbol]:
    """What is printed of each part, and the white below it."""
    return {
        f"{kind}-{name}": Symbol(f"{kind}-{name}", shapes, part.box.grown(part.bleed))
        for name, part in plan.parts.items()
        for kind, shapes in (("face", part.art), ("white", part.white))
        if shapes
    }


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
    ink = _PAPER if light else black
    at = Point(part.size.width / 2, part.size.height + (part.bleed + _NAME) / 2)
    text, size = placed.name, _NAME
    if placed.area:
        full, short = f"{text}  {placed.area} {placed.number}", f"{text} / {placed.number}"
        text = full if setter.width(full, size) <= part.size.width else short
        size = min(size, part.size.width / setter.width(text, 1.0))
    return setter.line(text, at, size, ink, "center")
