"""An NFPA 704 diamond: health left, fire above, instability right, special hazard below."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from layouts.drawing import Point, Rect, polygon, rectangle
from layouts.drawing.document import Fill, Item, Stroke
from layouts.drawing.inks import Ink, contrast
from layouts.drawing.typeset import Typesetter

# Fields by place, NFPA 704 (from memory); their shades are those of the palette.
_FIELDS = ("safety blue", "safety red", "safety yellow", "white")
_LINE = 0.1  # of the figures' height
_NO_WATER = "W"  # drawn with a bar through it


def diamond_items(
    center: Point,
    figure: float,
    quarter: float,
    ratings: tuple[int, int, int],
    special: str,
    inks: Mapping[str, Ink],
    setter_of: Callable[[str, Ink], Typesetter],
) -> Iterator[Item]:
    """The four quarters around a center, with figures of a height in mm.

    ``quarter`` is a quarter's side in heights of the figures; ``ratings`` are health, fire and
    instability.
    """
    half = quarter * figure / 2.0**0.5  # from a quarter's center to its corners
    black = inks["black"]
    spots = ((-half, 0.0), (0.0, -half), (half, 0.0), (0.0, half))
    texts = (*map(str, ratings), special)
    for (dx, dy), name, text in zip(spots, _FIELDS, texts, strict=True):
        at = Point(center.x + dx, center.y + dy)
        shape = polygon(_corners(at, half))
        field = inks[name]
        yield Fill(shape, field)
        yield Stroke(shape, black, _LINE * figure)
        ink = max((black, inks["white"]), key=lambda ink: contrast(ink.lab, field.lab))
        size = figure if len(text) < 2 else 0.75 * figure
        base = Point(at.x, at.y + size / 2)
        setter = setter_of(text, ink)
        yield from setter.line(text, base, size, ink, "center")
        if text == _NO_WATER:
            wide = 1.15 * setter.width(text, size)
            bar = Rect(at.x - wide / 2, at.y - _LINE * size / 2, wide, _LINE * size)
            yield Fill(rectangle(bar), ink)


def _corners(at: Point, half: float) -> tuple[Point, ...]:
    return (
        Point(at.x, at.y - half),
        Point(at.x + half, at.y),
        Point(at.x, at.y + half),
        Point(at.x - half, at.y),
    )
