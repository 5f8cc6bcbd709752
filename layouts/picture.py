"""A small picture of a marker: its face to scale as it is after cutting, without dimensions."""

from __future__ import annotations

from dataclasses import dataclass

from layouts.drawing import Item, Placement, Stroke, Symbol
from layouts.face.model import Face
from layouts.figure import carrier_of, face_symbol, figure_scale, printed_part
from layouts.geometry import Affine, Point, Rect, Size
from layouts.inks import Ink
from layouts.paper import THIN


@dataclass(frozen=True, slots=True)
class Picture:
    """What is drawn, the symbol it places, the scale (one to so many) and the size on paper."""

    items: tuple[Item, ...]
    symbol: Symbol
    scale: int
    size: Size


def picture(face: Face, at: Point, room: Size, ink: Ink) -> Picture:
    """The face, on its plate where it has one, with its top-left corner at ``at``."""
    part, plate = printed_part(face), carrier_of(face)
    whole = part.size if plate is None else plate.size
    scale = figure_scale(face, Rect(0.0, 0.0, room.width, room.height))
    on_paper = Affine.scale(1 / scale).then(Affine.move(at.x, at.y))
    inset = Affine.move((whole.width - part.size.width) / 2, (whole.height - part.size.height) / 2)
    place = inset.then(on_paper)
    symbol = face_symbol(face)
    items: list[Item] = []
    if plate is not None:
        paths = [plate.outline] if plate.holes is None else [plate.outline, plate.holes]
        items += (Stroke(path.mapped(on_paper), ink, THIN) for path in paths)
    items.append(Placement(symbol.id, place))
    items.append(Stroke(part.outline.mapped(place), ink, THIN))
    if part.holes is not None:
        items.append(Stroke(part.holes.mapped(place), ink, THIN))
    return Picture(tuple(items), symbol, scale, Size(whole.width / scale, whole.height / scale))
