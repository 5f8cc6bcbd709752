"""Bridges: short gaps in a through cut that hold the part until it is broken out."""

import math
from collections.abc import Iterator

from layouts.drawing import Contour, Point, Segment
from layouts.pages.cuts.arcs import without_cubics
from layouts.pages.cuts.contour_pieces import closed_up, part, segment_length, with_starts
from layouts.terms.values import frozen


@frozen
class Bridges:
    """Gaps of ``width`` mm, at most ``spacing`` mm apart, at least ``fewest`` a contour."""

    width: float
    spacing: float
    fewest: int = 2

    def __post_init__(self) -> None:
        if not (0 < self.width < self.spacing and self.fewest >= 1):
            raise ValueError("bridges need 0 < width < spacing and at least one a contour")


def cut_bridges(contour: Contour, bridges: Bridges) -> tuple[Contour, ...]:
    """The contour as open pieces, in order from its start, with the bridges left uncut.

    Bridges lie evenly along the contour and are shifted off its corners where an edge is long
    enough. A contour too short for them, or an open one, stays as it is.
    """
    length = contour.length()
    count = max(bridges.fewest, math.ceil(length / bridges.spacing))
    if not contour.closed or length < 4 * count * bridges.width:
        return (contour,)
    edges = list(with_starts(closed_up(without_cubics(contour))))
    ends = [0.0]
    for start, segment in edges:
        ends.append(ends[-1] + segment_length(start, segment))
    total = ends[-1]
    # The knife enters at the contour's start, so the first gap is half a spacing away from it.
    middles = [_off_corner((n + 0.5) * total / count, ends, bridges.width) for n in range(count)]
    half = bridges.width / 2
    stops = [(middle - half, middle + half) for middle in middles]
    cuts = [
        (leave, stops[n + 1][0] if n + 1 < count else stops[0][0] + total)
        for n, (_, leave) in enumerate(stops)
    ]
    return tuple(_stretch(edges, ends, low, high) for low, high in cuts)


def _off_corner(at: float, ends: list[float], width: float) -> float:
    """The place nearest to ``at`` where the gap and its own width again fit inside an edge."""
    index = next(n for n in range(1, len(ends)) if at <= ends[n])
    low, high = ends[index - 1] + width, ends[index] - width
    return min(max(at, low), high) if low <= high else at


def _stretch(
    edges: list[tuple[Point, Segment]], ends: list[float], low: float, high: float
) -> Contour:
    """The open piece of a ring between two distances along it; ``high`` may pass the start."""
    pieces = list(_within(edges, ends, low, min(high, ends[-1])))
    if high > ends[-1]:
        pieces += _within(edges, ends, 0.0, high - ends[-1])
    return Contour(pieces[0][0], tuple(segment for _, segment in pieces), closed=False)


def _within(
    edges: list[tuple[Point, Segment]], ends: list[float], low: float, high: float
) -> Iterator[tuple[Point, Segment]]:
    for n, (start, segment) in enumerate(edges):
        begin, length = ends[n], ends[n + 1] - ends[n]
        if length > 0 and begin < high and ends[n + 1] > low:
            yield part(start, segment, (low - begin) / length, (high - begin) / length)
