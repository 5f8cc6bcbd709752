"""A temporary marker from an office printer: true size, every page true to its neighbors."""

from __future__ import annotations

import io
from dataclasses import replace
from itertools import pairwise

import pikepdf
import pytest

from layouts.drawing import Rect, Size
from layouts.drawing.document import Document, Fill, Page, Placement, Stroke
from layouts.markers.gather import Marker
from layouts.pages.tiles import OVERLAP
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


def offset(page: Page) -> tuple[float, float]:
    """Where the marker's own origin lies on the page."""
    face = next(item for item in page.layers[0].items if isinstance(item, Placement))
    return face.at.e, face.at.f


def ticks(page: Page) -> list[tuple[float, float]]:
    """Match marks in the marker's own coordinates."""
    dx, dy = offset(page)
    strokes = [item for item in page.layers[0].items if isinstance(item, Stroke)]
    short = [stroke.path.bounds() for stroke in strokes if not stroke.path.contours[0].closed]
    return [(box.x - dx, box.y - dy) for box in short]


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize("pipe", ["NPS 1/2", "NPS 2", "NPS 12"])
def test_the_pages_together_show_the_whole_marker_at_true_size(paper: str, pipe: str) -> None:
    document, marker = drawn(paper, pipe=pipe)
    size = marker.face.parts[0].size
    right = bottom = 0.0
    for page in document.pages:
        # ANSI/ASME Y14.1 size A is 8.5 x 11 in, ISO 216 A4 is 210 x 297 mm.
        assert sorted((page.size.width, page.size.height)) == sorted(
            (paper_size(paper, load_shop()).width, paper_size(paper, load_shop()).height)
        )
        face = next(item for item in page.layers[0].items if isinstance(item, Placement))
        assert (face.at.a, face.at.b, face.at.c, face.at.d) == (1, 0, 0, 1)
        margin = offset(document.pages[0])[0]
        window = Rect(-face.at.e, -face.at.f, page.size.width, page.size.height).grown(-margin)
        assert window.x <= right + 1e-9
        right, bottom = max(right, window.right), max(bottom, window.bottom)
    assert right >= size.width
    assert bottom >= size.height


def test_neighbors_share_their_match_marks() -> None:
    document, _ = drawn("letter", pipe="NPS 12")
    xs = [sorted({round(x, 6) for x, _ in ticks(page)}) for page in document.pages]
    for one, other in pairwise(xs):
        assert one[-1] == other[0]
    assert len(document.pages) > 4
    margin = offset(document.pages[0])[0]
    first = document.pages[0].size.width - 2 * margin
    assert xs[0][-1] == pytest.approx(first - OVERLAP / 2)


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
    assert len(document.pages) == 2


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
