"""Running text and tables: widths against the font file, wrapping by property, one read by OCR."""

import io
import shutil
import subprocess
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from layouts.drawing import Affine, Contour, Line, Path, Point, Rect
from layouts.drawing.document import Item, Placement, Stroke, Symbol, outlines_of
from layouts.drawing.inks import Ink, InkRole, Lab
from layouts.drawing.lettering import spelled
from layouts.drawing.typeset import PITCH, Align, Typesetter
from layouts.papers.kit.table import Column, TableStyle, table
from render.read.fonts import default_typefaces
from tests.helpers.raw_outlines import picture, raw

BLACK = Ink("Black", Lab(0, 0, 0), InkRole.BLACK)
NOTE = (
    "Trace the line to both ends and agree it with the drawing before fixing. "
    "Nothing pierces the jacket of the insulation."
)
COLUMNS = (Column("Marker", 25), Column("Legend", 40), Column("Qty", 15, "right"))
STYLE = TableStyle(size=2.0, ink=BLACK, padding=1.0)


@pytest.fixture
def setter() -> Typesetter:
    return Typesetter(default_typefaces().text)


def drawn_path(items: Iterable[Item], symbols: Mapping[str, Symbol]) -> Path:
    """Placements as one flat path."""
    contours: list[Contour] = []
    for item in items:
        if isinstance(item, Placement):
            symbol = symbols[item.symbol]
            assert all(shape.ink is None for shape in symbol.shapes)
            for path in outlines_of(symbol, symbols):
                contours += path.mapped(item.at).contours
    return Path(tuple(contours))


@pytest.mark.parametrize("text", ["AVATAR", "Note: LT 7.5 in", "To, Ty. We"])
def test_width_is_advances_and_kerning_of_the_file(setter: Typesetter, text: str) -> None:
    font = raw("light")
    expected = sum(map(font.advance, text))
    expected += sum(font.kern(one, other) for one, other in pairwise(text))
    assert setter.width(text, 2.5) == pytest.approx(expected * 2.5, abs=1e-9)


@pytest.mark.parametrize(("align", "share"), [("left", 0), ("center", 0.5), ("right", 1)])
def test_a_line_is_aligned_on_its_point(setter: Typesetter, align: Align, share: float) -> None:
    placed = setter.line("HIGH", Point(50, 20), 3, BLACK, align)
    box = drawn_path(placed, setter.symbols()).bounds()
    font = raw("light")
    bearing = font.bounds("H")[0] / font.cap * 3
    left = 50 - share * setter.width("HIGH", 3) + bearing
    assert box.x == pytest.approx(left, abs=1e-9)
    capital = drawn_path(placed[:1], setter.symbols()).bounds()
    assert (capital.y, capital.bottom) == pytest.approx((17, 20), abs=1e-9)
    assert {item.ink for item in placed} == {BLACK}


def test_outlines_and_placements_draw_the_same(setter: Typesetter) -> None:
    at = Point(12, 34)
    flat = setter.outline_text("Kiss cut, 3 mm – é", at, 2.5, "center")
    placed = drawn_path(
        setter.line("Kiss cut, 3 mm – é", at, 2.5, BLACK, "center"), setter.symbols()
    )
    assert len(flat.contours) == len(placed.contours)
    for chords, curves in zip(flat.contours, placed.contours, strict=True):
        assert all(isinstance(segment, Line) for segment in chords.segments)
        one, other = chords.bounds(), curves.bounds()
        # A hundredth of the cap height, the flatness of notes.
        assert (one.x, one.y, one.right, one.bottom) == pytest.approx(
            (other.x, other.y, other.right, other.bottom), abs=0.025
        )


def test_a_glyph_is_one_symbol_however_often_it_is_set(setter: Typesetter) -> None:
    setter.line("ABBA", Point(0, 0), 2, BLACK)
    setter.line("A B", Point(0, 9), 5, BLACK)
    key = default_typefaces().text.key
    assert list(setter.symbols()) == [f"g-{key}-41", f"g-{key}-42"]
    for name, symbol in setter.symbols().items():
        assert symbol.id == name
        assert symbol.bounds == symbol.shapes[0].path.bounds()


