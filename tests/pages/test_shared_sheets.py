"""What sheets in a row share is what each would have by itself, and hides no fault of the next."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from layouts.drawing import Affine, Contour, Line, Path, Point, Rect, Size, rectangle
from layouts.drawing.document import Fill, Layer, Page, Placement, Step, Stroke, Symbol
from layouts.drawing.inks import Ink, InkRole, Lab
from layouts.drawing.typeset import Typesetter
from layouts.face.model import Part
from layouts.pages.check import Sound, sheet_faults
from layouts.pages.cuts import CutOptions, Known, prepared_page
from layouts.pages.margin import SheetText
from layouts.pages.sheet import SheetPages
from layouts.sheets.pieces import Wanted
from layouts.sheets.planning import plan_sheets
from layouts.sheets.sheetplan import Placed, Sheet, SheetPlan
from layouts.terms.words import PartRole
from render.read.fonts import default_typefaces
from render.shop.shopfile import load_shop

INK = Ink("Safety orange", Lab(65, 50, 60))
LINE = Ink("Cut", Lab(50, 0, 0), InkRole.STEP)
SIZE = Size(88.9, 63.5)
OUTLINE = rectangle(Rect(0, 0, SIZE.width, SIZE.height), 3)
HOLE, LOW_HOLE = (rectangle(Rect(40, y, 5, 5), 2.5) for y in (4, 50))


def tag(hole: Path) -> Part:
    """A printed tag; its paths are its own, its contours those of all tags."""
    art = (Fill(rectangle(Rect(0, 0, SIZE.width, SIZE.height)), INK),)
    outline, holes = Path(OUTLINE.contours), Path(hole.contours)
    return Part(PartRole.TAG, SIZE, outline, holes, art, 0.0)


@pytest.fixture(scope="module")
def tags() -> SheetPlan:
    (stock, *_) = load_shop().of_role(PartRole.TAG)
    parts = {"A": tag(HOLE), "B": tag(HOLE), "C": tag(LOW_HOLE)}
    wanted = [Wanted(name, part, 1) for name, part in parts.items()]
    group, left = plan_sheets("tag-1", (stock,), PartRole.TAG, "t", wanted)
    assert not left
    return group


def sheet_of(group: SheetPlan, number: int, *names: str, right: float = 20.0) -> Sheet:
    placed = tuple(Placed(name, right + 120 * n, 30.0, False) for n, name in enumerate(names))
    return replace(group.sheets[0], number=number, placed=placed)


def pages_of(group: SheetPlan) -> SheetPages:
    setter = Typesetter(default_typefaces().text)
    return SheetPages(group, SheetText("order", ()), group.printer, setter)


def steps_of(page: Page) -> list[Layer]:
    return [layer for layer in page.layers if layer.step is not None]


@pytest.mark.parametrize(
    ("names", "right", "alike"),
    [
        (("B", "A"), 20.0, True),  # other words, the same cuts
        (("A", "C"), 20.0, False),  # another hole in a tag of the same size
        (("A", "B"), 20.5, False),  # another place
        (("A",), 20.0, False),
    ],
)
def test_sheets_that_are_cut_alike_share_layers_and_no_others(
    tags: SheetPlan, names: tuple[str, ...], right: float, alike: bool
) -> None:
    first, second = sheet_of(tags, 1, "A", "B"), sheet_of(tags, 2, *names, right=right)
    group = replace(tags, sheets=(first, second))
    pages, known = pages_of(group), Known()
    one, other = (
        prepared_page(pages.page(each), pages.symbols, CutOptions(), known) for each in group.sheets
    )
    shared = [a is b for a, b in zip(steps_of(one), steps_of(other), strict=True)]
    assert shared == [alike, alike, True, alike]  # holes, through cuts, notes, marks
    alone = pages_of(group)
    wanted = prepared_page(alone.page(second), alone.symbols, CutOptions())
    assert steps_of(other) == steps_of(wanted)


def layer_of(path: Path, step: Step | None, ink: Ink = LINE) -> Layer:
    return Layer("own", (Stroke(path, ink, 0.1),), step)


def placing(symbol: str, step: Step | None) -> Layer:
    return Layer("own", (Placement(symbol, Affine()),), step)


BOX = rectangle(Rect(10, 10, 50, 50))
OPEN = Path((Contour(Point(10, 10), (Line(Point(60, 10)),), closed=False),))
Change = Callable[[Sheet, Page], tuple[Sheet, Page]]


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        (lambda s, p: (replace(s, placed=(Placed("A", 1.0, 30.0, False),)), p), "the margin"),
        (lambda s, p: (replace(s, width=150.0), p), "reaches beyond the margin"),
        (lambda s, p: (s, replace(p, size=Size(55.0, 90.0))), "runs off the sheet"),
        (lambda s, p: (s, with_layer(p, layer_of(OPEN, Step.HOLE))), "holds an open contour"),
        (lambda s, p: (s, with_layer(p, layer_of(BOX, Step.HOLE, INK))), "does not belong"),
        (lambda s, p: (s, with_layer(p, layer_of(BOX, None))), "does not belong"),
        (lambda s, p: (s, with_layer(p, placing("cut", None))), "does not belong"),
        (lambda s, p: (s, with_layer(p, placing("words", Step.NOTES))), "does not belong"),
    ],
)
def test_a_fault_is_found_on_the_sheet_after_a_sound_one(
    tags: SheetPlan, change: Change, fault: str
) -> None:
    sheet = sheet_of(tags, 1, "A", "B")
    page = Page("page", "page", Size(1000, 900), BOX.bounds(), BOX.bounds(), ())
    page = with_layer(page, layer_of(BOX, Step.HOLE))
    page = with_layer(page, placing("words", None))
    symbols = {
        "words": Symbol("words", (Fill(BOX, INK),), BOX.bounds()),
        "cut": Symbol("cut", (Stroke(BOX, LINE, 0.1),), BOX.bounds()),
    }
    sound = Sound()
    assert not list(sheet_faults(tags, sheet, page, symbols, sound))
    changed = change(sheet, page)
    for _ in range(2):  # it is told again where it comes again
        found = list(sheet_faults(tags, *changed, symbols, sound))
        assert [fault in each for each in found] == [True] * len(found)
        assert found == list(sheet_faults(tags, *changed, symbols))
        assert found


def with_layer(page: Page, layer: Layer) -> Page:
    """The page with the layer in the place of that of its step."""
    others = tuple(each for each in page.layers if layer.step is None or each.step != layer.step)
    return replace(page, layers=(*others, layer))
