"""Ink areas against the pixels of a picture that cairo draws, and against sums by hand."""

from __future__ import annotations

import io
from collections.abc import Iterable

import numpy as np
import pytest
from PIL import Image

from layouts.drawing import Affine, Path, Point, Rect, Size, circle, polyline, rectangle
from layouts.drawing.document import Fill, Layer, Page, Shape, Stroke, Symbol
from layouts.drawing.inks import Ink, InkRole, Lab
from layouts.face.model import Part
from layouts.papers.kit.figure import face_symbol, printed_part
from layouts.papers.materials.ink_area import cover_of
from layouts.terms.words import PartRole
from render.write import png
from tests.papers.conftest import Job

ORANGE = Ink("orange", Lab(61.73, 38.19, 81.82))
BLUE = Ink("blue", Lab(70.51, -7.67, -22.54))
BLACK = Ink("black", Lab(15.33, 0, 0), InkRole.BLACK)
PAPER = Ink("paper", Lab(90, 0, 0), InkRole.PAPER)


def part_of(*art: Shape) -> Part:
    size = Size(100.0, 50.0)
    return Part(PartRole.FILM, size, rectangle(Rect(0, 0, 100, 50)), None, art, 0.0)


def test_areas_by_hand() -> None:
    field = Fill(rectangle(Rect(0, 0, 100, 50)), ORANGE)
    band = Fill(rectangle(Rect(10, 0, 20, 50)), BLUE)
    letter = Fill(rectangle(Rect(12, 10, 4, 5)), BLACK, overprint=True)
    knocked = Fill(rectangle(Rect(60, 10, 10, 10)), PAPER)
    line = Stroke(polyline((Point(40, 5), Point(50, 5))), BLACK, 0.5, overprint=True)
    areas = cover_of(part_of(field, band, letter, knocked, line).art).inks
    assert areas == pytest.approx({ORANGE: 5000 - 1000 - 100, BLUE: 1000, BLACK: 20 + 5})


def test_a_counter_is_no_ink() -> None:
    outer, inner = circle(Point(20, 20), 20), circle(Point(20, 20), 10)
    mirrored = inner.mapped(Affine(-1, 0, 0, 1, 40, 0))  # the other way round
    ring = Fill(Path((*outer.contours, *mirrored.contours)), BLACK)
    areas = cover_of(part_of(ring).art).inks
    assert areas[BLACK] == pytest.approx(np.pi * (100 - 25), rel=2e-3)


def pixels_of(art: Iterable[Shape], box: Rect, ink: Ink) -> float:
    """Area in which a picture of the art shows the color of an ink, by cairo's pixels."""
    moved = tuple(Fill(each.path.mapped(Affine.move(-box.x, -box.y)), each.ink) for each in art)
    page = Page("p", "p", box.size, box, box, (Layer("art", moved),))
    picture = Image.open(io.BytesIO(png.write(page, {}, width_px=2000))).convert("RGB")
    pixels = np.asarray(picture).reshape(-1, 3).astype(int)
    color = np.array(list(bytes.fromhex(ink.preview[1:])))
    near = np.abs(pixels - color).max(axis=1) < 60
    return float(near.mean() * box.width * box.height)


@pytest.mark.parametrize("name", ["LTRS", "V-101"])
def test_areas_are_those_of_the_picture(job: Job, name: str) -> None:
    """Black from the whole face; colors without the black letters that overprint them."""
    part = printed_part(next(m for m in job.gathered.markers if m.plan.name == name).face)
    box = Rect(0, 0, part.size.width, part.size.height).grown(part.bleed)
    under = tuple(shape for shape in part.art if not shape.overprint)
    assert under != part.art
    for ink, area in cover_of(part.art).inks.items():
        art = part.art if ink.role is InkRole.BLACK else under
        assert area == pytest.approx(pixels_of(art, box, ink), rel=0.03), ink.name


def test_symbol_of_a_face_hides_what_is_cut_away(job: Job) -> None:
    marker = next(each for each in job.gathered.markers if each.plan.name == "HSD")
    symbol: Symbol = face_symbol(marker.face)
    part = printed_part(marker.face)
    frame = symbol.shapes[-1]
    assert frame.ink is not None
    assert frame.ink.role is InkRole.PAPER
    whole = Rect(0, 0, part.size.width, part.size.height).grown(part.bleed)
    assert symbol.bounds.contains(whole)