def assert_drawn_as_by_letters(
    texts: Sequence[str], found: Sequence[Sequence[Item]], symbols: Mapping[str, Symbol]
) -> None:
    """Letters stand where they stand when they are placed one by one."""
    for text, placed in zip(texts, found, strict=True):
        once = Typesetter(default_typefaces().text)
        letters = drawn_path(once.line(text, Point(3, 4), 2.2, BLACK), once.symbols())
        together = drawn_path(placed, symbols)
        for one, other in zip(letters.contours, together.contours, strict=True):
            assert one.bounds().x == pytest.approx(other.bounds().x, abs=1e-9)
            assert one.bounds().bottom == pytest.approx(other.bounds().bottom, abs=1e-9)


def test_a_word_used_often_is_one_symbol_and_draws_the_same(setter: Typesetter) -> None:
    texts = [
        "The refrigerant",
        "a refrigerant",
        "To refrigerants",
        *("at the top", "to the left") * 5,
    ]
    found = [setter.line(text, Point(3, 4), 2.2, BLACK) for text in texts]
    # A long word from its second use on, a short one later.
    assert [len(each) for each in found[:4]] == [3 + 11, 1 + 1, 2 + 12, 8]
    assert_drawn_as_by_letters(texts, found, setter.symbols())


def test_marks_share_their_pieces_and_draw_the_same(setter: Typesetter) -> None:
    texts = [f"LTRS-12-{number}" for number in (*range(100, 120), 7, 46, 1203)]
    found = [setter.line(text, Point(3, 4), 2.2, BLACK) for text in texts]
    assert len(found[0]) == len("LTRS-12-100")
    assert [len(each) for each in found[-3:]] == [2 + 1, 2 + 2, 2 + 4]
    assert_drawn_as_by_letters(texts, found, setter.symbols())


def test_a_line_used_often_is_one_symbol_and_draws_the_same(setter: Typesetter) -> None:
    text = "Peel and press, 1/4 in"
    found = [setter.line(text, Point(40, y), 1.65, BLACK, "right") for y in (10, 20, 30, 30)]
    assert [len(each) for each in found] == [18, 18, 1, 1]
    symbols = setter.symbols()
    first, third = drawn_path(found[0], symbols), drawn_path(found[2], symbols)
    for one, other in zip(first.contours, third.contours, strict=True):
        assert one.bounds().x == pytest.approx(other.bounds().x, abs=1e-9)
        assert one.bounds().y + 20 == pytest.approx(other.bounds().y, abs=1e-9)
    (whole,) = found[2]
    ink = third.bounds()
    box = whole.at.rect(symbols[whole.symbol].bounds)
    assert (box.x, box.right) == pytest.approx((ink.x, ink.right), abs=1e-9)


def test_two_typefaces_share_no_symbol() -> None:
    faces = default_typefaces()
    one, other = Typesetter(faces.text), Typesetter(faces.dark)
    one.line("Ab", Point(0, 0), 2, BLACK)
    other.line("Ab", Point(0, 0), 2, BLACK)
    assert not set(one.symbols()) & set(other.symbols())


def test_four_decimals_in_a_file_move_no_ink_by_a_micron(setter: Typesetter) -> None:
    """Symbols and matrices rounded as SVG and PDF write them, at 2.2 mm, far out on a sheet."""
    (placed,) = setter.line("S", Point(1234.5678901, 2345.6789012), 2.2, BLACK)
    at = placed.at
    rounded = Affine(*(round(value, 4) for value in (at.a, at.b, at.c, at.d, at.e, at.f)))
    path = setter.symbols()[placed.symbol].shapes[0].path
    for exact, point in zip(
        path.mapped(at).contours[0].points(), path.contours[0].points(), strict=True
    ):
        written = rounded.point(Point(round(point.x, 4), round(point.y, 4)))
        assert written.distance(exact) < 0.001


