"""What lies around a DXF's entities, beside the file that ezdxf makes for the same page."""

from __future__ import annotations

import io
from collections.abc import Iterator, Mapping

import pytest
from ezdxf import filemanagement
from ezdxf._options import options

from layouts.drawing import Rect, Size
from layouts.drawing.document import Layer, Page, Step
from render.write import dxf

# $INSUNITS (DXF Reference, HEADER section).
UNITS: Mapping[dxf.Units, tuple[int, float]] = {"mm": (4, 1.0), "in": (1, 25.4)}
LAYERS = [
    {},
    {Step.KISS_CUT: "PartialCutting", Step.HOLE: "Drilling", Step.NOTES: "Legend"},
    {Step.KISS_CUT: "CUT", Step.THROUGH_CUT: "CUT", Step.MARKS: "regmark 2"},
    {Step.KISS_CUT: "Coup\N{LATIN SMALL LETTER E WITH ACUTE}", Step.FOLD: "\N{OHM SIGN} fold"},
]


@pytest.fixture
def same_metadata() -> Iterator[None]:
    """ezdxf leaves out its clock and its random identifiers."""
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    yield
    options.write_fixed_meta_data_for_testing = before


def by_ezdxf(names: Mapping[Step, str], units: dxf.Units, size: Size) -> bytes:
    """A page of this size without entities; a layer has the color of its first step."""
    code, unit_mm = UNITS[units]
    width, height = size.width / unit_mm, size.height / unit_mm
    drawing = filemanagement.new("R2000", units=code)
    drawing.header["$EXTMIN"] = (0.0, 0.0, 0.0)
    drawing.header["$EXTMAX"] = (width, height, 0.0)
    space = drawing.modelspace()
    space.reset_extents((0, 0, 0), (width, height, 0))
    space.reset_limits((0, 0), (width, height))
    for step, name in names.items():
        if name not in drawing.layers:
            drawing.layers.add(name, color=1 + list(Step).index(step))
    stream = io.StringIO()
    drawing.write(stream)
    return drawing.encode(stream.getvalue())


def blank(names: Mapping[Step, str], size: Size) -> Page:
    box = Rect(0.0, 0.0, size.width, size.height)
    return Page("p", "Page", size, box, box, tuple(Layer(step.title, (), step) for step in names))


@pytest.mark.usefixtures("same_metadata")
@pytest.mark.parametrize("names", LAYERS)
@pytest.mark.parametrize("units", ["mm", "in"])
def test_the_file_is_the_one_of_ezdxf(names: Mapping[Step, str], units: dxf.Units) -> None:
    size = Size(1234.5, 609.6)
    assert dxf.write(blank(names, size), {}, units, names) == by_ezdxf(names, units, size)


@pytest.mark.parametrize("name", ["0", "defpoints", "CUTTING"])
def test_a_name_that_the_file_has_is_one_layer(name: str) -> None:
    """DXF ignores case, and each drawing has the layers 0 and Defpoints."""
    page = blank({Step.THROUGH_CUT: "Cutting", Step.KISS_CUT: name}, Size(100.0, 50.0))
    data = dxf.write(page, {}, names={Step.KISS_CUT: name})
    read = filemanagement.read(io.StringIO(data.decode("ascii")))
    assert not read.audit().errors
    assert {each.dxf.name.lower() for each in read.layers} == {"0", "defpoints", "cutting"}
