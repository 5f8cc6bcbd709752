"""Shared edges cut once, bridges, and whole pages. Areas and lengths are worked out by hand."""

import itertools
import math
from collections.abc import Sequence
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layouts.drawing import (
    Affine,
    Arc,
    Contour,
    Line,
    Path,
    Point,
    Rect,
    Size,
    polyline,
    rectangle,
)
from layouts.drawing.document import Fill, Layer, Page, Placement, Step, Stroke, Symbol
from layouts.drawing.inks import Ink, InkRole, Lab
from layouts.pages.cuts import (
    Bridges,
    CutOptions,
    cut_bridges,
    merge_edges,
    prepare_cuts,
    prepared_page,
    tidy_contours,
    weeding_frame,
)
from layouts.pages.cuts.contour_pieces import distance_to, part
from tests.helpers.forms import box, corners, hole, total

# -- merge --------------------------------------------------------------------------------------


def test_neighbors_share_one_cut() -> None:
    """Two by three boxes of 40 x 20 with no gap: seven inner edges are cut once, not twice.

    Outer ring 80 + 60 twice, one inner line of 60 and two of 80: 280 + 60 + 160 = 500 mm.
    """
    boxes = [box(40 * x, 20 * y, 40, 20) for x in range(2) for y in range(3)]
    cuts = merge_edges(tidy_contours(boxes))
    assert total(boxes) == 720
    assert total(cuts) == pytest.approx(500)
    for ring in boxes:  # every edge of every box is still cut
        for n in range(80):
            start, segment = list(zip(ring.points(), ring.segments, strict=False))[n % 5]
            spot, _ = part(start, segment, 0.37, 1)
            assert min(distance_to(cut, spot) for cut in cuts) < 1e-6


def test_edges_of_different_length_share_their_common_stretch() -> None:
    cuts = merge_edges(tidy_contours([box(0, 0, 100, 20), box(30, 20, 40, 20)]))
    assert total(cuts) == pytest.approx(240 + 80)
    assert [each.closed for each in cuts] == [True, False]
    assert {(each.start.x, each.start.y) for each in cuts[1:]} <= {(30, 20), (70, 20)}


def test_a_long_edge_is_cut_round_two_short_neighbors() -> None:
    cuts = merge_edges(tidy_contours([box(0, 20, 30, 20), box(70, 20, 30, 20), box(0, 0, 100, 20)]))
    assert [each.closed for each in cuts] == [True, True, False, False]
    assert total(cuts) == pytest.approx(100 + 100 + 240 - 60)


def test_shared_edges_may_lie_apart_by_the_tolerance_alone() -> None:
    for gap, shared in ((0.004, True), (0.02, False)):
        cuts = merge_edges(tidy_contours([box(0, 0, 50, 20), box(50 + gap, 0, 50, 20)]))
        assert all(each.closed for each in cuts) is not shared


def test_crossing_and_touching_edges_stay() -> None:
    rings = tidy_contours([box(0, 0, 50, 20), box(25, 10, 50, 40), box(50, 20, 10, 10)])
    assert merge_edges(rings) == rings


@given(st.floats(0, 360), st.floats(1, 49), st.floats(-19, 19))
@settings(max_examples=50, deadline=None, derandomize=True)
def test_merging_works_at_any_angle(degrees: float, width: float, shift: float) -> None:
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    turn = Affine(cos, sin, -sin, cos, 400, 300)
    rings = [each.mapped(turn) for each in (box(0, 0, 50, 20), box(50, shift, width, 20))]
    assert total(merge_edges(tidy_contours(rings))) == pytest.approx(
        total(rings) - (20 - abs(shift)), abs=0.02
    )


def test_a_neighbor_cut_whole_already_is_gone() -> None:
    """The middle box of three by three is ringed by its neighbors' edges."""
    around = [box(20 * x, 20 * y, 20, 20) for x in range(3) for y in range(3) if (x, y) != (1, 1)]
    cuts = merge_edges(tidy_contours([*around, box(20, 20, 20, 20)]))
    assert total(cuts) == pytest.approx(24 * 20)


# -- bridges ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "ring", [box(0, 0, 120, 40, 5), hole(50, 50, 60), corners((0, 0), (90, 0), (0, 70))]
)
def test_bridges_hold_the_part(ring: Contour) -> None:
    bridges = Bridges(width=0.8, spacing=60)
    pieces = cut_bridges(ring, bridges)
    count = math.ceil(ring.length() / 60)
    assert len(pieces) == count
    assert not any(each.closed for each in pieces)
    assert total(pieces) == pytest.approx(ring.length() - count * 0.8, abs=1e-6)
    for one, other in itertools.pairwise([*pieces, pieces[0]]):
        gap = one.segments[-1].end.distance(other.start)
        assert gap == pytest.approx(0.8, abs=1e-3)  # a chord of an arc is a little shorter


def test_bridges_keep_off_corners() -> None:
    (whole,) = tidy_contours([box(0, 0, 100, 40)])
    spots = [(x, y) for x in (0, 100) for y in (0, 40)]
    for width in (0.5, 1.0, 2.0):
        for spacing in (35, 40, 47, 56, 70):
            for piece in cut_bridges(whole, Bridges(width, spacing)):
                for end in (piece.start, piece.segments[-1].end):
                    assert (
                        min(math.dist((end.x, end.y), spot) for spot in spots) >= width / 2 - 1e-9
                    )


