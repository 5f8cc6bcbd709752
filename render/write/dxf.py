"""Writes the cut content of a page as flat DXF, in millimeters or inches, y up.

Each contour is one closed LWPOLYLINE, with arcs as bulges, on layers named by ISO 19593-1 type. The
version is R2000, the oldest that has both LWPOLYLINE and ``$INSUNITS``. ezdxf writes everything
except the entities, whose tags are inserted as text: a thousand contours through its objects take
a second.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import lru_cache
from typing import TYPE_CHECKING, Literal

from layouts.drawing import Rect
from layouts.drawing.document import (
    FORBIDDEN_IN_LAYERS,
    Layer,
    Page,
    Step,
    Symbol,
    TextLine,
)
from layouts.terms.errors import OutputError
from render.write.polylines import Head, Repeated, View, contours_of, point_tags

if TYPE_CHECKING:
    from ezdxf.document import Drawing

Units = Literal["mm", "in"]
# $INSUNITS (DXF Reference, HEADER section) and the size of one unit in mm.
_UNITS: dict[Units, tuple[int, float]] = {"mm": (4, 1.0), "in": (1, 25.4)}
_SECTION = "  0\nSECTION\n  2\nENTITIES\n"


def write(
    page: Page,
    symbols: Mapping[str, Symbol],
    units: Units = "mm",
    names: Mapping[Step, str] | None = None,
    repeated: Repeated | None = None,
) -> bytes:
    """The page's cuts, notes, sizes and mark centers as a DXF file.

    Two steps may share a layer. The origin is the page's lower left corner, the same as in
    print. A white underprint prints and is left out. On the layer of marks each item also gets a
    POINT at its center.

    Args:
        page: the sheet; layers without a step are not cut and stay out.
        symbols: what the page places.
        units: of the coordinates and of ``$INSUNITS``.
        names: layer names that a machine expects, by step; else the step's own title.
        repeated: data that files of several pages with the same symbols share.

    Raises:
        OutputError: a layer name holds a character that DXF forbids.
        KeyError: the page places a symbol that is not among ``symbols``.
    """
    code, unit_mm = _UNITS[units]
    layers = [layer for layer in page.layers if layer.step not in (None, Step.WHITE)]
    titles = _titles(layers, names or {})
    if page.texts:
        titles[Step.NOTES] = (names or {}).get(Step.NOTES, Step.NOTES.title)
    frame = _frame(code, tuple(titles.items()))
    width, height = page.size.width / unit_mm, page.size.height / unit_mm
    view = View(1 / unit_mm, height)
    repeated = repeated or Repeated()
    entities = _Entities(frame.owner, frame.handle)
    for layer in layers:
        assert layer.step
        _add_layer(entities, layer, symbols, view, titles[layer.step], repeated)
    for line in page.texts:
        entities.add("TEXT", titles[Step.NOTES], _text_tags(line, view))
    return frame.around("".join(entities.text), width, height, entities.handle)


def _add_layer(
    entities: _Entities,
    layer: Layer,
    symbols: Mapping[str, Symbol],
    view: View,
    title: str,
    repeated: Repeated,
) -> None:
    if layer.step is Step.NOTES:
        head = entities.head("LWPOLYLINE", title)
        entities.add_all(*repeated.notes(layer, symbols, view, head, entities.handle))
        return
    for item in layer.items:
        contours = tuple(contours_of((item,), symbols))
        for contour in contours:
            if tags := repeated.polyline(contour, view):
                entities.add("LWPOLYLINE", title, tags)
        if layer.step is Step.MARKS and contours:
            middle = Rect.around(each.bounds() for each in contours).center
            entities.add("POINT", title, point_tags(middle, view))


def _text_tags(line: TextLine, view: View) -> str:
    """The tags of a TEXT, with the left end of its baseline and its height."""
    x, y = view.place(line.at)
    height = round(line.size * view.scale, 7)
    return (
        f"100\nAcDbText\n 10\n{x}\n 20\n{y}\n 30\n0.0\n 40\n{height}\n  1\n{line.text}\n"
        "100\nAcDbText\n"
    )


def warm(units: Units = "mm") -> None:
    """Load what every file needs once, before processes share the work."""
    _frame(_UNITS[units][0], ())


def _titles(layers: list[Layer], names: Mapping[Step, str]) -> dict[Step, str]:
    titles = {layer.step: names.get(layer.step, layer.step.title) for layer in layers if layer.step}
    for step, title in titles.items():
        named = " ".join(each for each in sorted(FORBIDDEN_IN_LAYERS) if each.isprintable())
        wrong = sorted(FORBIDDEN_IN_LAYERS.intersection(title))
        if wrong or not title.strip():
            raise OutputError(
                f"the layer name {title!r} for {step.title} cannot stand in a DXF file; "
                f"it must have letters and none of {named}"
            )
    return titles


@contextmanager
def _fixed_metadata() -> Iterator[None]:
    """No clock and no random identifiers in the file: the same page gives the same bytes."""
    from ezdxf._options import options  # takes half a second, and only cut files need it

    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


# Placeholders in a frame for a page's size and the handles after its entities.
_WIDTH, _HEIGHT, _SEED = 123456.75, 234567.75, 0xABCDEF0
_HELD = re.compile(rf"({re.escape(str(_WIDTH))}|{re.escape(str(_HEIGHT))}|\bABCDEF[0-9A-F]\b)")


@dataclass(frozen=True, slots=True)
class _Frame:
    """A file without its entities, split at its placeholders; ``handle`` is free for the first."""

    before: list[str]
    after: list[str]
    encoding: str
    owner: str
    handle: int

    def around(self, entities: str, width: float, height: float, handle: int) -> bytes:
        """The whole file; ``handle`` is the first free one after the entities."""
        values = {str(_WIDTH): str(width), str(_HEIGHT): str(height)}
        values |= {f"{_SEED + n:X}": f"{handle + n:X}" for n in range(16)}
        before, after = (
            "".join([values.get(part, part) for part in parts])
            for parts in (self.before, self.after)
        )
        text = "".join((before, _SECTION, entities, after))
        # Python's own codec is many times faster than that of a code page.
        encoding = "ascii" if text.isascii() else self.encoding
        return text.encode(encoding, errors="dxfreplace")


@lru_cache(maxsize=64)
def _frame(code: int, titles: tuple[tuple[Step, str], ...]) -> _Frame:
    """The frame of files in a unit with these layers: the same for all sheets of a job."""
    with _fixed_metadata():
        drawing = _new(code)
        colors = {title: 1 + list(Step).index(step) for step, title in reversed(titles)}
        for title in dict.fromkeys(title for _, title in titles):
            drawing.layers.add(title, color=colors[title])
        owner, handle = drawing.modelspace().layout_key, int(str(drawing.entitydb.handles), 16)
        drawing.entitydb.handles.reset(f"{_SEED:X}")
        stream = io.StringIO()
        drawing.write(stream)
    before, _, after = stream.getvalue().partition(_SECTION)
    held = _HELD.split(before), _HELD.split(after)
    return _Frame(*held, drawing.output_encoding, owner, handle)


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
    """Collects the tags of the model space's entities (DXF Reference, ENTITIES section).

    ``handle`` is the next free one.
    """

    owner: str
    handle: int
    text: list[str] = field(default_factory=list)

    def head(self, kind: str, layer: str) -> Head:
        """What begins each entity of a kind on a layer."""
        tags = f"\n330\n{self.owner}\n100\nAcDbEntity\n  8\n{layer}\n"
        return Head(f"  0\n{kind}\n  5\n", tags)

    def add(self, kind: str, layer: str, tags: str) -> None:
        """Add one entity with its tags."""
        head = self.head(kind, layer)
        self.text.append(f"{head.before}{self.handle:X}{head.after}{tags}")
        self.handle += 1

    def add_all(self, text: str, handle: int) -> None:
        """Add entities already written; ``handle`` is the next free one."""
        self.text.append(text)
        self.handle = handle
