"""Cleaned contours: explicitly closed, no crumbs, no slivers, no duplicates."""

from collections.abc import Iterable

from layouts.drawing import Arc, Contour, Line, Point, Segment
from layouts.drawing.memo import Kept
from layouts.pages.cuts.arcs import without_cubics
from layouts.pages.cuts.contour_pieces import (
    Cut,
    Form,
    closed_up,
    distance_to,
    origin_of,
    point_at,
    segment_length,
    with_starts,
)

CRUMB = 0.001  # mm; a segment shorter than this moves no knife
SLIVER = 0.1  # mm; what is thinner cannot be weeded and does not fall out
SAME = 0.005  # mm; contours closer than this are one cut (common practice, no source)


def tidy_contours(contours: Iterable[Contour], sliver: float = SLIVER) -> tuple[Contour, ...]:
    """The contours without crumbs, slivers and duplicates; of equal ones the first stays.

    A closed contour ends where it starts, and its straight edges are whole. A sliver is a closed
    contour thinner on average than ``sliver`` (mm), or an open one shorter than that.
    """
    return tuple(cut.contour for cut in tidied_cuts(contours, sliver, Forms()))


class Forms(Kept[Contour, Form | None]):
    """Contours made whole, each worked out once for all its images; None where nothing is left."""

    def __init__(self) -> None:
        super().__init__(_form)


def _form(contour: Contour) -> Form | None:
    whole = _whole(contour)
    return Form.of(whole) if whole.segments else None


def tidied_cuts(contours: Iterable[Contour], sliver: float, forms: Forms) -> list[Cut]:
    """The same with what was worked out on the way."""
    kept: list[Cut] = []
    seen: dict[tuple[int, int], list[Cut]] = {}
    for contour in contours:
        origin, at = origin_of(contour)
        form = forms.of(origin)
        if form is None or _is_sliver(form, sliver):
            continue
        cut = Cut.of(form, at)
        # Only contours in the same place can be the same: a map of whole millimeters finds them.
        x, y = cut.box.x, cut.box.y
        near = (
            seen.get((column, row), ())
            for column in {round(x - SAME), round(x + SAME)}
            for row in {round(y - SAME), round(y + SAME)}
        )
        if not any(_same(cut, each) for there in near for each in there):
            kept.append(cut)
            seen.setdefault((round(x), round(y)), []).append(cut)
    return kept


def _whole(contour: Contour) -> Contour:
    """Crumbs dropped, the closing line drawn, straight edges joined across their joints."""
    segments: list[Segment] = []
    at = contour.start
    for segment in contour.segments:
        if at.distance(segment.end) >= CRUMB or segment_length(at, segment) >= CRUMB:
            segments.append(segment)
            at = segment.end
    if contour.closed and segments and at.distance(contour.start) < CRUMB:
        segments[-1] = _ending(segments[-1], contour.start)
    whole = closed_up(Contour(contour.start, tuple(segments), contour.closed))
    return _straighten(whole)


def _ending(segment: Segment, end: Point) -> Segment:
    match segment:
        case Line():
            return Line(end)
        case Arc(_, bulge):
            return Arc(end, bulge)
        case _:
            return type(segment)(segment.control_1, segment.control_2, end)


def _straighten(contour: Contour) -> Contour:
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


def _is_sliver(form: Form, sliver: float) -> bool:
    if not form.contour.closed:
        return form.length < sliver
    # A long thin ring's mean width is twice its area over its length.
    return form.length == 0 or 2 * form.area / form.length < sliver


def _same(one: Cut, other: Cut) -> bool:
    """Whether a knife would go the same way twice, whatever the start and the direction."""
    a, b = one.box, other.box
    if max(abs(a.x - b.x), abs(a.y - b.y), abs(a.right - b.right), abs(a.bottom - b.bottom)) > SAME:
        return False
    first, second = without_cubics(one.contour), without_cubics(other.contour)
    if first.closed != second.closed or abs(first.length() - second.length()) > 4 * SAME:
        return False
    places = (
        point_at(start, segment, share)
        for start, segment in with_starts(first)
        for share in (0.0, 0.25, 0.5, 0.75)
    )
    return all(distance_to(second, place) <= SAME for place in places)
