"""Hop five: a nested group becomes pages of print and cut, one at a time.

Print is placed by reference, one symbol a face. Cut content is flat: every contour of a page,
in its place. Marks and the slug line are in the margin, from the same origin as the rest.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from typing import NamedTuple

from layouts.drawing import Affine, Path, Point, Rect, Size
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

    ``symbols`` are the group's faces and what the texts of the pages so far place. Pages in a row
    that are cut alike hold the same layers of cuts and marks: what is found out about these on the
    first page holds on the next.

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
        self._forms = _forms(plan)
        self._last: tuple[object, tuple[Layer, ...]] = None, ()
        self.symbols: Mapping[str, Symbol] = _Symbols(_faces(plan), setter.symbols())

    def page(self, sheet: Sheet) -> Page:
        """One sheet of the group; pages of one stock share their layer of notes."""
        plan, printer, setter = self._plan, self._printer, self._setter
        lying = [
            _Lying(each, part, placed_map(part, each))
            for each in sheet.placed
            for part in [plan.parts[each.name]]
        ]
        beside = tuple(slug(sheet, plan, self._text, printer, setter))
        band = slug_band(sheet, printer) if beside else None
        white = (
            Placement(f"white-{each.placed.name}", each.at) for each in lying if each.part.white
        )
        layers = (
            Layer(Step.WHITE.title, (*white, *white_under(sheet, printer, band)), Step.WHITE),
            Layer("Print", tuple(_print(lying, black_of(plan), setter))),
            Layer("Slug", beside),
            *self._step_layers(sheet, lying),
        )
        live = Rect(0.0, 0.0, sheet.width, sheet.length).grown(-sheet.stock.margin)
        in_text = printer.notes is NotesIn.TEXT
        return Page(
            f"{plan.key}-{sheet.number}",
            f"sheet {sheet.number} of {len(plan.sheets)}",
            Size(sheet.width, sheet.length),
            live,
            live,
            tuple(layer for layer in layers if layer.items),
            note_lines(sheet, plan, self._text, printer, setter) if in_text else (),
        )

    def _step_layers(self, sheet: Sheet, lying: Sequence[_Lying]) -> tuple[Layer, ...]:
        """Cuts, notes and centers of marks; those of the last sheet where this one is cut alike."""
        forms, printer = self._forms, self._printer
        places = [(forms[each.name], each.x, each.y, each.turned) for each in sheet.placed]
        key = (sheet.stock.key, sheet.width, sheet.length, places)
        if self._last[0] != key:
            border = border_of(self._plan.stock, self._plan.role)
            cuts = cut_layers(((each.part, each.at) for each in lying), border, printer)
            marks = () if printer.marks is None else (mark_centers(sheet, printer),)
            self._last = key, (*cuts, self._told[sheet.stock.key], *marks)
        return self._last[1]


class _Lying(NamedTuple):
    """A part where it lies on a sheet."""

    placed: Placed
    part: Part
    at: Affine


def _forms(plan: SheetPlan) -> dict[str, int]:
    """A number for each part by its name; parts cut from the same contours share one."""
    numbers: dict[tuple[object, ...], int] = {}
    forms: dict[str, int] = {}
    for name, part in plan.parts.items():
        size = part.size
        own = (size.width, size.height, id(part.engraving))
        key = (*own, *_drawn(part.outline), *_drawn(part.holes))
        forms[name] = numbers.setdefault(key, len(numbers))
    return forms


def _drawn(path: Path | None) -> Iterator[int]:
    """What tells the contours of a path from others: parts share contours, not the path."""
    if path is not None and path.is_plain:
        yield from map(id, path.contours)
    else:
        yield id(path)


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


def placed_map(part: Part, placed: Placed) -> Affine:
    """The map from a part's own coordinates to the sheet."""
    if not placed.turned:
        return Affine.move(placed.x, placed.y)
    # A quarter turn clockwise brings the part to the left of the origin.
    return Affine(0.0, 1.0, -1.0, 0.0, placed.x + part.size.height, placed.y)


def _print(lying: Iterable[_Lying], black: Ink, setter: Typesetter) -> Iterator[Item]:
    for placed, part, at in lying:
        if not part.art:
            continue
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
    ink = _readable(part.art[0].ink if part.art else None, black)
    at = Point(part.size.width / 2, part.size.height + (part.bleed + _NAME) / 2)
    text, size = placed.name, _NAME
    if placed.area:
        full, short = f"{text}  {placed.area} {placed.number}", f"{text} / {placed.number}"
        text = full if setter.width(full, size) <= part.size.width else short
        size = min(size, part.size.width / setter.width(text, 1.0))
    return setter.line(text, at, size, ink, "center")


@lru_cache(maxsize=256)
def _readable(ground: Ink | None, black: Ink) -> Ink:
    """Black, or the paper where black would not show on the ground."""
    return _PAPER if ground is not None and contrast(ground.lab, black.lab) < 3 else black