def test_a_lacking_character_is_spelled_by_its_number(setter: Typesetter) -> None:
    fresh = (Typesetter(default_typefaces().text) for _ in range(2))
    lacking, written = (
        each.line(text, Point(0, 0), 3, BLACK)
        for each, text in zip(fresh, ("a漢", "a<U+6F22>"), strict=True)
    )
    assert lacking == written
    assert setter.width("漢字", 1) == setter.width("<U+6F22><U+5B57>", 1)
    assert "".join(setter.wrap("漢字 漢字", 1, 8)) == "<U+6F22><U+5B57>" * 2


def test_a_control_character_shows_as_a_hollow_box(setter: Typesetter) -> None:
    """No reader lets one in; a page must not fail if one comes."""
    placed = setter.line("\x01", Point(0, 0), 100, BLACK)
    ink = picture([drawn_path(placed, setter.symbols())], (0, -110, 90, 120), 1)
    assert ink[60, 45] == 0
    assert ink[:, 45].sum() == pytest.approx(16, abs=1)
    assert setter.width("\x01\x01", 1) == 2 * setter.width("\x01", 1)


def test_blanks_of_all_kinds_are_set_as_a_blank(setter: Typesetter) -> None:
    blank = setter.width("a b", 1)
    assert setter.width("a\tb", 1) == pytest.approx(blank, abs=0.05)
    assert len(setter.line("a\n\u00a0\tb", Point(0, 0), 1, BLACK)) == 2


@settings(max_examples=150, deadline=None)
@given(
    st.text("abcdeAVTW -/.,7漢\u0301\n", max_size=60),
    st.floats(0.5, 8),
    st.floats(5, 120),
)
def test_wrapped_lines_fit_and_lose_nothing(text: str, size: float, width: float) -> None:
    """All characters but blanks come back in order; a line is too wide only as one character."""
    setter = Typesetter(default_typefaces().text)
    lines = setter.wrap(text, size, width)
    text = spelled(unicodedata.normalize("NFC", text), default_typefaces().text)
    assert "".join("".join(lines).split()) == "".join(text.split())
    assert len(lines) >= text.count("\n") + 1
    for line in lines:
        assert setter.width(line, size) <= width + 1e-6 or len(line) == 1
    for one, other in pairwise(lines):
        first = other.split(" ")[0]
        if "\n" not in text and first and one[-1] not in "-/":
            assert setter.width(f"{one} {first}", size) > width - 1e-6


def test_a_word_breaks_behind_its_hyphen(setter: Typesetter) -> None:
    width = setter.width("HV-118-HTR", 2)
    assert setter.wrap("HV-118-HTRS", 2, width) == ["HV-118-", "HTRS"]
    assert setter.wrap("HHHH", 2, setter.width("HHH", 2)) == ["HHH", "H"]


def test_line_ends_are_kept_and_empty_text_is_one_empty_line(setter: Typesetter) -> None:
    assert setter.wrap("LIQ\n\nVAP", 2, 100) == ["LIQ", "", "VAP"]
    assert setter.wrap("", 2, 100) == [""]


@pytest.mark.parametrize("align", ["left", "center", "right"])
def test_a_paragraph_stays_in_its_box(setter: Typesetter, align: Align) -> None:
    block = setter.paragraph(NOTE, Point(10, 20), 2.5, 60, BLACK, align)
    lines = setter.wrap(NOTE, 2.5, 60)
    assert block.height == pytest.approx(len(lines) * PITCH * 2.5)
    box = drawn_path(block.placements, setter.symbols()).bounds()
    assert Rect(10, 20, 60, block.height).contains(box, slack=1e-6)


