"""The geometry's judge at its limits: two micrometers of slack and no more, on every side."""

from __future__ import annotations

from dataclasses import replace

import pytest

from layouts.drawing import Affine, Contour, Line, Path, Point, Rect, Size, circle, rectangle
from layouts.drawing.document import Fill, Layer, Page, Placement, Step, Stroke, Symbol
from layouts.drawing.inks import Ink, InkRole, Lab
from layouts.face import Face, compose
from layouts.order.order import PipeMarker
from layouts.pages.check import check_face, count_faults, sheet_faults
from layouts.plan import plan
from layouts.schemes.loader import load_scheme
from layouts.sheets.pieces import Wanted
from layouts.sheets.planning import plan_sheets
from layouts.sheets.sheetplan import Placed, SheetPlan
from layouts.sheets.stock import Printer
from layouts.terms.words import PartRole
from render.read.fonts import default_typefaces
from render.shop.shopfile import load_shop

SIDE = 2000.0  # mm, of the sheet that parts are laid on
SLACK = 0.002  # mm: the nester counts whole micrometers
INK = Ink("Safety orange", Lab(65, 50, 60))
LINE = Ink("Cut", Lab(50, 0, 0), InkRole.STEP)
UNDERPRINT = Ink("White", Lab(95, 0, 0), InkRole.WHITE)


def a_face() -> Face:
    spec = PipeMarker.model_validate(
        {
            "service": "HPL",
            "state": "liquid",
            "pressure": "185 psig",
            "pipe": "NPS 2",
            "covering": 0,
            "flow": "right",
        }
    )
    plans, _ = plan(spec, {"ammonia-2014": load_scheme("ammonia-2014")}, "ammonia-2014")
    return compose(plans[0].design, default_typefaces())


FACE = a_face()


@pytest.fixture(scope="module")
def films() -> SheetPlan:
    (stock, *_) = load_shop().of_role(PartRole.FILM)
    part = FACE.printed
    group, left = plan_sheets("film-1", (stock,), PartRole.FILM, "f", [Wanted("A", part, 2)])
    assert not left
    return group


def laid(group: SheetPlan, *places: tuple[float, float], turned: bool = False) -> SheetPlan:
    """The group with its parts at these places on one long sheet, counted as wanted."""
    placed = tuple(Placed("A", x, y, turned) for x, y in places)
    sheet = replace(group.sheets[0], placed=placed, copies=1, width=SIDE, length=SIDE)
    return replace(group, sheets=(sheet,), quantities={"A": len(placed)})


def judged(group: SheetPlan, page: Page, symbols: dict[str, Symbol]) -> tuple[str, ...]:
    (sheet,) = group.sheets
    return (*sheet_faults(group, sheet, page, symbols), *count_faults(group))


def faults_of(group: SheetPlan) -> tuple[str, ...]:
    return judged(group, a_page(), {})


@pytest.mark.parametrize("beyond", [0.001, 0.004])
def test_parts_with_their_borders_keep_the_gap_in_both_directions(
    films: SheetPlan, beyond: float
) -> None:
    size, stock = films.parts["A"].size, films.stock
    wide = size.width + 2 * stock.border + stock.gap - beyond
    high = size.height + 2 * stock.border + stock.gap - beyond
    close = (f"sheet 1: A and A are closer than {stock.gap:g} mm",)
    for second in ((100 + wide, 100), (100, 100 + high)):
        for places in (((100, 100), second), (second, (100, 100))):
            assert faults_of(laid(films, *places)) == (close if beyond > SLACK else ())
    # Also where the one further to the right lies above the other.
    found = faults_of(laid(films, (100, 600), (101, 600 - high)))
    assert found == (close if beyond > SLACK else ())
    # Diagonally one direction suffices.
    assert faults_of(laid(films, (100, 100), (100 + wide + 1, 100 + high - 20))) == ()
    assert faults_of(laid(films, (100, 100), (100 + wide - 20, 100 + high + 1))) == ()
    assert faults_of(laid(films, (100, 100), (100 + wide - 20, 100 + high - 20))) == close


def test_every_close_pair_is_said(films: SheetPlan) -> None:
    assert len(faults_of(laid(films, (100, 100), (101, 101), (102, 102)))) == 3


