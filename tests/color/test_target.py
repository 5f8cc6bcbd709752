"""The target sheet: every ink once, named, large enough, apart from its neighbors."""

import io
from collections.abc import Sequence

import pytest
from PIL import Image

from layouts.drawing import Rect, Size
from layouts.drawing.document import Document, Fill, Page, Placement, Stroke
from layouts.drawing.inks import Ink, InkRole, Lab
from layouts.drawing.typeset import Typesetter
from layouts.papers.color_target import patches_of, target_sheet
from layouts.papers.kit.paper import LETTER
from layouts.schemes.loader import load_scheme
from layouts.terms.errors import OutputError
from render.read.fonts import default_typefaces
from render.write import png

INKS = load_scheme().inks
ALL = tuple(INKS.values())
A4 = Size(210, 297)


def sheet(
    inks: Sequence[Ink] = ALL, size: Size = LETTER, pairs: Sequence[tuple[Ink, Ink]] = ()
) -> Document:
    setter = Typesetter(default_typefaces().text)
    return target_sheet(inks, setter, INKS["black"], pairs, size=size)


def boxes(page: Page) -> list[Rect]:
    items = page.layers[0].items
    return [each.path.bounds() for each in items if isinstance(each, Fill | Stroke)]


def test_every_ink_has_one_patch_in_order() -> None:
    patches = patches_of(INKS.values())
    assert [patch.ink for patch in patches] == list(INKS.values())
    assert [patch.id for patch in patches[:8]] == ["A1", "A2", "A3", "A4", "A5", "A6", "B1", "B2"]
    assert len({patch.id for patch in patches}) == len(patches)


@pytest.mark.parametrize("size", [Size(215.9, 279.4), A4])
def test_patches_are_large_apart_and_on_the_page(size: Size) -> None:
    (page,) = sheet(size=size).pages
    found = boxes(page)
    assert len(found) == len(patches_of(INKS.values()))
    whole = Rect(0, 0, size.width, size.height).grown(-10)
    for n, one in enumerate(found):
        assert min(one.width, one.height) == pytest.approx(25)
        assert whole.contains(one)
        assert not any(one.grown(2.9).overlaps(other.grown(2.9)) for other in found[:n])


def test_names_stand_below_their_patches_and_inside_the_page() -> None:
    document = sheet()
    (page,) = document.pages
    texts = [each for each in page.layers[0].items if isinstance(each, Placement)]
    found = boxes(page)
    whole = Rect(0, 0, page.size.width, page.size.height).grown(-10)
    for text in texts:
        box = text.at.rect(document.symbols[text.symbol].bounds)
        assert whole.contains(box)
        assert not any(box.overlaps(patch) for patch in found)


def test_cut_lines_and_underprints_have_no_patch() -> None:
    extra = [
        Ink("Cutting", Lab(50, 0, 0), InkRole.STEP),
        Ink("White", Lab(95, 0, 0), InkRole.WHITE),
    ]
    assert patches_of(extra) == ()


def test_black_legends_are_printed_on_their_fields() -> None:
    pairs = [(INKS["safety orange"], INKS["black"]), (INKS["safety green"], INKS["white"])]
    patches = patches_of(ALL, pairs)
    assert [patch.name for patch in patches[len(ALL) :]] == ["black on safety orange"]
    (page,) = sheet(pairs=pairs).pages
    fills = [each for each in page.layers[0].items if isinstance(each, Fill)]
    below, above = fills[-2:]
    assert (below.ink, below.overprint) == (INKS["safety orange"], False)
    assert (above.ink, above.overprint) == (INKS["black"], True)
    assert above.path == below.path


def test_many_inks_take_more_pages() -> None:
    inks = [Ink(f"ink {n}", Lab(50, n, 0)) for n in range(60)]
    document = sheet(inks)
    assert len(document.pages) == 2
    assert sum(len(boxes(page)) for page in document.pages) == 60
    with pytest.raises(OutputError, match="156 patches at most"):
        patches_of(Ink(f"ink {n}", Lab(50, n, 0)) for n in range(157))


def test_the_patch_shows_its_ink() -> None:
    """Read from the picture at the middle of each patch, as an instrument would."""
    document = sheet()
    (page,) = document.pages
    scale = 2
    width = round(page.size.width * scale)
    picture = Image.open(io.BytesIO(png.write(page, document.symbols, width_px=width)))
    colors = picture.convert("RGB")
    for patch, box in zip(patches_of(INKS.values()), boxes(page), strict=True):
        seen = colors.getpixel((round(box.center.x * scale), round(box.center.y * scale)))
        wanted = "#ffffff" if patch.ink.role is InkRole.PAPER else patch.ink.preview
        assert isinstance(seen, tuple)
        assert "#" + bytes(seen).hex() == wanted


def test_the_same_sheet_again() -> None:
    assert sheet() == sheet()
