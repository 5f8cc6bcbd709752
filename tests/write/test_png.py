"""PNG previews: what is on the screen, as small drawings; decoded by Pillow."""

import io
import struct
from collections.abc import Iterable
from dataclasses import replace

import pytest
from PIL import Image

from layouts.drawing import Affine, Path, Point, Rect, Size, polygon, polyline, rectangle
from layouts.drawing.document import Fill, Item, Layer, Page, Placement, Stroke, Symbol
from layouts.drawing.inks import Ink, InkRole, Lab
from layouts.terms.errors import OutputError
from render.write import png

INKS = {
    "#": Ink("black", Lab(0, 0, 0), InkRole.BLACK),
    "o": Ink("orange", Lab(61.73, 38.19, 81.82)),
    ".": Ink("paper", Lab(80, 0, 0), InkRole.PAPER),
}
LETTERS = {(0, 0, 0): "#", (255, 255, 255): "."} | {
    tuple(bytes.fromhex(INKS["o"].preview[1:])): "o"
}


def small(*items: Item, symbols: Iterable[Symbol] = ()) -> bytes:
    """A page of 12 x 8 mm with one layer, drawn at one pixel a millimeter."""
    box = Rect(0, 0, 12, 8)
    sheet = Page("p", "p", Size(12, 8), box, box, (Layer("print", tuple(items)),))
    return png.write(sheet, {each.id: each for each in symbols}, width_px=12)


def _pixel(image: Image.Image, x: int, y: int) -> tuple[int, ...]:
    found = image.getpixel((x, y))
    assert isinstance(found, tuple)
    return found


def drawn(data: bytes) -> str:
    image = Image.open(io.BytesIO(data)).convert("RGB")
    pixels = [
        "".join(LETTERS.get(_pixel(image, x, y), "?") for x in range(image.width))
        for y in range(image.height)
    ]
    return "\n".join(pixels)


def picture(text: str) -> str:
    return "\n".join(line.strip() for line in text.strip().splitlines())


def test_fills_strokes_and_paper() -> None:
    data = small(
        Fill(rectangle(Rect(1, 1, 10, 6)), INKS["o"]),
        Fill(rectangle(Rect(2, 2, 3, 3)), INKS["."]),
        Stroke(polyline((Point(7, 3.5), Point(10, 3.5))), INKS["#"], 1.0),
    )
    assert drawn(data) == picture(
        """
        ............
        .oooooooooo.
        .o...oooooo.
        .o...oo###o.
        .o...oooooo.
        .oooooooooo.
        .oooooooooo.
        ............
        """
    )


def test_placements_turn_mirror_and_inherit() -> None:
    """An L, upright, turned by a quarter clockwise in its place's ink, and mirrored.

    Its drawing lies on both sides of its origin: nothing of it may be clipped.
    """
    ell = polygon([Point(*p) for p in ((-1, -2), (0, -2), (0, 0), (2, 0), (2, 1), (-1, 1))])
    symbol = Symbol("ell", (Fill(ell, None),), ell.bounds())
    data = small(
        Placement("ell", Affine.move(2, 3), INKS["#"]),
        Placement("ell", Affine.quarter_turns(1).then(Affine.move(6, 3)), INKS["o"]),
        Placement("ell", Affine(-1, 0, 0, 1, 10, 6), INKS["#"]),
        symbols=[symbol],
    )
    assert drawn(data) == picture(
        """
        ............
        .#..........
        .#...ooo....
        .###.o......
        .....o....#.
        ..........#.
        ........###.
        ............
        """
    )


def test_an_inherited_stroke_does_not_outline_fills() -> None:
    symbol = Symbol(
        "both",
        (
            Fill(rectangle(Rect(0, 0, 4, 4)), INKS["o"]),
            Stroke(polyline((Point(5.5, 0), Point(5.5, 4))), None, 1.0),
        ),
        Rect(0, 0, 6, 4),
    )
    data = small(Placement("both", Affine.move(2, 2), INKS["#"]), symbols=[symbol])
    assert drawn(data) == picture(
        """
        ............
        ............
        ..oooo.#....
        ..oooo.#....
        ..oooo.#....
        ..oooo.#....
        ............
        ............
        """
    )


def test_counters_are_holes_by_the_nonzero_rule() -> None:
    outer = rectangle(Rect(1, 1, 6, 6)).contours
    inner = polygon([Point(*p) for p in ((3, 3), (3, 5), (5, 5), (5, 3))]).contours
    data = small(Fill(Path(outer + inner), INKS["#"]))
    assert drawn(data).splitlines()[3] == ".##..##....."


def test_size_by_width_and_by_dots() -> None:
    box = Rect(0, 0, 50.8, 25.4)
    sheet = Page("p", "p", Size(50.8, 25.4), box, box, ())
    for data in (png.write(sheet, {}, width_px=200), png.write(sheet, {}, dpi=100)):
        # PNG specification, IHDR: width and height as big-endian words at byte 16.
        assert struct.unpack(">II", data[16:24]) == (200, 100)
    assert png.write(sheet, {}, dpi=100) == png.write(sheet, {}, dpi=100)


def test_a_picture_too_large_or_empty_is_refused() -> None:
    box = Rect(0, 0, 50.8, 25.4)
    sheet = Page("sheet-1", "p", Size(50.8, 25.4), box, box, ())
    for wrong in ({"width_px": 40000}, {"dpi": 20000}, {"width_px": 0}):
        with pytest.raises(OutputError, match="sheet-1: a picture of"):
            png.write(sheet, {}, **wrong)
    with pytest.raises(OutputError):
        png.write(replace(sheet, size=Size(1, 9000)), {}, width_px=4)
    for wrong in ({}, {"width_px": 10, "dpi": 10}):
        with pytest.raises(ValueError, match="either"):
            png.write(sheet, {}, **wrong)