@pytest.mark.parametrize("beyond", [0.001, 0.004])
@pytest.mark.parametrize("turned", [False, True])
def test_parts_keep_the_margin_on_every_side(films: SheetPlan, beyond: float, turned: bool) -> None:
    size, stock = films.parts["A"].size, films.stock
    width, height = (size.height, size.width) if turned else (size.width, size.height)
    free = stock.margin + stock.border
    left, right = free - beyond, SIDE - free - width + beyond
    top, bottom = free - beyond, SIDE - free - height + beyond
    fault = ("sheet 1: A reaches beyond the margin",)
    for place in ((left, 300), (right, 300), (200, top), (200, bottom)):
        found = faults_of(laid(films, place, turned=turned))
        assert found == (fault if beyond > SLACK else ())


def test_parts_with_their_borders_keep_out_of_zones(films: SheetPlan) -> None:
    size, border = films.parts["A"].size, films.stock.border
    zone = Rect(900, 400, 40, 30)
    inside = {
        "left": (zone.x - size.width - border, 410.0),
        "right": (zone.right + border, 410.0),
        "above": (890.0, zone.y - size.height - border),
        "below": (890.0, zone.bottom + border),
    }
    toward = {"left": (1, 0), "right": (-1, 0), "above": (0, 1), "below": (0, -1)}
    for side, (x, y) in inside.items():
        for by, faults in ((0.001, 0), (0.004, 1)):
            dx, dy = toward[side]
            group = laid(films, (x + by * dx, y + by * dy))
            kept = replace(group.sheets[0], stock=replace(group.stock, keep_outs=(zone,)))
            found = judged(replace(group, sheets=(kept,)), a_page(), {})
            assert len(found) == faults, side
            assert all("zone to be kept free" in each for each in found)


def test_what_is_placed_is_what_is_wanted(films: SheetPlan) -> None:
    one = laid(films, (100, 100))
    assert faults_of(replace(one, quantities={"A": 2})) == ("A: 1 placed, 2 wanted",)
    twice = replace(one, sheets=(replace(one.sheets[0], copies=2),))
    assert faults_of(twice) == ("A: 2 placed, 1 wanted",)
    assert faults_of(replace(twice, quantities={"A": 2})) == ()
    assert faults_of(replace(one, quantities={})) == ("A: placed but not wanted",)


def a_page(*layers: Layer) -> Page:
    box = Rect(0, 0, 1000, 900)
    return Page("page", "page", Size(1000, 900), box, box, layers)


def page_faults(
    films: SheetPlan,
    *layers: Layer,
    printer: Printer | None = None,
    symbols: tuple[Symbol, ...] = (),
) -> tuple[str, ...]:
    group = laid(films, (100, 100))
    stock = replace(group.stock, printer=printer or Printer())
    named = {symbol.id: symbol for symbol in symbols}
    return judged(replace(group, stocks=(stock,)), a_page(*layers), named)


BOX = rectangle(Rect(10, 10, 50, 50))
OPEN = Path((Contour(Point(10, 10), (Line(Point(60, 10)),), closed=False),))


def test_inks_belong_on_their_layers(films: SheetPlan) -> None:
    art, cut, white = Fill(BOX, INK), Stroke(BOX, LINE, 0.1), Fill(BOX, UNDERPRINT)
    sound = (Layer("Art", (art,)), Layer("Cut", (cut,), Step.THROUGH_CUT))
    assert page_faults(films, *sound, Layer("White", (white,), Step.WHITE)) == ()
    assert page_faults(films, Layer("Art", (cut,))) == (
        "page: ink Cut does not belong on layer Art",
    )
    assert page_faults(films, Layer("Art", (white,))) == (
        "page: ink White does not belong on layer Art",
    )
    assert page_faults(films, Layer("Notes", (art,), Step.NOTES)) == (
        "page: ink Safety orange does not belong on layer Notes",
    )
    # Also where it is inside a symbol that the layer places.
    symbol = Symbol("s", (cut,), Rect(10, 10, 50, 50))
    placed = Layer("Art", (Placement("s", Affine.move(5, 5)),))
    assert page_faults(films, placed, symbols=(symbol,)) == (
        "page: ink Cut does not belong on layer Art",
    )


def test_cuts_are_flat(films: SheetPlan) -> None:
    symbol = Symbol("s", (Stroke(BOX, LINE, 0.1),), Rect(10, 10, 50, 50))
    item = Placement("s", Affine.move(5, 5))
    flat = "page: layer Cut places by reference, cuts are flat"
    assert page_faults(films, Layer("Cut", (item,), Step.KISS_CUT), symbols=(symbol,)) == (flat,)
    assert page_faults(films, Layer("Notes", (item,), Step.NOTES), symbols=(symbol,)) == ()
    # What comes after it is looked at as well.
    both = Layer("Cut", (item, Stroke(OPEN, LINE, 0.1)), Step.KISS_CUT)
    assert page_faults(films, both, symbols=(symbol,)) == (flat, "page: Cut holds an open contour")


