"""PDF, SVG and DXF of one page hold the same contours within 0.001 mm.

Each file is read by a reader of its own that shares no code with the writers.
"""

import io
import re

import pikepdf
import pytest

from render.write import dxf, pdf, svg
from tests.helpers import dxf_reader, pdf_reader, svg_reader
from tests.helpers.contours import ReadContour, disagreement
from tests.helpers.drawing_sample import document, page

Layers = dict[str, list[ReadContour]]
TOLERANCE = 0.001
HEIGHT = 222.25


@pytest.fixture(scope="module")
def pdf_layers() -> Layers:
    return pdf_reader.layers(pdf.write(document()))


@pytest.fixture(scope="module")
def svg_layers() -> Layers:
    return svg_reader.layers(svg.write(document())[0])


@pytest.mark.parametrize("layer", [each.name for each in page().layers if each.step])
def test_steps_agree_in_pdf_and_svg(pdf_layers: Layers, svg_layers: Layers, layer: str) -> None:
    assert disagreement(pdf_layers[layer], svg_layers[layer]) < TOLERANCE


def test_artwork_agrees_in_pdf_and_svg(pdf_layers: Layers, svg_layers: Layers) -> None:
    assert disagreement(pdf_layers[""], svg_layers["print"]) < TOLERANCE


def test_steps_agree_in_pdf_and_dxf(pdf_layers: Layers) -> None:
    cuts = dxf_reader.layers(dxf.write(page(), document().symbols), HEIGHT)
    for layer in page().layers:
        if layer.step and layer.step.title in cuts:
            assert disagreement(pdf_layers[layer.name], cuts[layer.step.title]) < TOLERANCE
    assert len(cuts) == 6


def test_the_second_page_is_read_from_its_own_file() -> None:
    second = pdf_reader.layers(pdf.write(document()), page=1)
    drawn = svg_reader.layers(svg.write(document())[1])
    assert disagreement(second["kiss"], drawn["kiss"]) < TOLERANCE


def test_one_nudged_point_in_the_pdf_is_seen(svg_layers: Layers) -> None:
    """A coordinate moved by 0.002 mm in the finished file's bytes."""
    whole = pdf.write(document())
    nudged = _with_through_cut_moved(whole)
    moved = pdf_reader.layers(nudged)
    assert disagreement(moved["through"], svg_layers["through"]) > TOLERANCE
    assert disagreement(moved["kiss"], svg_layers["kiss"]) < TOLERANCE


def _with_through_cut_moved(data: bytes) -> bytes:
    """The first corner of the through cut, 150 mm right of its start, moved by 20 steps."""
    with pikepdf.open(io.BytesIO(data)) as file:
        contents = file.pages[0].obj.Contents
        streams = contents if isinstance(contents, pikepdf.Array) else [contents]
        for stream in streams:
            body = stream.read_bytes()
            moved = re.sub(rb"(?m)^1500000 0 l$", b"1500000 20 l", body, count=1)
            if moved != body:
                stream.write(moved)
                out = io.BytesIO()
                file.save(out)
                return out.getvalue()
    raise AssertionError("the corner was not found")
