"""Edges that two neighbors share, cut once."""

from collections.abc import Iterator, Sequence

from layouts.drawing import Contour, Line, Point, Rect, Segment
from layouts.pages.cuts.contour_pieces import part, segment_length, with_starts
from layouts.pages.cuts.tidy import CRUMB, SAME
from layouts.terms.values import frozen


def merge_edges(contours: Sequence[Contour], tolerance: float = SAME) -> tuple[Contour, ...]:
    """The contours with straight stretches that lie on an earlier one's edge left out.

    The earlier contour stays whole; a later one that shares a stretch becomes open pieces, in
    its place in the order. ``tolerance`` (mm) is how far apart shared edges may lie.
    """
    earlier: list[tuple[Rect, list[_Edge]]] = []
    out: list[Contour] = []
    for contour in contours:
        box = contour.bounds().grown(tolerance)
        near = [edge for other, edges in earlier if other.overlaps(box) for edge in edges]
        out += _remains(contour, near, tolerance)
        edges = [
            _Edge(start, segment.end)
            for start, segment in with_starts(contour)
            if isinstance(segment, Line)
        ]
        earlier.append((box, edges))
    return tuple(out)


@frozen
class _Edge:
    start: Point
    end: Point

    def shared(self, start: Point, end: Point, tolerance: float) -> tuple[float, float] | None:
        """The stretch of the line from ``start`` to ``end``, in mm along it, that lies on this."""
        length = start.distance(end)
        ux, uy = (end.x - start.x) / length, (end.y - start.y) / length
        (s0, off0), (s1, off1) = (
            (
                (p.x - start.x) * ux + (p.y - start.y) * uy,
                (p.y - start.y) * ux - (p.x - start.x) * uy,
            )
            for p in (self.start, self.end)
        )
        low, high = max(0.0, min(s0, s1)), min(length, max(s0, s1))
        if high - low <= tolerance:
            return None
        slope = (off1 - off0) / (s1 - s0)
        off = max(abs(off0 + slope * (low - s0)), abs(off0 + slope * (high - s0)))
        return (low, high) if off <= tolerance else None


def _remains(contour: Contour, near: list[_Edge], tolerance: float) -> Iterator[Contour]:
    """What is left of a contour beside the edges; the contour itself where they share nothing."""
    runs: list[list[tuple[Point, Segment]]] = [[]]
    whole = True
    for start, segment in with_starts(contour):
        free = _free(start, segment, near, tolerance)
        for low, high in free:
            if low > 0:
                runs.append([])
            runs[-1].append(
                part(start, segment, low, high) if (low, high) != _ALL else (start, segment)
            )
            if high < 1:
                runs.append([])
        if not free:
            runs.append([])
        whole &= free == [_ALL]
    if whole:
        yield contour
        return
    # A ring's last run goes on in its first.
    if contour.closed and runs[0] and runs[-1]:
        runs[0] = runs.pop() + runs[0]
    for run in filter(None, runs):
        yield Contour(run[0][0], tuple(segment for _, segment in run), closed=False)


_ALL = (0.0, 1.0)


def _free(
    start: Point, segment: Segment, near: list[_Edge], tolerance: float
) -> list[tuple[float, float]]:
    """Shares of the segment that lie on no edge; rests too short to cut are given up."""
    length = segment_length(start, segment)
    if not isinstance(segment, Line) or length < CRUMB:
        return [_ALL]
    taken = sorted(filter(None, (each.shared(start, segment.end, tolerance) for each in near)))
    free: list[tuple[float, float]] = []
    at = 0.0
    for low, high in taken:
        if low - at > tolerance:
            free.append((at / length, low / length))
        at = max(at, high)
    if length - at > tolerance:
        free.append((at / length, 1.0))
    return free
