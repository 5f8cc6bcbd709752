"""Small tools on contours that the rest of this room shares."""

import math
from collections.abc import Iterator
from itertools import pairwise

from layouts.drawing import (
    IDENTITY,
    Affine,
    Arc,
    Contour,
    Cubic,
    Line,
    Point,
    Rect,
    Segment,
    arc_shape,
    cubic_at,
)
from layouts.terms.values import frozen


@frozen
class Form:
    """A contour with its properties independent of place; ``ring`` is a polygon close to it.

    ``area`` (mm²) and ``length`` (mm) are those of the polygon.
    """

    contour: Contour
    box: Rect
    ring: list[Point]
    area: float
    length: float

    @staticmethod
    def of(contour: Contour) -> "Form":
        """Work it out."""
        ring = outline(contour)
        return Form(contour, contour.bounds(), ring, area(ring), perimeter(ring, contour.closed))


@frozen
class Cut:
    """A form in its place; the map turns by quarters at most."""

    form: Form
    at: Affine
    box: Rect
    start: Point

    @staticmethod
    def of(form: Form, at: Affine) -> "Cut":
        """Work out where it lies."""
        return Cut(form, at, at.rect(form.box), at.point(form.contour.start))

    @property
    def contour(self) -> Contour:
        """The contour in its place."""
        return self.form.contour if self.at == IDENTITY else self.form.contour.mapped(self.at)

    @property
    def ring(self) -> list[Point]:
        """The polygon in its place."""
        return [self.at.point(point) for point in self.form.ring]


def origin_of(contour: Contour) -> tuple[Contour, Affine]:
    """What a contour is an image of, where the map keeps lengths; else the contour itself."""
    if contour.image_of is not None and contour.image_of[1].keeps_lengths:
        return contour.image_of
    return contour, IDENTITY


def with_starts(contour: Contour) -> Iterator[tuple[Point, Segment]]:
    """Each segment with the point it begins at."""
    at = contour.start
    for segment in contour.segments:
        yield at, segment
        at = segment.end


def closed_up(contour: Contour) -> Contour:
    """A closed contour with its closing line drawn; an open one as it is."""
    if not contour.closed or not contour.segments or contour.segments[-1].end == contour.start:
        return contour
    return Contour(contour.start, (*contour.segments, Line(contour.start)))


def segment_length(start: Point, segment: Segment) -> float:
    """The way along one segment, in mm."""
    return Contour(start, (segment,), closed=False).length()


def point_at(start: Point, segment: Segment, share: float) -> Point:
    """The place at a share (0 to 1) of a segment; of a cubic, at that parameter."""
    match segment:
        case Line(end):
            return Point(start.x + (end.x - start.x) * share, start.y + (end.y - start.y) * share)
        case Arc():
            return arc_shape(start, segment).at(share)
        case Cubic():
            return cubic_at(start, segment, share)


def part(start: Point, segment: Segment, low: float, high: float) -> tuple[Point, Segment]:
    """The piece of a line or arc between two shares, and where it begins.

    Raises:
        TypeError: the segment is a cubic; make arcs of it first.
    """
    if isinstance(segment, Cubic):
        raise TypeError("a cubic is not cut into parts")
    begin = start if low <= 0 else point_at(start, segment, low)
    end = segment.end if high >= 1 else point_at(start, segment, high)
    if isinstance(segment, Line):
        return begin, Line(end)
    sweep = 4 * math.atan(segment.bulge)
    return begin, Arc(end, math.tan(sweep * (min(high, 1) - max(low, 0)) / 4))


def reversed_contour(contour: Contour) -> Contour:
    """The same contour walked the other way, from its end."""
    back: list[Segment] = []
    for start, segment in with_starts(contour):
        match segment:
            case Line():
                back.append(Line(start))
            case Arc(_, bulge):
                back.append(Arc(start, -bulge))
            case Cubic(one, two, _):
                back.append(Cubic(two, one, start))
    end = contour.segments[-1].end if contour.segments else contour.start
    return Contour(end, tuple(reversed(back)), contour.closed)


def started_in(contour: Contour, index: int, share: float) -> Contour:
    """A closed contour entered inside its segment ``index`` (a line or an arc) instead."""
    starts = list(with_starts(contour))
    start, segment = starts[index]
    _, before = part(start, segment, 0, share)
    enter, after = part(start, segment, share, 1)
    others = [*contour.segments[index + 1 :], *contour.segments[:index]]
    return Contour(enter, (after, *others, before))


def outline(contour: Contour) -> list[Point]:
    """Corners of a polygon close to the contour: curves in steps of a sixteenth turn or so."""
    points = [contour.start]
    for start, segment in with_starts(contour):
        if isinstance(segment, Arc):
            shape = arc_shape(start, segment)
            steps = max(2, math.ceil(abs(shape.sweep) / (math.pi / 8)))
            points += [shape.at(step / steps) for step in range(1, steps)]
        elif isinstance(segment, Cubic):
            points += [cubic_at(start, segment, step / 8) for step in range(1, 8)]
        points.append(segment.end)
    return points


def area(ring: list[Point]) -> float:
    """The area of a polygon in mm², never negative."""
    return abs(math.fsum(a.x * b.y - b.x * a.y for a, b in pairwise([*ring, ring[0]]))) / 2


def perimeter(ring: list[Point], closed: bool) -> float:
    """The way along a polygon, back to its start where it is closed."""
    ends = pairwise([*ring, ring[0]] if closed else ring)
    return math.fsum(math.hypot(b.x - a.x, b.y - a.y) for a, b in ends)


def encloses(ring: list[Point], point: Point) -> bool:
    """Whether a point lies in a polygon, by the even-odd rule."""
    inside = False
    for a, b in pairwise([*ring, ring[0]]):
        if (a.y > point.y) != (b.y > point.y):
            cross = a.x + (point.y - a.y) * (b.x - a.x) / (b.y - a.y)
            inside ^= point.x < cross
    return inside


def distance_to(contour: Contour, point: Point) -> float:
    """The distance of a point from a contour of lines and arcs, in mm."""
    return min((_gap(start, each, point) for start, each in with_starts(contour)), default=math.inf)


def _gap(start: Point, segment: Segment, point: Point) -> float:
    ends = min(start.distance(point), segment.end.distance(point))
    match segment:
        case Line(end):
            dx, dy = end.x - start.x, end.y - start.y
            length = dx * dx + dy * dy
            if length == 0:
                return ends
            share = ((point.x - start.x) * dx + (point.y - start.y) * dy) / length
            return point_at(start, segment, share).distance(point) if 0 < share < 1 else ends
        case Arc():
            shape = arc_shape(start, segment)
            angle = math.atan2(point.y - shape.center.y, point.x - shape.center.x)
            ahead = math.copysign(1.0, shape.sweep) * (angle - shape.start_angle) % math.tau
            if ahead < abs(shape.sweep):
                return abs(shape.center.distance(point) - shape.radius)
            return ends
        case Cubic():
            raise TypeError("the distance from a cubic is not computed; make arcs of it first")
