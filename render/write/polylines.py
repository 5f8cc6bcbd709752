"""Contours as the tags of LWPOLYLINE entities (DXF Reference, ENTITIES section), y up."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from layouts.drawing import Affine, Arc, Contour, Cubic, Path, Point
from layouts.drawing.document import Item, Layer, Placement, Step, Symbol, outlines_of
from layouts.pages.cuts import without_cubics

_PLACES = 7  # decimals of a coordinate, precise enough in inches too
_APART = 1e-6  # coordinates farther apart are never written as equal


@dataclass(frozen=True, slots=True)
class View:
    """The scale of coordinates: the size of a mm and the page's height in the file's unit."""

    scale: float
    height: float

    def place(self, point: Point) -> tuple[str, str]:
        """x and y."""
        return _number(point.x * self.scale), _number(self.height - point.y * self.scale)


class Repeated:
    """Caches what files of several pages repeat.

    Sheets of one stock share the same notes, whose letters outnumber a sheet's cuts; only the
    height above the origin differs. Their cuts are images of few contours.
    """

    def __init__(self) -> None:
        self._last: dict[Step, tuple[Layer, float, list[_Pattern | Contour]]] = {}
        self._traces: dict[tuple[float, ...], tuple[Contour, _Trace | None]] = {}

    def polylines(self, layer: Layer, symbols: Mapping[str, Symbol], view: View) -> Iterator[str]:
        """The tags of a layer's polylines, with the same symbols in every call."""
        paths = (path for item in layer.items for path in paths_of(item, symbols))
        if layer.step is None or layer.step.is_cut:
            contours = (contour for path in paths for contour in path.contours)
            return filter(None, (self._cut(each, view) for each in contours))
        last, scale, read = self._last.get(layer.step, (None, 0.0, []))
        if last is not layer or scale != view.scale:
            read = [_pattern(contour, view.scale) for contour in _flat(paths)]
            self._last[layer.step] = (layer, view.scale, read)
        ys = {y for each in read if isinstance(each, _Pattern) for y in each.ys}
        heights = {y: _number(view.height - y) for y in ys}
        return filter(None, (_write_contour(each, view, heights) for each in read))

    def _cut(self, contour: Contour, view: View) -> str:
        """The tags of a cut; its points are not asked for if it is an image."""
        if contour.image_of is None:
            return _polyline(without_cubics(contour), view)
        first, at = contour.image_of
        key = (id(first), at.a, at.b, at.c, at.d, view.scale)
        known = self._traces.get(key)
        if known is None:
            # The contour is kept, so that its identity stays its own.
            known = self._traces[key] = (first, _trace(first, at, view.scale))
        trace = known[1]
        if trace is None:
            return _polyline(without_cubics(contour), view)
        numbers: list[str] = []
        for x, y in trace.points:
            numbers.append(_number((x + at.e) * view.scale))
            numbers.append(_number(view.height - (y + at.f) * view.scale))
        return trace.tags % tuple(numbers)


def polylines(paths: Iterable[Path], view: View) -> Iterator[str]:
    """The tags of one polyline per contour, except contours that shrink to a point."""
    return filter(None, (_polyline(contour, view) for contour in _flat(paths)))


def point_tags(at: Point, view: View) -> str:
    """The tags of a POINT."""
    x, y = view.place(at)
    return f"100\nAcDbPoint\n 10\n{x}\n 20\n{y}\n 30\n0.0\n"


def paths_of(item: Item, symbols: Mapping[str, Symbol]) -> Iterator[Path]:
    """The paths of an item in their place."""
    if isinstance(item, Placement):
        yield from (path.mapped(item.at) for path in outlines_of(symbols[item.symbol], symbols))
    else:
        yield item.path


def _flat(paths: Iterable[Path]) -> Iterator[Contour]:
    return (without_cubics(contour) for path in paths for contour in path.contours)


