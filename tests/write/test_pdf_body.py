"""Objects as text, read back by qpdf through pikepdf (ISO 32000-1, 7.3 and 7.5)."""

from __future__ import annotations

import io

import pikepdf
import pytest

from layouts.drawing import Affine, Rect, Size, rectangle
from layouts.drawing.document import Document, Fill, Layer, Page, Placement, Symbol
from layouts.drawing.inks import Ink, InkRole, Lab
from render.write.pdf import write
from render.write.pdf.body import (
    Body,
    array_object,
    dictionary_object,
    name_object,
    reference,
    text_string,
)
from tests.helpers.pdf_samples import ORANGE, PAPER

ODD = [
    "Walk-in (north) \\ dock",
    "ends in a backslash \\",
    "((",
    "Kühlhaus, 冷",
    "over\nlines\tand\rmore",
    "𝄞",
    "",
]


def opened(body: Body, **held: str) -> pikepdf.Pdf:
    """A file with these entries in its information dictionary, and with an empty page tree."""
    tree = body.add("<< /Type /Pages /Count 0 /Kids [ ] >>")
    root = body.add(dictionary_object({"Type": "/Catalog", "Pages": reference(tree)}))
    return pikepdf.open(io.BytesIO(body.finish(root, body.add(dictionary_object(held)))))


@pytest.mark.parametrize("text", ODD)
def test_a_text_is_read_back_as_it_was(text: str) -> None:
    with opened(Body(), Title=text_string(text)) as pdf:
        assert str(pdf.trailer["/Info"]["/Title"]) == text


@pytest.mark.parametrize("text", ["safety orange", "a#20b", "(x)/[y]<z>{%}", "Grün", "100%"])
def test_a_name_is_read_back_as_it_was(text: str) -> None:
    with opened(Body(), Held=name_object(text)) as pdf:
        assert str(pdf.trailer["/Info"]["/Held"]) == f"/{text}"


def test_an_object_is_referred_to_before_it_comes() -> None:
    body = Body()
    later = body.reserve()
    body.put_stream(later, {"Kind": array_object((1, "/Two", "(three)"))}, b"endstream q\x00\xff")
    with opened(body, Held=reference(later)) as pdf:
        held = pdf.trailer["/Info"]["/Held"]
        assert held.read_raw_bytes() == b"endstream q\x00\xff"
        assert [str(each) for each in held["/Kind"].as_list()] == ["1", "/Two", "three"]


def page(name: str, *items: Fill | Placement) -> Page:
    whole = Rect(0.0, 0.0, 60.0, 40.0)
    return Page(name, name, Size(60.0, 40.0), whole, whole, (Layer("Print", items),))


def color_of(data: bytes, name: str) -> list[float]:
    """Lab of a plate at full tint."""
    with pikepdf.open(io.BytesIO(data)) as pdf:
        spaces = [
            space
            for each in pdf.pages
            for space in each.Resources.ColorSpace.as_dict().values()
            if str(space[1]) == f"/{name}"
        ]
        return [float(each) for each in spaces[0][3]["/C1"].as_list()]


def test_black_has_its_ink_s_color_where_paper_was_drawn_first() -> None:
    """Paper takes ink off the black plate, before any page says what black is."""
    box = Fill(rectangle(Rect(5.0, 5.0, 20.0, 10.0)), PAPER)
    black = Ink("Black", Lab(11.0, 2.0, -3.0), InkRole.BLACK)
    pages = (page("first", box), page("second", Fill(box.path, black)))
    assert color_of(write(Document("d", "D", pages, {})), "Black") == [11.0, 2.0, -3.0]


def test_a_symbol_placed_larger_later_is_drawn_again_in_finer_steps() -> None:
    area = Rect(0.1234567, 0.2, 0.61803399, 1.0)
    symbols = {"s": Symbol("s", (Fill(rectangle(area), ORANGE),), area)}
    places = [Placement("s", Affine(scale, 0.0, 0.0, scale, 1.0, 1.0)) for scale in (0.5, 20.0)]
    pages = tuple(page(str(number), each) for number, each in enumerate(places))
    with pikepdf.open(io.BytesIO(write(Document("d", "D", pages, symbols)))) as pdf:
        steps = [
            float(next(iter(each.Resources.XObject.as_dict().values())).Matrix[0])
            for each in pdf.pages
        ]
    assert steps == [10.0, 0.1]
