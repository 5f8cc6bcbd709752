"""The DXF writer, judged by ezdxf's audit and by a reader on group codes of our own."""

import io
import math
from dataclasses import replace

import pytest
from ezdxf import filemanagement
from ezdxf.document import Drawing
from ezdxf.entities.lwpolyline import LWPolyline

from layouts.drawing import IDENTITY, Point, Size, polygon
from layouts.drawing.document import Layer, Placement, Step, Stroke, Symbol
from layouts.terms.errors import OutputError
from render.write import dxf, svg
from render.write.polylines import Repeated
from tests.helpers import dxf_reader, svg_reader
from tests.helpers.contours import disagreement
from tests.helpers.drawing_sample import LEAF, STEP_INKS, cut, document, page

TOLERANCE = 0.001
# What is cut: layers by their name on the page, and the names of ISO 19593-1 in the file.
NAMES = {
    "kiss": "PartialCutting",
    "through": "Cutting",
    "holes": "Drilling",
    "fold": "Creasing",
    "notes & sizes": "Legend",
    "marks": "CodingMarking",
}


@pytest.fixture(scope="module")
def data() -> bytes:
    return dxf.write(page(), document().symbols)


@pytest.fixture(scope="module")
def read(data: bytes) -> Drawing:
    return filemanagement.read(io.StringIO(data.decode("cp1252")))


def test_the_audit_finds_nothing(read: Drawing) -> None:
    audit = read.audit()
    assert not audit.errors
    assert not audit.fixes


def test_counts_layers_flags_and_units(read: Drawing) -> None:
    space = read.modelspace()
    assert {each.dxftype() for each in space} == {"LWPOLYLINE", "POINT"}
    counts = {name: len(space.query(f'LWPOLYLINE[layer=="{name}"]')) for name in NAMES.values()}
    # The note's leaf is filled and stroked: two contours.
    assert counts == {
        "PartialCutting": 3,
        "Cutting": 1,
        "Drilling": 3,
        "Creasing": 1,
        "Legend": 2,
        "CodingMarking": 4,
    }
    found = space.query('LWPOLYLINE[layer!="Creasing"]')
    lines = [each for each in found if isinstance(each, LWPolyline)]
    assert len(lines) == len(found)
    assert [each.closed for each in lines] == [True] * 13
    assert not space.query('LWPOLYLINE[layer=="Creasing"]').first.closed
    assert {each.dxf.name for each in read.layers} == {"0", "Defpoints", *NAMES.values()}
    assert read.dxfversion == "AC1015"  # R2000
    assert not [each for each in read.blocks if not each.is_any_layout]


def test_units_in_the_header(data: bytes) -> None:
    # DXF Reference, $INSUNITS: 1 = inches, 4 = millimeters.
    assert dxf_reader.header(data)["$INSUNITS"] == ["4"]
    inches = dxf.write(page(), document().symbols, "in")
    assert dxf_reader.header(inches)["$INSUNITS"] == ["1"]
    assert dxf_reader.header(inches)["$MEASUREMENT"] == ["0"]
    assert float(dxf_reader.header(inches)["$EXTMAX"][1]) == pytest.approx(222.25 / 25.4)


def test_agrees_with_svg(data: bytes) -> None:
    drawn = svg_reader.layers(svg.write_page(page(), document().symbols))
    cuts = dxf_reader.layers(data, 222.25)
    assert set(cuts) == set(NAMES.values())
    for name, title in NAMES.items():
        assert disagreement(drawn[name], cuts[title]) < TOLERANCE, name


def test_inches_agree_with_millimeters(data: bytes) -> None:
    inches = dxf.write(page(), document().symbols, "in")
    one, other = dxf_reader.layers(data, 222.25), dxf_reader.layers(inches, 222.25, 25.4)
    assert set(one) == set(other)
    for name in one:
        assert disagreement(one[name], other[name]) < TOLERANCE, name


