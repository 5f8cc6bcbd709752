"""Contours made clean: explicitly closed, no crumbs, no slivers, nothing twice."""

from collections.abc import Iterable

from layouts.cutpath.arcs import without_cubics
from layouts.cutpath.pieces import (
    area,
    closed_up,
    distance_to,
    outline,
    point_at,
    segment_length,
    with_starts,
)
from layouts.geometry import Arc, Contour, Line, Point, Segment

CRUMB = 0.001  # mm; a segment shorter than this moves no knife
SLIVER = 0.1  # mm; what is thinner cannot be weeded and does not fall out
SAME = 0.005  # mm; contours closer than this are one cut (common practice, no source)


def tidied(contours: Iterable[Contour], sliver: float = SLIVER) -> tuple[Contour, ...]:
    """The contours without crumbs, slivers and duplicates; of equal ones the first stays.

    A closed contour ends where it starts, and its straight edges are whole. A sliver is a closed
    contour thinner on average than ``sliver`` (mm), or an open one shorter than that.
    """
    kept: list[Contour] = []
    seen: dict[tuple[int, int], list[Contour]] = {}
    for contour in map(_whole, contours):
        if _is_sliver(contour, sliver):
            continue
        # Only contours in the same place can be the same: a map of whole millimetres finds them.
        corner = contour.bounds()
        column, row = round(corner.x), round(corner.y)
        cells = [(column + dx, row + dy) for dx in (-1, 0, 1) for dy in (-1, 0, 1)]
        if not any(_same(contour, each) for cell in cells for each in seen.get(cell, ())):
            kept.append(contour)
            seen.setdefault((column, row), []).append(contour)
    return tuple(kept)


def _whole(contour: Contour) -> Contour:
    """Crumbs dropped, the closing line drawn, straight edges joined across their joints."""
    segments: list[Segment] = []
    at = contour.start
    for segment in contour.segments:
        if segment_length(at, segment) >= CRUMB:
            segments.append(segment)
            at = segment.end
    if contour.closed and segments and at.distance(contour.start) < CRUMB:
        segments[-1] = _ending(segments[-1], contour.start)
    whole = closed_up(Contour(contour.start, tuple(segments), contour.closed))
    return _straightened(whole)


def _ending(segment: Segment, end: Point) -> Segment:
    match segment:
        case Line():
            return Line(end)
        case Arc(_, bulge):
            return Arc(end, bulge)
        case _:
            return type(segment)(segment.control_1, segment.control_2, end)


def _straightened(contour: Contour) -> Contour:
    joined: list[tuple[Point, Segment]] = []
    for start, segment in with_starts(contour):
        if joined and _goes_on(*joined[-1], segment):
            joined[-1] = joined[-1][0], segment
        else:
            joined.append((start, segment))
    if contour.closed and len(joined) > 2 and _goes_on(*joined[-1], joined[0][1]):
        last, _ = joined.pop()
        joined[0] = last, joined[0][1]
    if not joined:
        return contour
    segments = tuple(segment for _, segment in joined)
    if contour.closed:
        segments = (*segments[:-1], _ending(segments[-1], joined[0][0]))
    return Contour(joined[0][0], segments, contour.closed)


def _goes_on(start: Point, before: Segment, after: Segment) -> bool:
    """Whether two segments are one straight line, the second straight on from the first."""
    if not (isinstance(before, Line) and isinstance(after, Line)):
        return False
    x1, y1 = before.end.x - start.x, before.end.y - start.y
    x2, y2 = after.end.x - start.x, after.end.y - start.y
    off = abs(x1 * y2 - y1 * x2) / max(start.distance(after.end), CRUMB)
    return off < CRUMB / 10 and x1 * (x2 - x1) + y1 * (y2 - y1) > 0


def _is_sliver(contour: Contour, sliver: float) -> bool:
    length = contour.length()
    if not contour.closed:
        return length < sliver
    # A long thin ring's mean width is twice its area over its length.
    return length == 0 or 2 * area(outline(contour)) / length < sliver


def _same(one: Contour, other: Contour) -> bool:
    """Whether a knife would go the same way twice, whatever the start and the direction."""
    a, b = one.bounds(), other.bounds()
    if max(abs(a.x - b.x), abs(a.y - b.y), abs(a.right - b.right), abs(a.bottom - b.bottom)) > SAME:
        return False
    if one.closed != other.closed or abs(one.length() - other.length()) > 4 * SAME:
        return False
    line = without_cubics(other)
    places = (
        point_at(start, segment, share)
        for start, segment in with_starts(without_cubics(one))
        for share in (0.0, 0.25, 0.5, 0.75)
    )
    return all(distance_to(line, place) <= SAME for place in places)
