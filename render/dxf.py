"""DXF: the cut content of a page, flat, in millimetres or inches, y up.

One closed LWPOLYLINE a contour, arcs as bulges, on layers named by their ISO 19593-1 type. The
version is R2000, the oldest that has both LWPOLYLINE and ``$INSUNITS``.
"""

from __future__ import annotations

import io
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import TYPE_CHECKING, Literal

from layouts.cutpath import without_cubics
from layouts.drawing import Item, Layer, Page, Placement, Step, Symbol
from layouts.errors import OutputError
from layouts.geometry import Affine, Arc, Contour, Path, Rect

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.layouts.layout import Modelspace

Units = Literal["mm", "in"]
# $INSUNITS (DXF Reference, HEADER section) and the size of one unit in mm.
_UNITS: dict[Units, tuple[int, float]] = {"mm": (4, 1.0), "in": (1, 25.4)}
_PLACES = 7  # decimals of a coordinate, fine enough in inches too
_FORBIDDEN = frozenset('<>/\\":;?*|=`,')  # in a layer's name (DXF Reference, symbol tables)


def write(
    page: Page,
    symbols: Mapping[str, Symbol],
    units: Units = "mm",
    names: Mapping[Step, str] | None = None,
) -> bytes:
    """The page's cuts, notes, sizes and mark centers as a DXF file.

    The origin is the page's lower left corner, the same as in print. A white underprint prints
    and is left out. On the layer of marks each item also gets a POINT in its middle.

    Args:
        page: the sheet; layers without a step are not cut and stay out.
        symbols: what the page places.
        units: of the coordinates and of ``$INSUNITS``.
        names: layer names that a machine expects, by step; else the step's own title.

    Raises:
        OutputError: a layer name holds a character that DXF forbids.
        KeyError: the page places a symbol that is not among ``symbols``.
    """
    code, unit_mm = _UNITS[units]
    layers = [layer for layer in page.layers if layer.step not in (None, Step.WHITE)]
    titles = _titles(layers, names or {})
    to_file = Affine(1 / unit_mm, 0, 0, -1 / unit_mm, 0, page.size.height / unit_mm)
    with _fixed_metadata():
        drawing = _new(code, (page.size.width / unit_mm, page.size.height / unit_mm))
        for step, title in titles.items():
            drawing.layers.add(title, color=1 + list(Step).index(step))
        for layer in layers:
            assert layer.step
            _add(drawing.modelspace(), layer, symbols, to_file, titles[layer.step])
        return _encoded(drawing)


def _titles(layers: list[Layer], names: Mapping[Step, str]) -> dict[Step, str]:
    titles = {layer.step: names.get(layer.step, layer.step.title) for layer in layers if layer.step}
    for step, title in titles.items():
        wrong = sorted(_FORBIDDEN.intersection(title))
        if wrong or not title.strip():
            raise OutputError(
                f"the layer name {title!r} for {step.title} cannot stand in a DXF file; "
                f"it must have letters and none of {' '.join(sorted(_FORBIDDEN))}"
            )
    return titles


@contextmanager
def _fixed_metadata() -> Iterator[None]:
    """No clock and no random identifiers in the file: the same page gives the same bytes."""
    from ezdxf._options import options  # half a second, and only a cut file needs it

    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def _new(code: int, extent: tuple[float, float]) -> Drawing:
    from ezdxf.filemanagement import new

    drawing = new("R2000", units=code)
    drawing.header["$EXTMIN"] = (0.0, 0.0, 0.0)
    drawing.header["$EXTMAX"] = (*extent, 0.0)
    drawing.modelspace().reset_extents((0, 0, 0), (*extent, 0))
    drawing.modelspace().reset_limits((0, 0), extent)
    return drawing


def _encoded(drawing: Drawing) -> bytes:
    stream = io.StringIO()
    drawing.write(stream)
    return stream.getvalue().encode(drawing.output_encoding, errors="dxfreplace")


def _add(
    space: Modelspace, layer: Layer, symbols: Mapping[str, Symbol], to_file: Affine, title: str
) -> None:
    attributes = {"layer": title}
    for item in layer.items:
        paths = tuple(_paths(item, symbols))
        for path in paths:
            for contour in path.contours:
                vertices = _vertices(without_cubics(contour).mapped(to_file))
                if len(vertices) > 1:
                    space.add_lwpolyline(
                        vertices, format="xyb", close=contour.closed, dxfattribs=attributes
                    )
        if layer.step is Step.MARKS and paths:
            center = to_file.point(Rect.around(path.bounds() for path in paths).center)
            space.add_point((_rounded(center.x), _rounded(center.y)), dxfattribs=attributes)


def _paths(item: Item, symbols: Mapping[str, Symbol]) -> Iterator[Path]:
    if isinstance(item, Placement):
        yield from (shape.path.mapped(item.at) for shape in symbols[item.symbol].shapes)
    else:
        yield item.path


def _vertices(contour: Contour) -> list[tuple[float, float, float]]:
    """Places, each with the bulge of the segment that leaves it; no place twice in a row."""
    places = [(_rounded(contour.start.x), _rounded(contour.start.y))]
    bulges: list[float] = []
    for segment in contour.segments:
        place = (_rounded(segment.end.x), _rounded(segment.end.y))
        if place != places[-1]:
            places.append(place)
            bulges.append(round(segment.bulge, 12) if isinstance(segment, Arc) else 0.0)
    if contour.closed and len(places) > 1 and places[-1] == places[0]:
        places.pop()
    else:
        bulges.append(0.0)
    return [(x, y, bulge) for (x, y), bulge in zip(places, bulges, strict=True)]


def _rounded(value: float) -> float:
    return round(value, _PLACES) + 0.0  # never "-0.0"