@pytest.mark.parametrize(
    ("printer", "kiss", "through"),
    [
        (Printer(), 1, 1),
        (Printer(merge_edges=True), 0, 0),  # shared edges are cut once
        (Printer(bridge=0.5), 1, 0),  # bridges hold plates in their sheet
    ],
)
def test_contours_are_closed_unless_the_machine_wants_pieces(
    films: SheetPlan, printer: Printer, kiss: int, through: int
) -> None:
    for step, faults in ((Step.KISS_CUT, kiss), (Step.THROUGH_CUT, through), (Step.HOLE, 1)):
        layer = Layer("Cut", (Stroke(OPEN, LINE, 0.1),), step)
        found = page_faults(films, layer, printer=printer)
        assert found == ("page: Cut holds an open contour",) * faults


def cut_at(x: float, y: float, width: float, height: float) -> Layer:
    box = rectangle(Rect(x, y, width, height))
    return Layer("Cut", (Stroke(box, LINE, 0.1),), Step.THROUGH_CUT)


def test_cuts_stay_on_the_sheet(films: SheetPlan) -> None:
    off = ("page: Cut runs off the sheet",)
    assert page_faults(films, cut_at(-0.001, -0.001, 1000.002, 900.002)) == ()
    for x, y in ((-0.01, 50), (950.01, 50), (50, -0.01), (50, 850.01)):
        assert page_faults(films, cut_at(x, y, 50, 50)) == off


def test_a_cut_shorter_than_a_millimeter_is_a_sliver(films: SheetPlan) -> None:
    # The outline of a square is four sides, that of a circle pi diameters.
    sliver = ("page: Cut holds a sliver",)
    assert page_faults(films, cut_at(50, 50, 0.25, 0.25)) == ()
    assert page_faults(films, cut_at(50, 50, 0.24, 0.24)) == sliver
    dot = Layer("Cut", (Stroke(circle(Point(9, 9), 0.3), LINE, 0.1),), Step.HOLE)
    assert page_faults(films, dot) == sliver
    merged = Printer(merge_edges=True)
    assert page_faults(films, cut_at(50, 50, 0.1, 0.1), printer=merged) == ()


def test_a_lost_mark_is_said(films: SheetPlan) -> None:
    mark = Stroke(circle(Point(5, 5), 3), LINE, 0.1)
    # Five on each side of 2,000 mm at 600 apart at most, and the one that tells the orientation.
    lost = "sheet 1: 2 marks have no place beside the zones kept free"
    for count, faults in ((11, ()), (9, (lost,))):
        assert page_faults(films, Layer("Marks", (mark,) * count, Step.MARKS)) == faults
    assert page_faults(films, Layer("Notes", (mark,), Step.NOTES)) == ()


def test_a_face_whose_words_are_lower_than_designed_is_found() -> None:
    assert check_face(FACE) == ()
    for more, faults in ((0.001, 0), (5.0, 1)):
        # The tallest word has an overshoot of a share of its height (round letters): past it.
        design = replace(FACE.design, letter_height=tallest(FACE) + more)
        assert len(check_face(replace(FACE, design=design))) == faults


def tallest(face: Face) -> float:
    boxes = [s.path.bounds() for s in face.printed.art if isinstance(s, Fill) and s.path.count > 1]
    return max(box.height for box in boxes)


@pytest.mark.parametrize(("dx", "dy"), [(1, 0), (-1, 0), (0, 1), (0, -1)])
def test_a_word_beyond_the_trim_is_found(dx: int, dy: int) -> None:
    part = FACE.printed
    shape = next(s for s in part.art if isinstance(s, Fill) and s.path.count > 1)
    away = shape.path.mapped(Affine.move(dx * part.size.width, dy * part.size.height))
    moved = replace(part, art=(*part.art, replace(shape, path=away)))
    assert check_face(replace(FACE, parts=(moved,))) == (
        f"{FACE.id}: a word reaches beyond the trim",
    )
    # A plate carries no words and is not looked at.
    plate = replace(moved, role=PartRole.PLATE)
    assert check_face(replace(FACE, parts=(plate,))) == ()