@pytest.mark.tools
@pytest.mark.skipif(shutil.which("tesseract") is None, reason="tesseract is not installed")
def test_a_paragraph_is_read_back_by_ocr(setter: Typesetter) -> None:
    block = setter.paragraph(NOTE, Point(5, 5), 2.5, 80, BLACK)
    flat = drawn_path(block.placements, setter.symbols())
    ink = picture([flat], (0, 0, 90, block.height + 10), 16)
    file = io.BytesIO()
    Image.fromarray(np.uint8(255 - 255 * ink)).save(file, "PNG", dpi=(406, 406))
    done = subprocess.run(
        ["tesseract", "-", "-", "--psm", "6"],
        input=file.getvalue(),
        capture_output=True,
        check=True,
    )
    assert done.stdout.decode().split() == NOTE.split()


def test_table_cells_stand_in_their_columns(setter: Typesetter) -> None:
    rows = [["M-01", "AMMONIA HTRS LIQ HIGH " * 3, "12"], ["M-02", "", "1,024"]]
    drawn = table(setter, COLUMNS, rows, Point(10, 30), STYLE)
    assert [box.x for box in drawn.rows] == [10, 10]
    assert {box.width for box in drawn.rows} == {80}
    assert drawn.rows[1].bottom == pytest.approx(30 + drawn.height)
    assert drawn.rows[0].bottom == pytest.approx(drawn.rows[1].y)
    lines = setter.wrap(rows[0][1], 2, 38)
    assert len(lines) > 1
    assert drawn.rows[0].height == pytest.approx(len(lines) * PITCH * 2 + 2)
    text = drawn_path(drawn.items, setter.symbols())
    cells = [
        Rect(x, box.y, width, box.height)
        for box in (Rect(10, 30, 80, drawn.rows[0].y - 30), *drawn.rows)
        for x, width in ((10, 25), (35, 40), (75, 15))
    ]
    for contour in text.contours:
        assert any(cell.grown(-0.9).contains(contour.bounds(), slack=1e-6) for cell in cells)


def test_table_rules_run_across_under_the_titles_and_each_row(setter: Typesetter) -> None:
    drawn = table(setter, COLUMNS, [["a", "b", "c"]] * 3, Point(0, 0), STYLE)
    rules = [item for item in drawn.items if isinstance(item, Stroke)]
    assert [rule.width for rule in rules] == [0.35, 0.15, 0.15, 0.15]
    bottoms = [drawn.rows[0].y, *(box.bottom for box in drawn.rows)]
    for rule, bottom in zip(rules, bottoms, strict=True):
        box = rule.path.bounds()
        assert (box.x, box.width, box.y, box.height) == pytest.approx((0, 80, bottom, 0))


def test_long_tables_go_on_page_after_page_without_loss(setter: Typesetter) -> None:
    rows = [[f"M-{index}", "HTRS " * (1 + index % 9), str(index)] for index in range(57)]
    seen, pages = 0, 0
    while seen < len(rows):
        page = table(setter, COLUMNS, rows[seen:], Point(0, 0), STYLE, max_height=60)
        assert 0 < page.height <= 60
        assert page.rows
        seen, pages = seen + len(page.rows), pages + 1
    assert seen == 57
    assert pages > 3


def test_where_no_row_fits_nothing_is_drawn(setter: Typesetter) -> None:
    for rows in ([["a", "b " * 99, "c"]], []):
        drawn = table(setter, COLUMNS, rows, Point(0, 0), STYLE, max_height=5)
        assert (drawn.items, drawn.height, drawn.rows) == ((), 0.0, ())


def test_titles_alone_make_a_table_of_no_rows(setter: Typesetter) -> None:
    head = Typesetter(default_typefaces().dark)
    drawn = table(setter, COLUMNS, [], Point(0, 0), STYLE, head=head)
    assert drawn.rows == ()
    assert drawn.height == pytest.approx(PITCH * 2 + 2)
    assert not setter.symbols()
    assert head.symbols()


def test_a_row_of_the_wrong_length_is_an_error(setter: Typesetter) -> None:
    with pytest.raises(ValueError, match="zip"):
        table(setter, COLUMNS, [["a", "b"]], Point(0, 0), STYLE)
