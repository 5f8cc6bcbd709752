"""Writes the cut content of a page as flat DXF, in millimeters or inches, y up.

Each contour is one closed LWPOLYLINE, with arcs as bulges, on layers named by ISO 19593-1 type. The
version is R2000, the oldest that has both LWPOLYLINE and ``$INSUNITS``. ``dxf_frame`` has all but
the entities.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

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
from render.write.dxf_frame import OWNER, frame
from render.write.polylines import Head, Repeated, View, contours_of, point_tags

Units = Literal["mm", "in"]
# $INSUNITS (DXF Reference, HEADER section) and the size of one unit in mm.
_UNITS: dict[Units, tuple[int, float]] = {"mm": (4, 1.0), "in": (1, 25.4)}


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
    blank = frame(code, _colors(titles))
    width, height = page.size.width / unit_mm, page.size.height / unit_mm
    view = View(1 / unit_mm, height)
    repeated = repeated or Repeated()
    entities = _Entities(blank.handle)
    for layer in layers:
        assert layer.step
        _add_layer(entities, layer, symbols, view, titles[layer.step], repeated)
    for line in page.texts:
        entities.add("TEXT", titles[Step.NOTES], _text_tags(line, view))
    return blank.around("".join(entities.text), width, height, entities.handle)


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


def _colors(titles: Mapping[Step, str]) -> dict[str, int]:
    """A color number by the layer's name: that of its first step."""
    colors: dict[str, int] = {}
    for step, title in titles.items():
        colors.setdefault(title, 1 + list(Step).index(step))
    return colors


@dataclass(slots=True)
class _Entities:
    """Collects the tags of the model space's entities (DXF Reference, ENTITIES section).

    ``handle`` is the next free one.
    """

    handle: int
    text: list[str] = field(default_factory=list)

    def head(self, kind: str, layer: str) -> Head:
        """What begins each entity of a kind on a layer."""
        tags = f"\n330\n{OWNER}\n100\nAcDbEntity\n  8\n{layer}\n"
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
