"""A temporary marker from an office printer: true size, every page true to its neighbors."""

from __future__ import annotations

import io
from dataclasses import replace
from itertools import pairwise

import pikepdf
import pytest

from layouts.drawing import Rect, Size
from layouts.drawing.document import Document, Drawn, Fill, Page, Placement, Stroke
from layouts.markers.gather import Marker
from layouts.pages.strips import OVERLAP
from layouts.terms.errors import InputError
from render.draw import draw, paper_size
from render.options import Options
from render.preflight import Verdict, inspect
from render.read import one_marker
from render.shop.shopfile import load_shop
from render.write import pdf


def drawn(paper: str, **fields: object) -> tuple[Document, Marker]:
    base = {
        "kind": "pipe",
        "service": "HPL",
        "state": "liquid",
        "pressure": "185 psig",
        "pipe": "NPS 2",
        "covering": "0",
        "flow": "right",
    }
    order = one_marker({**base, **fields}, "")
    document, markers, _ = draw(order, Options(load_shop()), paper)
    return document, markers[0]


def tiles(document: Document) -> list[tuple[Page, Rect]]:
    """What each window of each page shows, in the marker's own coordinates."""
    found = []
    for page in document.pages:
        items = page.layers[0].items
        faces = [item for item in items if isinstance(item, Placement) and "face" in item.symbol]
        (frame,) = (
            item for item in items if isinstance(item, Fill) and len(item.path.contours) > 1
        )
        for face, window in zip(faces, frame.path.contours[1:], strict=True):
            assert (face.at.a, face.at.b, face.at.c, face.at.d) == (1, 0, 0, 1)
            box = window.bounds()
            found.append((page, Rect(box.x - face.at.e, box.y - face.at.f, box.width, box.height)))
    return found


def ticks(page: Page) -> list[float]:
    """Where across the page its match marks are."""
    strokes = [item for item in page.layers[0].items if isinstance(item, Stroke)]
    short = [stroke.path.bounds() for stroke in strokes if not stroke.path.contours[0].closed]
    return [box.x for box in short if box.height > box.width]


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize("pipe", ["NPS 1/2", "NPS 2", "NPS 12"])
def test_the_pages_together_show_the_whole_marker_at_true_size(paper: str, pipe: str) -> None:
    document, marker = drawn(paper, pipe=pipe)
    size, shown = marker.face.parts[0].size, tiles(document)
    right = bottom = 0.0
    for page, tile in shown:
        # ANSI/ASME Y14.1 size A is 8.5 x 11 in, ISO 216 A4 is 210 x 297 mm.
        assert sorted((page.size.width, page.size.height)) == sorted(
            (paper_size(paper, load_shop()).width, paper_size(paper, load_shop()).height)
        )
        assert tile.x <= right + 1e-9
        assert tile.width <= page.size.width - 20
        right, bottom = max(right, tile.right), max(bottom, tile.bottom)
    assert right == pytest.approx(size.width)
    assert bottom == pytest.approx(size.height)


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize(("pipe", "whole"), [("NPS 2", True), ("NPS 6", True), ("NPS 12", False)])
def test_cuts_lie_between_letters(paper: str, pipe: str, whole: bool) -> None:
    """Through the middle of an overlap, at its ticks; only the largest arrow fills a page."""
    document, marker = drawn(paper, pipe=pipe)
    part = marker.face.parts[0]
    shown = [tile for _, tile in tiles(document)]
    cuts = [(one.right + other.x) / 2 for one, other in pairwise(shown)]
    assert cuts
    for one, other in pairwise(shown):
        assert one.right - other.x == pytest.approx(OVERLAP)
    marks = sum(len(ticks(page)) for page in document.pages)
    assert marks == 4 * len(cuts)  # above and below the strip on either side of a cut
    letters = [
        contour.bounds()
        for shape in part.art
        if isinstance(shape, Fill) and shape.drawn is Drawn.LETTER
        for contour in shape.path.contours
    ]
    cut_through = [box for box in letters if any(box.x < cut < box.right for cut in cuts)]
    widest = max(box.width for box in letters)
    assert cut_through == [] if whole else all(box.width > 0.6 * widest for box in cut_through)


@pytest.mark.parametrize(("pipe", "strips", "pages"), [("NPS 2", 3, 2), ("NPS 12", 13, 7)])
def test_two_strips_share_a_page_where_they_fit(pipe: str, strips: int, pages: int) -> None:
    document, _ = drawn("letter", pipe=pipe)
    assert (len(tiles(document)), len(document.pages)) == (strips, pages)
    for page in document.pages:
        windows = [
            contour.bounds()
            for item in page.layers[0].items
            if isinstance(item, Fill) and len(item.path.contours) > 1
            for contour in item.path.contours[1:]
        ]
        for one, other in pairwise(windows):
            assert other.y - one.bottom >= 14  # the ticks of both


def test_a_small_marker_takes_one_page() -> None:
    document, marker = drawn("letter", pipe="NPS 1/2", neighbor={"letter_height": "0.25 in"})
    assert len(document.pages) == 1
    assert ticks(document.pages[0]) == []
    assert marker.face.parts[0].size.width < Size(279.4, 215.9).width


def test_tiles_pass_preflight() -> None:
    document, _ = drawn("letter", pipe="NPS 12")
    assert inspect(pdf.write(document)).verdict is Verdict.PASS


def test_a_marker_longer_than_a_frame_goes_over_several() -> None:
    document, marker = drawn("sheet-24x48in", pipe="NPS 12")
    assert marker.face.parts[0].size.width > 48 * 25.4
    assert len(tiles(document)) == 2
    assert len(document.pages) == 1


def test_an_unknown_paper_is_refused_with_those_there_are() -> None:
    with pytest.raises(InputError, match="use letter or a4"):
        drawn("napkin")


def test_office_paper_must_not_be_scaled() -> None:
    """PrintScaling None (ISO 32000-1, table 150), and no preference on other files."""
    document, _ = drawn("letter", pipe="NPS 12")
    with pikepdf.open(io.BytesIO(pdf.write(document))) as file:
        assert file.Root.ViewerPreferences.PrintScaling == "/None"
    with pikepdf.open(io.BytesIO(pdf.write(replace(document, full_size=False)))) as file:
        assert "/ViewerPreferences" not in file.Root


@pytest.mark.parametrize(("paper", "bar"), [("letter", 101.6), ("a4", 100.0)])
def test_the_bar_is_4_in_on_letter_and_100_mm_elsewhere(paper: str, bar: float) -> None:
    document, _ = drawn(paper, pipe="NPS 12")
    for page in document.pages:
        fills = [item.path.bounds() for item in page.layers[0].items if isinstance(item, Fill)]
        assert any(box.width == pytest.approx(bar) and box.height < 1 for box in fills)
