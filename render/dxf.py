"""DXF: the cut content of a page, flat, in millimetres or inches, y up.

One closed LWPOLYLINE a contour, arcs as bulges, on layers named by their ISO 19593-1 type. The
version is R2000, the oldest that has both LWPOLYLINE and ``$INSUNITS``. ezdxf writes all but the
entities, whose tags are put in as text: a thousand contours through its objects take a second.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import lru_cache
from typing import TYPE_CHECKING, Literal

from layouts.cutpath import without_cubics
from layouts.drawing import Item, Layer, Page, Placement, Step, Symbol, outlines_of
from layouts.errors import OutputError
from layouts.geometry import Arc, Contour, Path, Point, Rect

if TYPE_CHECKING:
    from ezdxf.document import Drawing

Units = Literal["mm", "in"]
# $INSUNITS (DXF Reference, HEADER section) and the size of one unit in mm.
_UNITS: dict[Units, tuple[int, float]] = {"mm": (4, 1.0), "in": (1, 25.4)}
_SECTION = "  0\nSECTION\n  2\nENTITIES\n"
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
    frame = _frame(code, tuple(titles.items()))
    width, height = page.size.width / unit_mm, page.size.height / unit_mm
    entities = _Entities(frame.owner, frame.handle, 1 / unit_mm, height)
    for layer in layers:
        assert layer.step
        _add(entities, layer, symbols, titles[layer.step])
    return frame.around("".join(entities.text), width, height, entities.handle)


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


# Stand in a frame for what a page gives: its size, and the handles behind its entities.
_WIDTH, _HEIGHT, _SEED = 123456.75, 234567.75, 0xABCDEF0
_SEEDS = re.compile(r"\bABCDEF([0-9A-F])\b")


@dataclass(frozen=True, slots=True)
class _Frame:
    """All of a file but its entities; ``handle`` is the first one that is free for them."""

    before: str
    after: str
    encoding: str
    owner: str
    handle: int

    def around(self, entities: str, width: float, height: float, handle: int) -> bytes:
        """The whole file; ``handle`` is the first one that is free behind the entities."""

        def of_page(text: str) -> str:
            text = text.replace(str(_WIDTH), str(width)).replace(str(_HEIGHT), str(height))
            return _SEEDS.sub(lambda found: f"{handle + int(found[1], 16):X}", text)

        before, after = of_page(self.before), of_page(self.after)
        text = "".join((before, _SECTION, entities, after))
        return text.encode(self.encoding, errors="dxfreplace")


@lru_cache(maxsize=64)
def _frame(code: int, titles: tuple[tuple[Step, str], ...]) -> _Frame:
    """The frame of files in a unit with these layers: the same for all sheets of a job."""
    with _fixed_metadata():
        drawing = _new(code)
        for step, title in titles:
            drawing.layers.add(title, color=1 + list(Step).index(step))
        owner, handle = drawing.modelspace().layout_key, int(str(drawing.entitydb.handles), 16)
        drawing.entitydb.handles.reset(f"{_SEED:X}")
        stream = io.StringIO()
        drawing.write(stream)
    before, _, after = stream.getvalue().partition(_SECTION)
    return _Frame(before, after, drawing.output_encoding, owner, handle)


def _new(code: int) -> Drawing:
    from ezdxf.filemanagement import new

    drawing = new("R2000", units=code)
    drawing.header["$EXTMIN"] = (0.0, 0.0, 0.0)
    drawing.header["$EXTMAX"] = (_WIDTH, _HEIGHT, 0.0)
    drawing.modelspace().reset_extents((0, 0, 0), (_WIDTH, _HEIGHT, 0))
    drawing.modelspace().reset_limits((0, 0), (_WIDTH, _HEIGHT))
    return drawing


@dataclass(slots=True)
class _Entities:
    """The tags of the model space's entities (DXF Reference, ENTITIES section) as they grow.

    ``scale`` and ``height`` are of the file's unit; ``handle`` is the next one that is free.
    """

    owner: str
    handle: int
    scale: float
    height: float
    text: list[str] = field(default_factory=list)

    def add_polyline(self, contour: Contour, layer: str) -> None:
        """One LWPOLYLINE, unless the contour shrinks to a point in the file."""
        vertices = self._vertices(contour)
        if len(vertices) > 1:
            self._head("LWPOLYLINE", layer)
            flag = int(contour.closed)
            self.text.append(f"100\nAcDbPolyline\n 90\n{len(vertices)}\n 70\n{flag}\n")
            self.text += (
                f" 10\n{x}\n 20\n{y}\n 42\n{bulge}\n" if bulge else f" 10\n{x}\n 20\n{y}\n"
                for x, y, bulge in vertices
            )

    def add_point(self, at: Point, layer: str) -> None:
        """One POINT."""
        x, y = self._place(at)
        self._head("POINT", layer)
        self.text.append(f"100\nAcDbPoint\n 10\n{x}\n 20\n{y}\n 30\n0.0\n")

    def _head(self, kind: str, layer: str) -> None:
        self.text.append(
            f"  0\n{kind}\n  5\n{self.handle:X}\n330\n{self.owner}\n100\nAcDbEntity\n  8\n{layer}\n"
        )
        self.handle += 1

    def _place(self, point: Point) -> tuple[float, float]:
        # Adding zero makes "-0.0" a "0.0".
        return (
            round(point.x * self.scale, _PLACES) + 0.0,
            round(self.height - point.y * self.scale, _PLACES) + 0.0,
        )

    def _vertices(self, contour: Contour) -> list[tuple[float, float, float]]:
        """Places, each with the bulge of the segment that leaves it; no place twice in a row."""
        scale, height = self.scale, self.height
        # Adding zero makes "-0.0" a "0.0".
        reached = [
            (round(at.x * scale, _PLACES) + 0.0, round(height - at.y * scale, _PLACES) + 0.0)
            for at in contour.points()
        ]
        places = reached[:1]
        bulges: list[float] = []
        for segment, place in zip(contour.segments, reached[1:], strict=True):
            if place != places[-1]:
                places.append(place)
                # The y axis turns round, and with it the side that an arc bulges to.
                bulges.append(round(-segment.bulge, 12) if isinstance(segment, Arc) else 0.0)
        if contour.closed and len(places) > 1 and places[-1] == places[0]:
            places.pop()
        else:
            bulges.append(0.0)
        return [(x, y, bulge) for (x, y), bulge in zip(places, bulges, strict=True)]


def _add(entities: _Entities, layer: Layer, symbols: Mapping[str, Symbol], title: str) -> None:
    for item in layer.items:
        paths = tuple(_paths(item, symbols))
        for path in paths:
            for contour in path.contours:
                entities.add_polyline(without_cubics(contour), title)
        if layer.step is Step.MARKS and paths:
            entities.add_point(Rect.around(path.bounds() for path in paths).center, title)


def _paths(item: Item, symbols: Mapping[str, Symbol]) -> Iterator[Path]:
    if isinstance(item, Placement):
        yield from (path.mapped(item.at) for path in outlines_of(symbols[item.symbol], symbols))
    else:
        yield item.path