def _polyline(contour: Contour, view: View) -> str:
    """Points, each with the bulge of its outgoing segment; no point twice in a row."""
    place = view.place(contour.start)
    places = [place]
    bulges: list[str] = []
    for segment in contour.segments:
        reached = view.place(segment.end)
        if reached != place:
            place = reached
            places.append(place)
            bulges.append(_bulge(segment.bulge) if isinstance(segment, Arc) else "")
    if contour.closed and len(places) > 1 and place == places[0]:
        places.pop()
    else:
        bulges.append("")
    if len(places) < 2:
        return ""
    return _head(len(places), contour.closed) + "".join(
        [f" 10\n{x}\n 20\n{y}\n{bulge}" for (x, y), bulge in zip(places, bulges, strict=True)]
    )


@dataclass(frozen=True, slots=True)
class _Pattern:
    """The tags of a polyline with gaps for its heights; ``ys`` are in the file's unit, y down."""

    tags: str
    ys: tuple[float, ...]


def _pattern(contour: Contour, scale: float) -> _Pattern | Contour:
    """The pattern of a contour, or the contour itself if points are close enough to merge."""
    corners = _corners(contour, scale)
    if corners is None:
        return contour
    points, bulges = corners
    tags = _head(len(points), contour.closed) + "".join(
        f" 10\n{_number(x)}\n 20\n%s\n{bulge}" for (x, _), bulge in zip(points, bulges, strict=True)
    )
    return _Pattern(tags, tuple(y for _, y in points))


def _corners(contour: Contour, scale: float) -> tuple[list[tuple[float, float]], list[str]] | None:
    """Points in the file's unit, y down, and bulges; None if points are close enough to merge."""
    points = [(point.x * scale, point.y * scale) for point in contour.points()]
    bulges = [_bulge(each.bulge) if isinstance(each, Arc) else "" for each in contour.segments]
    if contour.closed and len(points) > 1 and points[0] == points[-1]:
        points.pop()
    else:
        bulges.append("")
    ring = [*points, points[0]] if contour.closed else points
    if len(points) < 2 or any(
        max(abs(x1 - x0), abs(y1 - y0)) < _APART for (x0, y0), (x1, y1) in pairwise(ring)
    ):
        return None
    return points, bulges


def _write_contour(read: _Pattern | Contour, view: View, heights: Mapping[float, str]) -> str:
    if isinstance(read, Contour):
        return _polyline(read, view)
    return read.tags % tuple([heights[y] for y in read.ys])


@dataclass(frozen=True, slots=True)
class _Trace:
    """The tags of a polyline with gaps for all its places; ``points`` are in mm, not yet moved."""

    tags: str
    points: tuple[tuple[float, float], ...]


def _trace(first: Contour, at: Affine, scale: float) -> _Trace | None:
    """The trace of a contour's images in one turn; None if points are close enough to merge."""
    if any(isinstance(each, Cubic) for each in first.segments):
        return None
    turned = first.mapped(Affine(at.a, at.b, at.c, at.d))
    corners = _corners(turned, scale)
    if corners is None:
        return None
    points, bulges = corners
    tags = "".join([f" 10\n%s\n 20\n%s\n{bulge}" for bulge in bulges])
    places = tuple([(x / scale, y / scale) for x, y in points])
    return _Trace(_head(len(points), turned.closed) + tags, places)


def _head(count: int, closed: bool) -> str:
    return f"100\nAcDbPolyline\n 90\n{count}\n 70\n{int(closed)}\n"


@lru_cache(maxsize=1 << 15)  # columns and rows repeat within a sheet and between sheets
def _number(value: float) -> str:
    # Adding zero makes "-0.0" a "0.0".
    return str(round(value, _PLACES) + 0.0)


@lru_cache(maxsize=4096)
def _bulge(bulge: float) -> str:
    """The tag of an arc; the y axis is flipped, and so is the side of the bulge."""
    value = round(-bulge, 12)
    return f" 42\n{value}\n" if value else ""