def test_what_is_too_small_for_bridges_stays_whole() -> None:
    ring = hole(0, 0, 2)
    assert cut_bridges(ring, Bridges(1.0, 50)) == (ring,)
    line = polyline([Point(0, 0), Point(500, 0)]).contours[0]
    assert cut_bridges(line, Bridges(1.0, 50)) == (line,)


@pytest.mark.parametrize("wrong", [(0, 50, 2), (5, 5, 2), (-1, 50, 2), (1, 50, 0)])
def test_senseless_bridges_are_refused(wrong: tuple[float, float, int]) -> None:
    with pytest.raises(ValueError, match="width"):
        Bridges(*wrong)


# -- all together -------------------------------------------------------------------------------


def test_prepared_with_every_option() -> None:
    boxes = [box(40 * x, 20 * y, 40, 20) for x in range(2) for y in range(3)]
    cuts = prepare_cuts(
        [*boxes, *boxes, hole(20, 10)], CutOptions(merge=True, bridges=Bridges(0.5, 100))
    )
    gaps = 500 + math.pi * 6 - total(cuts)
    assert gaps == pytest.approx(2 * 0.5 + 2 * 0.5, abs=1e-6)  # the hole and the one closed box


def test_the_weeding_frame_goes_round_all() -> None:
    frame = weeding_frame([box(10, 10, 50, 20), hole(100, 40, 10)], 4, 2)
    assert frame.bounds() == Rect(6, 6, 103, 43)
    assert all(isinstance(each, Line | Arc) for each in frame.contours[0].segments)


INK = Ink("Cutting", Lab(50, 60, 0), InkRole.STEP)


def sheet_of(**layers: Sequence[Contour]) -> Page:
    """A page of 500 x 300 mm with a layer for each step that is named."""
    whole = Rect(0, 0, 500, 300)
    made = [
        Layer(name, tuple(Stroke(Path((each,)), INK, 0.09) for each in contours), Step[name])
        for name, contours in layers.items()
    ]
    return Page("p", "p", Size(500, 300), whole, whole, tuple(made))


def contours_of(page: Page, step: Step) -> list[Contour]:
    (layer,) = (layer for layer in page.layers if layer.step is step)
    shapes = [item for item in layer.items if not isinstance(item, Placement)]
    assert len(shapes) == len(layer.items)
    return [contour for shape in shapes for contour in shape.path.contours]


def test_a_page_is_prepared_layer_by_layer() -> None:
    boxes = [box(40 * x, 20, 40, 20) for x in range(3)]
    page = sheet_of(
        HOLE=[hole(20, 30), hole(20, 30)], THROUGH_CUT=boxes, SIZES=boxes, KISS_CUT=boxes
    )
    ready = prepared_page(page, {}, CutOptions(merge=True, bridges=Bridges(0.5, 80), weeding=5))
    assert [layer.step for layer in ready.layers] == [layer.step for layer in page.layers]
    # The hole once, whole; sizes as they were; kiss cuts merged, framed and never bridged.
    assert [each.closed for each in contours_of(ready, Step.HOLE)] == [True]
    assert contours_of(ready, Step.SIZES) == contours_of(page, Step.SIZES)
    kiss = contours_of(ready, Step.KISS_CUT)
    assert total(kiss) == pytest.approx(3 * 120 - 2 * 20 + 2 * (130 + 30))
    assert kiss[-1].bounds() == Rect(-5, 15, 130, 30)
    through = contours_of(ready, Step.THROUGH_CUT)
    assert 320 - 5 <= total(through) < 320
    assert not any(each.closed for each in through)
    assert {item.ink for layer in ready.layers for item in layer.items} == {INK}


def test_a_page_places_symbols_flat() -> None:
    outline_of_all = rectangle(Rect(0, 0, 30, 10), 2)
    symbol = Symbol(
        "s", (Stroke(outline_of_all, None, 0.09), Fill(outline_of_all, INK)), Rect(0, 0, 30, 10)
    )
    places = tuple(Placement("s", Affine.move(x, 7), INK) for x in (90, 10, 50))
    page = sheet_of(KISS_CUT=[])
    page = replace(page, layers=(Layer("k", places, Step.KISS_CUT), Layer("print", places)))
    ready = prepared_page(page, {"s": symbol})
    assert [each.bounds().x for each in contours_of(ready, Step.KISS_CUT)] == [10, 50, 90]
    strokes = [item for item in ready.layers[0].items if isinstance(item, Stroke)]
    assert len(strokes) == len(ready.layers[0].items)
    assert {(stroke.ink, stroke.width) for stroke in strokes} == {(INK, 0.09)}
    assert ready.layers[1] == page.layers[1]


def test_without_options_nothing_but_order_and_entry_changes() -> None:
    boxes = [box(300, 20, 40, 20, 3), box(10, 20, 40, 20, 3)]
    ready = prepared_page(sheet_of(THROUGH_CUT=boxes), {})
    found = contours_of(ready, Step.THROUGH_CUT)
    assert [each.bounds() for each in found] == [boxes[1].bounds(), boxes[0].bounds()]
    assert all(each.closed for each in found)
