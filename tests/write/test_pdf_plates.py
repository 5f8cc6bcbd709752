"""What is on each plate, measured on Ghostscript's separations."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from layouts.drawing import Affine, Rect, Size, circle, rectangle
from layouts.drawing.document import Document, Fill, Layer, Page, Placement, Step, Stroke, Symbol
from layouts.drawing.inks import Ink
from render.color.profile import Cmyk
from render.write.pdf import Press, write
from tests.helpers.pdf_plates import Plate, extent, plates, window
from tests.helpers.pdf_samples import BLACK, BLUE, KISS, ORANGE, PAPER, WHITE
from tests.helpers.pdf_system import claiming

pytestmark = pytest.mark.tools

BOX = Rect(7.3, 5.2, 25.4, 12.7)
SIZE = Size(60, 40)
TOLERANCE = 0.03


def page(*layers: Layer, symbols: dict[str, Symbol] | None = None) -> Document:
    area = Rect(0, 0, SIZE.width, SIZE.height)
    one = Page("p", "P", SIZE, area.grown(-2), area.grown(-1), layers)
    return Document("plates", "Plates", (one,), symbols or {})


def box(ink: Ink, area: Rect = BOX, overprint: bool = False) -> Fill:
    return Fill(rectangle(area), ink, overprint)


@pytest.mark.parametrize("claims", [False, True])
def test_a_box_has_its_size_and_place(tmp_path: Path, claims: bool) -> None:
    press = claiming() if claims else Press()
    found = plates(write(page(Layer("Print", (box(ORANGE),))), press), tmp_path)
    assert set(found) == {ORANGE.name}
    assert extent(found[ORANGE.name]) == pytest.approx(
        (BOX.x, BOX.y, BOX.width, BOX.height), abs=TOLERANCE
    )


@pytest.mark.parametrize("turns", [0, 1, 2, 3])
def test_a_placed_symbol_has_its_size_and_place(tmp_path: Path, turns: int) -> None:
    area = Rect(0, 0, 16.3, 8.25)
    symbol = Symbol("s", (box(ORANGE, area),), area)
    at = Affine.quarter_turns(turns).then(Affine.scale(1.1)).then(Affine.move(30, 20))
    document = page(Layer("Print", (Placement("s", at),)), symbols={"s": symbol})
    found = plates(write(document), tmp_path)
    want = at.rect(area)
    assert extent(found[ORANGE.name]) == pytest.approx(
        (want.x, want.y, want.width, want.height), abs=TOLERANCE
    )


def test_a_symbol_drawn_small_and_placed_large_stays_true(tmp_path: Path) -> None:
    """A letter of cap height 1 at 12.7 mm, in the ink of its placement."""
    area = Rect(0.1234567, 0.2, 0.61803399, 1.0)
    symbol = Symbol("s", (Fill(rectangle(area), None),), area)
    at = Affine.scale(12.7).then(Affine.move(20, 10))
    document = page(Layer("Print", (Placement("s", at, BLUE),)), symbols={"s": symbol})
    found = plates(write(document), tmp_path)
    want = at.rect(area)
    assert set(found) == {BLUE.name}
    assert extent(found[BLUE.name]) == pytest.approx(
        (want.x, want.y, want.width, want.height), abs=TOLERANCE
    )


def test_a_black_legend_overprints_and_a_paper_one_knocks_out(tmp_path: Path) -> None:
    black, paper = Rect(10, 8, 4, 4), Rect(20, 8, 4, 4)
    art = (box(ORANGE), box(BLACK, black, overprint=True), box(PAPER, paper))
    found = plates(write(page(Layer("Print", art))), tmp_path)
    assert set(found) == {ORANGE.name, "Black"}
    assert inside(found[ORANGE.name], black).min() == 1, "the field goes on below the black"
    assert inside(found["Black"], black).min() == 1
    assert inside(found[ORANGE.name], paper).max() == 0, "the film shows"
    assert inside(found["Black"], paper).max() == 0


def test_paper_in_a_symbol_knocks_out_where_nothing_black_is_printed(tmp_path: Path) -> None:
    paper = Rect(10, 8, 4, 4)
    symbol = Symbol("s", (box(ORANGE), box(PAPER, paper)), BOX)
    document = page(Layer("Print", (Placement("s", Affine()),)), symbols={"s": symbol})
    found = plates(write(document), tmp_path)
    assert set(found) == {ORANGE.name}
    assert inside(found[ORANGE.name], paper).max() == 0


def test_a_black_that_does_not_overprint_knocks_the_field_out(tmp_path: Path) -> None:
    black = Rect(10, 8, 4, 4)
    found = plates(write(page(Layer("Print", (box(ORANGE), box(BLACK, black))))), tmp_path)
    assert inside(found[ORANGE.name], black).max() == 0


def test_over_a_white_underprint_the_field_overprints(tmp_path: Path) -> None:
    white, hole = Rect(10, 8, 4, 4), Rect(20, 8, 4, 4)
    layers = (
        Layer("White", (box(WHITE),), Step.WHITE),
        Layer("Print", (box(ORANGE, overprint=True), box(WHITE, white), box(PAPER, hole))),
    )
    found = plates(write(page(*layers)), tmp_path)
    assert set(found) == {ORANGE.name, "White"}
    whole = Rect(BOX.x + 0.2, BOX.y + 0.2, 2, 2)
    assert inside(found["White"], whole).min() == 1
    assert inside(found[ORANGE.name], whole).min() == 1
    assert inside(found[ORANGE.name], white).max() == 0, "a white legend knocks out"
    assert inside(found["White"], white).min() == 1
    assert inside(found["White"], hole).max() == 0, "clear film where nothing is wanted"


def test_cut_plates_hold_their_contour_alone_and_leave_the_print_whole(tmp_path: Path) -> None:
    kiss, hole = rectangle(BOX.grown(-2), 1.5), circle(BOX.center, 6)
    layers = (
        Layer("Print", (box(ORANGE),)),
        Layer("Kiss", (Stroke(kiss, KISS, 0.1),), Step.KISS_CUT),
        Layer("Hole", (Stroke(hole, None, 0.1),), Step.HOLE),
    )
    found = plates(write(page(*layers)), tmp_path)
    assert set(found) == {ORANGE.name, "PartialCutting", "Drilling"}
    assert inside(found[ORANGE.name], BOX.grown(-0.1)).min() == 1, "no line knocks a hole"
    left, top, width, height = extent_of_lines(found["PartialCutting"])
    line = 0.25 / 72 * 25.4
    want = BOX.grown(-2 + line / 2)
    assert (left, top, width, height) == pytest.approx(
        (want.x, want.y, want.width, want.height), abs=2 * TOLERANCE
    )
    assert inside(found["PartialCutting"], BOX.grown(-2.1 - 0.5)).max() == 0


def test_steps_take_the_ink_names_of_the_machine(tmp_path: Path) -> None:
    press = Press(step_inks={Step.KISS_CUT: "Knife 1", Step.HOLE: "Drill 3"})
    layers = (
        Layer("Kiss", (Stroke(rectangle(BOX), KISS, 0.1),), Step.KISS_CUT),
        Layer("Hole", (Stroke(circle(BOX.center, 6), None, 0.1),), Step.HOLE),
    )
    assert set(plates(write(page(*layers), press), tmp_path)) == {"Knife 1", "Drill 3"}


def test_an_ink_converted_to_process_prints_on_its_plates(tmp_path: Path) -> None:
    """The field in process values over a white underprint: white stays, black is on its plate."""
    press = Press(claiming().profile, process={ORANGE.name: Cmyk(0.0, 0.6, 1.0, 0.0)})
    black, paper = Rect(10, 8, 4, 4), Rect(20, 8, 4, 4)
    layers = (
        Layer("White", (box(WHITE),), Step.WHITE),
        Layer(
            "Print",
            (
                box(BLUE, overprint=True),
                box(ORANGE, overprint=True),
                box(BLACK, black, overprint=True),
                box(PAPER, paper),
            ),
        ),
    )
    found = plates(write(page(*layers), press), tmp_path)
    assert set(found) == {"Magenta", "Yellow", "Black", "White", BLUE.name}
    assert np.median(inside(found["Magenta"], BOX)) == pytest.approx(0.6, abs=0.005)
    assert inside(found["Yellow"], black).min() == 1
    assert inside(found["Black"], black).min() == 1
    for plate in found.values():
        assert inside(plate, paper).max() == 0


def inside(plate: Plate, area: Rect) -> Plate:
    """A plate inside a box, a hair away from its edges."""
    kept = area.grown(-0.1)
    return window(plate, kept.x, kept.y, kept.width, kept.height)


def extent_of_lines(plate: Plate) -> tuple[float, float, float, float]:
    """Left, top, width and height in mm of everything that is inked."""
    from tests.helpers.pdf_plates import PX_PER_MM

    rows, columns = np.nonzero(plate > 0)
    left, top = columns.min() / PX_PER_MM, rows.min() / PX_PER_MM
    return (
        left,
        top,
        (columns.max() + 1) / PX_PER_MM - left,
        (rows.max() + 1) / PX_PER_MM - top,
    )
