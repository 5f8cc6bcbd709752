"""The SVG writer, read back by a reader of our own and by the rules of SVG 1.1."""

import math
from dataclasses import replace

import numpy as np
import pytest

from layouts.drawing import Affine, Arc, Contour, Path, Point, Rect, circle, polygon, rectangle
from layouts.drawing.document import Document, Fill, Layer, Placement, Step, Symbol
from render.write import svg
from tests.helpers import svg_reader
from tests.helpers.contours import furthest
from tests.helpers.drawing_sample import BLACK, ORANGE, document, page


@pytest.fixture(scope="module")
def first() -> bytes:
    return svg.write(document())[0]


def test_one_file_a_page_and_the_same_bytes_again() -> None:
    once, twice = svg.write(document()), svg.write(document())
    assert len(once) == 2
    assert once == twice
    assert once[0] != once[1]  # the titles differ


def test_true_size_and_title(first: bytes) -> None:
    root = svg_reader.root_of(first)
    assert (root.get("width"), root.get("height")) == ("310mm", "222.25mm")
    assert root.get("viewBox") == "0 0 310 222.25"
    assert root.findtext(f"{svg_reader.SVG}title") == "Sheet 1 <of> 2 & more"


def test_layers_carry_group_and_type(first: bytes) -> None:
    groups = svg_reader.root_of(first).findall(f"{svg_reader.SVG}g")
    named = {g.get("data-layer"): (g.get("data-group"), g.get("data-type")) for g in groups}
    # ISO 19593-1 as the Arlington PDF model lists it: a type on Structural and Positions alone.
    assert named == {
        "white": ("White", None),
        "print": (None, None),
        "kiss": ("Structural", "PartialCutting"),
        "through": ("Structural", "Cutting"),
        "holes": ("Structural", "Drilling"),
        "fold": ("Structural", "Creasing"),
        "notes & sizes": ("Legend", None),
        "marks": ("Positions", "CodingMarking"),
    }


def test_a_symbol_is_drawn_once_and_used_often(first: bytes) -> None:
    root = svg_reader.root_of(first)
    assert len(root.findall(f".//{svg_reader.SVG}symbol")) == 2
    assert len(root.findall(f".//{svg_reader.SVG}use")) == 6


def test_ids_are_unique_valid_and_never_confused(first: bytes) -> None:
    found = (each.get("id") for each in svg_reader.root_of(first).iter())
    ids = [each for each in found if each]
    assert len(set(ids)) == len(ids)
    for one in ids:
        assert one[0].isalpha()
        assert one.replace("-", "").replace("_", "").replace(".", "").isalnum()
    assert svg.xml_id("symbol", "a b") != svg.xml_id("symbol", "a_20_b")


def test_ink_comes_from_the_placement_where_the_shape_has_none(first: bytes) -> None:
    root = svg_reader.root_of(first)
    uses = root.findall(f".//{svg_reader.SVG}g[@data-layer='print']/{svg_reader.SVG}use")
    inks = [(each.get("fill"), each.get("stroke")) for each in uses]
    assert inks == [(None, None)] * 3 + [(BLACK.preview,) * 2, (ORANGE.preview,) * 2]
    leaf = root.findall(f".//{svg_reader.SVG}symbol[@id='symbol-leaf']/*")
    assert [(each.get("fill"), each.get("stroke")) for each in leaf] == [
        (None, "none"),
        ("none", None),
    ]


def test_paper_is_white(first: bytes) -> None:
    face = svg_reader.root_of(first).findall(f".//{svg_reader.SVG}symbol[@id='symbol-face']/*")
    assert face[1].get("fill") == "#ffffff"


@pytest.mark.parametrize("degrees", [30, 90, 179.5, 180, 181, 270, 359])
@pytest.mark.parametrize("turn", [1, -1])
def test_arcs_keep_their_circle(degrees: float, turn: int) -> None:
    """Every point of an arc of 400 mm radius stays within 0.001 mm (SVG 1.1 F.6.5 read back)."""
    radius, angle = 400.0, math.radians(degrees) * turn
    end = Point(radius * math.cos(angle), radius * math.sin(angle))
    path = Path((Contour(Point(radius, 0), (Arc(end, math.tan(angle / 4)),), closed=False),))
    (read,) = svg_reader.contours(svg.path_data(path), svg_reader.matrix_of(""))
    distance = (read.points**2).sum(axis=1) ** 0.5
    assert abs(distance - radius).max() < 0.001
    middle = read.points[len(read.points) // 2]
    wanted = (radius * math.cos(angle / 2), radius * math.sin(angle / 2))
    assert math.dist(middle, wanted) < radius * abs(angle) / len(read.points) + 0.01


def test_rounding_does_not_add_up_along_a_contour() -> None:
    """A thousand relative steps of a third of a millimeter, each end written to 0.0001 mm."""
    corners = [Point(0.05 + n / 3, 0.7 * (n % 2) + n / 7) for n in range(1000)]
    first = polygon(corners).contours[0]
    for at in (Affine(), Affine.move(1 / 3, 2 / 3), Affine.quarter_turns(1)):
        (read,) = svg_reader.contours(
            svg.path_data(Path((first.mapped(at),))), svg_reader.matrix_of("")
        )
        wanted = np.array([(each.x, each.y) for each in map(at.point, corners)])
        assert abs(read.points[: len(wanted)] - wanted).max() < 0.00011


def test_a_long_rotated_placement_ends_where_it_should() -> None:
    """A rotation's factors are written finely enough for 3 m of length."""
    box = rectangle(Rect(0, 0, 3000, 10))
    at = Affine(math.cos(1), math.sin(1), -math.sin(1), math.cos(1), 5, 7)
    sheet = replace(page(), layers=(Layer("print", (Placement("long", at),)),))
    symbol = Symbol("long", (Fill(box, BLACK),), box.bounds())
    (data,) = svg.write(Document("d", "d", (sheet,), {"long": symbol}))
    (read,) = svg_reader.layers(data)["print"]
    # Straight trigonometry for the far corner, by hand.
    corner = (3000 * math.cos(1) - 0 * math.sin(1) + 5, 3000 * math.sin(1) + 0 * math.cos(1) + 7)
    assert min(math.dist(corner, point) for point in read.points) < 0.001


def test_nudging_one_point_is_seen() -> None:
    path = circle(Point(10, 10), 8)
    first = path.contours[0]
    nudged = Contour(Point(10.01, 6), first.segments)
    (good,) = svg_reader.contours(svg.path_data(path), svg_reader.matrix_of(""))
    (bad,) = svg_reader.contours(svg.path_data(Path((nudged,))), svg_reader.matrix_of(""))
    assert furthest(good, good) < 1e-9
    assert furthest(good, bad) > 0.005


def test_a_missing_symbol_is_an_error() -> None:
    sheet = replace(page(), layers=(Layer("print", (Placement("absent", Affine()),), Step.NOTES),))
    with pytest.raises(KeyError, match="absent"):
        svg.write_page(sheet, {})