def test_one_nudged_point_is_seen(data: bytes) -> None:
    """The comparison can fail: two micrometers at one vertex are too many."""
    drawn = svg_reader.layers(svg.write_page(page(), document().symbols))
    nudged = data.replace(b"305.0\n", b"305.002\n", 1)
    assert nudged != data
    cuts = dxf_reader.layers(nudged, 222.25)
    assert disagreement(drawn["through"], cuts["Cutting"]) > TOLERANCE


def test_mark_centers_are_points(data: bytes) -> None:
    wanted = {(x, y) for x in (8.0, 302.0) for y in (8.0, 214.25)}
    assert {(round(x, 6), round(y, 6)) for x, y in dxf_reader.points(data, 222.25)} == wanted


def test_curves_stay_curves() -> None:
    """The leaf's cubics become arcs: many times fewer than chords of the same tolerance."""
    sheet = replace(page(), layers=(Layer("k", (cut(Step.KISS_CUT, LEAF),), Step.KISS_CUT),))
    (entity,) = dxf_reader.entities(dxf.write(sheet, {}))
    bulges = [float(text) for code, text in entity if code == 42]
    assert 10 < len(bulges) < 80
    assert sum(bulge != 0 for bulge in bulges) >= len(bulges) - 2


def test_an_arc_turns_the_same_way_as_on_the_page() -> None:
    """Clockwise stays clockwise: DXF Reference, LWPOLYLINE, negative bulge is clockwise."""
    layer = Layer("k", (cut(Step.KISS_CUT, LEAF),), Step.KISS_CUT)
    (entity,) = dxf_reader.entities(dxf.write(replace(page(), layers=(layer,)), {}))
    bulges = [float(text) for code, text in entity if code == 42]
    # The three quarter turn of the leaf is drawn clockwise.
    assert min(bulges) == pytest.approx(-math.tan(math.radians(270) / 4))


def test_the_same_bytes_again(data: bytes) -> None:
    assert data == dxf.write(page(), document().symbols)


def test_names_that_the_machine_expects() -> None:
    names = {Step.KISS_CUT: "knife 1"}
    cuts = dxf_reader.layers(dxf.write(page(), document().symbols, names=names), 222.25)
    assert set(cuts) == {"knife 1", *NAMES.values()} - {"PartialCutting"}


@pytest.mark.parametrize("name", ["a|b", "  ", "", "half/cut"])
def test_a_name_that_dxf_forbids_is_refused(name: str) -> None:
    with pytest.raises(OutputError, match="PartialCutting cannot stand in a DXF file"):
        dxf.write(page(), document().symbols, names={Step.KISS_CUT: name})


def test_artwork_and_white_stay_out() -> None:
    layers = tuple(layer for layer in page().layers if layer.name in ("print", "white"))
    assert dxf_reader.entities(dxf.write(replace(page(), layers=layers), document().symbols)) == []


def test_a_missing_symbol_is_an_error() -> None:
    layer = Layer("n", (Placement("absent", IDENTITY),), Step.NOTES)
    with pytest.raises(KeyError, match="absent"):
        dxf.write(replace(page(), layers=(layer,)), {})


def test_what_pages_share_is_written_as_for_each_alone() -> None:
    """Equal notes on pages of several heights, with places that only just are two."""
    near = polygon([Point(3, 3), Point(3, 3 + 2e-8), Point(9, 3), Point(9, 8), Point(3, 3 - 3e-8)])
    note = Stroke(LEAF.joined(near), STEP_INKS[Step.NOTES], 0.1)
    notes = Layer("notes", (note, Placement("leaf", IDENTITY)), Step.NOTES)
    symbols = {**document().symbols, "leaf": Symbol("leaf", (note,), LEAF.bounds())}
    cuts = next(layer for layer in page().layers if layer.name == "kiss")
    for units in ("mm", "in"):
        repeated = Repeated()
        for height in (200.0, 333.3333333, 200.0, 1234.5678):
            one = replace(page(), size=Size(300.0, height), layers=(cuts, notes))
            alone = dxf.write(one, symbols, units)
            assert dxf.write(one, symbols, units, repeated=repeated) == alone
