"""A small picture of a marker: its face to scale as it is after cutting, without dimensions."""

from __future__ import annotations

from dataclasses import dataclass

from layouts.drawing import Affine, Point, Rect, Size
from layouts.drawing.document import Placement, Shape, Stroke, Symbol
from layouts.drawing.inks import Ink
from layouts.face.model import Face
from layouts.figure import carrier_of, face_symbol, figure_scale, printed_part
from layouts.paper import THIN


@dataclass(frozen=True, slots=True)
class Picture:
    """A face with its edges as one symbol, the scale (one to so many), the size on paper,
    and how far within its plate the face lies, mm of the marker.
    """

    symbol: Symbol
    scale: int
    size: Size
    inset: Point

    def at(self, corner: Point) -> Placement:
        """The picture with its top-left corner there."""
        x, y = corner.x + self.inset.x / self.scale, corner.y + self.inset.y / self.scale
        return Placement(self.symbol.id, Affine.scale(1 / self.scale).then(Affine.move(x, y)))


class Pictures:
    """The pictures of one paper. ``known`` are those that papers of a job share."""

    def __init__(self, ink: Ink, known: dict[tuple[str, Size], Picture]) -> None:
        self.ink = ink
        self._known = known
        self._used: dict[str, Symbol] = {}

    def of(self, face: Face, room: Size) -> Picture:
        """The face, on its plate where it has one, at the largest scale that ``room`` takes."""
        key = (face.id, room)
        drawn = self._known.get(key)
        if drawn is None:
            drawn = self._known[key] = _picture(face, room, self.ink)
        self._used[drawn.symbol.id] = drawn.symbol
        return drawn

    def symbols(self) -> dict[str, Symbol]:
        """Every picture of this paper, each once."""
        return self._used


def _picture(face: Face, room: Size, ink: Ink) -> Picture:
    part, plate = printed_part(face), carrier_of(face)
    whole = part.size if plate is None else plate.size
    scale = figure_scale(face, Rect(0.0, 0.0, room.width, room.height))
    inset = Point((whole.width - part.size.width) / 2, (whole.height - part.size.height) / 2)
    line = THIN * scale
    art = face_symbol(face)
    shapes: list[Shape] = []
    if plate is not None:
        behind = Affine.move(-inset.x, -inset.y)
        paths = [plate.outline] if plate.holes is None else [plate.outline, plate.holes]
        shapes += (Stroke(path.mapped(behind), ink, line) for path in paths)
    edges = [part.outline] if part.holes is None else [part.outline, part.holes]
    shapes += (*art.shapes, *(Stroke(path, ink, line) for path in edges))
    box = Rect.around([art.bounds, Rect(-inset.x, -inset.y, whole.width, whole.height)])
    on_paper = Size(whole.width / scale, whole.height / scale)
    return Picture(Symbol(f"{art.id}-{scale}", tuple(shapes), box), scale, on_paper, inset)
