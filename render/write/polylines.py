"""Contours as the tags of LWPOLYLINE entities (DXF Reference, ENTITIES section), y up."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from typing import NamedTuple, TypeAlias

from layouts.drawing import Arc, Contour, Path, Point
from layouts.drawing.document import Item, Layer, Placement, Symbol, outlines_of
from layouts.pages.cuts import without_cubics
from layouts.terms.values import frozen
from render.write.traces import Traces

_PLACES = 7  # decimals of a coordinate, precise enough in inches too
_GAP = "\0"
_APART = 3e-5  # mm; places farther apart are never written as equal, in inches either


@frozen
class View:
    """The scale of coordinates: the size of a mm and the page's height in the file's unit."""

    scale: float
    height: float

    def place(self, point: Point) -> tuple[str, str]:
        """x and y."""
        return _number(point.x * self.scale), _number(self.height - point.y * self.scale)


class _Trace(NamedTuple):
    """Tags with a gap ``%s`` for each coordinate of ``points``, which are in mm."""

    text: str
    points: tuple[tuple[float, float], ...]


_Moved: TypeAlias = tuple[_Trace, float, float]
"""A trace, and how far it is moved right and down, mm."""


@frozen
class Head:
    """The tags that begin each entity of a layer, before and after its handle."""

    before: str
    after: str


class Repeated:
    """Caches what files of several pages repeat.

    Sheets of one stock share the same notes, whose letters outnumber a sheet's cuts; only the
    height above the origin differs. Their cuts are images of few contours.
    """

    def __init__(self) -> None:
        self._traces = Traces(_trace)
        self._notes: tuple[Layer, float, Head, _Raised] | None = None

    def polyline(self, contour: Contour, view: View) -> str:
        """The tags of a contour, none where it shrinks to a point."""
        trace, dx, dy = self._traces.of(contour)
        scale, height = view.scale, view.height
        numbers = [
            _number(each)
            for x, y in trace.points
            for each in ((x + dx) * scale, height - (y + dy) * scale)
        ]
        return trace.text % tuple(numbers)

    def notes(
        self, layer: Layer, symbols: Mapping[str, Symbol], view: View, head: Head, handle: int
    ) -> tuple[str, int]:
        """The polylines of notes, and the first handle that is free after them.

        The symbols are the same in every call.
        """
        known = self._notes
        if known is None or known[0] is not layer or known[1:3] != (view.scale, head):
            contours = contours_of(layer.items, symbols)
            moved = [each for each in map(self._traces.of, contours) if each[0].points]
            known = self._notes = layer, view.scale, head, _Raised(moved, view.scale, head)
        return known[3].written(view.height, handle), handle + known[3].count


def contours_of(items: Iterable[Item], symbols: Mapping[str, Symbol]) -> Iterator[Contour]:
    """The contours of items in their place."""
    return (each for item in items for path in _paths_of(item, symbols) for each in path.contours)


def point_tags(at: Point, view: View) -> str:
    """The tags of a POINT."""
    x, y = view.place(at)
    return f"100\nAcDbPoint\n 10\n{x}\n 20\n{y}\n 30\n0.0\n"


def _paths_of(item: Item, symbols: Mapping[str, Symbol]) -> Iterator[Path]:
    if isinstance(item, Placement):
        yield from (path.mapped(item.at) for path in outlines_of(symbols[item.symbol], symbols))
    else:
        yield item.path


def _trace(contour: Contour) -> _Trace:
    """Points, each with the bulge of its outgoing segment; no point twice in a row."""
    plain = without_cubics(contour)
    points, bulges = [(plain.start.x, plain.start.y)], [""]
    for segment in plain.segments:
        end = (segment.end.x, segment.end.y)
        if _are_apart(points[-1], end):
            bulges[-1] = _bulge(segment.bulge) if isinstance(segment, Arc) else ""
            points.append(end)
            bulges.append("")
    if plain.closed and len(points) > 1 and not _are_apart(points[0], points[-1]):
        points.pop()
        bulges.pop()
    if len(points) < 2:
        return _Trace("", ())
    head = f"100\nAcDbPolyline\n 90\n{len(points)}\n 70\n{int(plain.closed)}\n"
    return _Trace(head + "".join([f" 10\n%s\n 20\n%s\n{each}" for each in bulges]), tuple(points))


def _are_apart(one: tuple[float, float], other: tuple[float, float]) -> bool:
    return abs(one[0] - other[0]) > _APART or abs(one[1] - other[1]) > _APART


class _Raised:
    """Polylines with gaps for what depends on a page: their handles and heights."""

    def __init__(
        self, traces: Sequence[tuple[_Trace, float, float]], scale: float, head: Head
    ) -> None:
        self.count = count = len(traces)
        ranks: dict[float, int] = {}
        texts: list[str] = []
        self._gaps: list[int] = []  # handles, then heights by their rank
        for n, (trace, right, down) in enumerate(traces):
            places = [
                each for x, _ in trace.points for each in (_digits((x + right) * scale), _GAP)
            ]
            texts.append(f"{head.before}{_GAP}{head.after}{trace.text % tuple(places)}")
            self._gaps.append(n)
            ys = [y + down for _, y in trace.points]
            self._gaps += [count + ranks.setdefault(y, len(ranks)) for y in ys]
        self._ys = [y * scale for y in ranks]
        fixed = "".join(texts).split(_GAP)
        self._cells = [""] * (2 * len(fixed) - 1)
        self._cells[::2] = fixed

    def written(self, height: float, handle: int) -> str:
        """The text on a page of this height, in the file's unit, from a handle on."""
        values = [f"{handle + n:X}" for n in range(self.count)]
        values += [_digits(height - y) for y in self._ys]
        self._cells[1::2] = map(values.__getitem__, self._gaps)
        return "".join(self._cells)


def _digits(value: float) -> str:
    # Adding zero makes "-0.0" a "0.0".
    return str(round(value, _PLACES) + 0.0)


# Columns and rows of cuts repeat within a sheet and between sheets.
_number = lru_cache(maxsize=1 << 15)(_digits)


@lru_cache(maxsize=4096)
def _bulge(bulge: float) -> str:
    """The tag of an arc; the y axis is flipped, and so is the side of the bulge."""
    value = round(-bulge, 12)
    return f" 42\n{value}\n" if value else ""
