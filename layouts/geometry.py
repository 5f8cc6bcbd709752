"""Points, boxes, affine maps and paths, in millimetres, y down.

A path is a tuple of contours; a contour is a start point and segments of three kinds: straight
lines, cubic curves and circular arcs. Arcs stay arcs all the way to the cut file, because a
cutter follows an arc more smoothly than the pieces of one.

An arc is written with its *bulge*, the tangent of a quarter of the swept angle, as DXF does
(ezdxf documentation, "LWPolyline bulge value"). The sign is positive where the arc turns
clockwise as seen on the page (y down), that is from +x towards +y.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TypeAlias


@dataclass(frozen=True, slots=True)
class Point:
    """A place on the page."""

    x: float
    y: float

    def distance(self, other: Point) -> float:
        """Straight distance to another point."""
        return math.hypot(other.x - self.x, other.y - self.y)


@dataclass(frozen=True, slots=True)
class Size:
    """Width and height."""

    width: float
    height: float

    @property
    def area(self) -> float:
        """Square millimetres."""
        return self.width * self.height


@dataclass(frozen=True, slots=True)
class Rect:
    """A box by its top-left corner; width and height are never negative."""

    x: float
    y: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """The x of the right edge."""
        return self.x + self.width

    @property
    def bottom(self) -> float:
        """The y of the bottom edge."""
        return self.y + self.height

    @property
    def center(self) -> Point:
        """The middle of the box."""
        return Point(self.x + self.width / 2, self.y + self.height / 2)

    @property
    def size(self) -> Size:
        """The box without its place."""
        return Size(self.width, self.height)

    def grown(self, by: float) -> Rect:
        """The box with every edge moved outward by ``by`` (inward where negative)."""
        return Rect(self.x - by, self.y - by, self.width + 2 * by, self.height + 2 * by)

    def moved(self, dx: float, dy: float) -> Rect:
        """The box shifted."""
        return Rect(self.x + dx, self.y + dy, self.width, self.height)

    def contains(self, other: Rect, slack: float = 0.0) -> bool:
        """Whether the other box lies inside this one, give or take ``slack``."""
        return (
            other.x >= self.x - slack
            and other.y >= self.y - slack
            and other.right <= self.right + slack
            and other.bottom <= self.bottom + slack
        )

    def overlaps(self, other: Rect, slack: float = 0.0) -> bool:
        """Whether the boxes share an area deeper than ``slack``."""
        return (
            self.x < other.right - slack
            and other.x < self.right - slack
            and self.y < other.bottom - slack
            and other.y < self.bottom - slack
        )

    @staticmethod
    def around(boxes: Iterable[Rect]) -> Rect:
        """The smallest box that holds all given ones.

        Raises:
            ValueError: no box was given.
        """
        listed = list(boxes)
        if not listed:
            raise ValueError("a box around nothing has no place")
        left = min(box.x for box in listed)
        top = min(box.y for box in listed)
        return Rect(
            left,
            top,
            max(box.right for box in listed) - left,
            max(box.bottom for box in listed) - top,
        )


@dataclass(frozen=True, slots=True)
class Line:
    """A straight segment to ``end``."""

    end: Point


@dataclass(frozen=True, slots=True)
class Cubic:
    """A cubic Bezier segment to ``end``."""

    control_1: Point
    control_2: Point
    end: Point


@dataclass(frozen=True, slots=True)
class Arc:
    """A circular segment to ``end``; ``bulge`` is tan(sweep / 4), positive for clockwise."""

    end: Point
    bulge: float


Segment: TypeAlias = Line | Cubic | Arc


@dataclass(frozen=True, slots=True)
class Affine:
    """The map x' = a x + c y + e, y' = b x + d y + f (the order of PDF and SVG)."""

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    e: float = 0.0
    f: float = 0.0

    @staticmethod
    def move(dx: float, dy: float) -> Affine:
        """A shift."""
        return Affine(e=dx, f=dy)

    @staticmethod
    def scale(sx: float, sy: float | None = None) -> Affine:
        """A scaling about the origin; one number scales both ways alike."""
        return Affine(a=sx, d=sx if sy is None else sy)

    @staticmethod
    def quarter_turns(turns: int) -> Affine:
        """A rotation by ``turns`` quarters clockwise on the page, exact to the bit."""
        cos, sin = ((1, 0), (0, 1), (-1, 0), (0, -1))[turns % 4]
        return Affine(cos, sin, -sin, cos)

    def then(self, after: Affine) -> Affine:
        """This map first, ``after`` second."""
        return Affine(
            after.a * self.a + after.c * self.b,
            after.b * self.a + after.d * self.b,
            after.a * self.c + after.c * self.d,
            after.b * self.c + after.d * self.d,
            after.a * self.e + after.c * self.f + after.e,
            after.b * self.e + after.d * self.f + after.f,
        )

    @property
    def determinant(self) -> float:
        """Area factor; negative where the map mirrors."""
        return self.a * self.d - self.b * self.c

    def point(self, point: Point) -> Point:
        """The image of a point."""
        return Point(
            self.a * point.x + self.c * point.y + self.e,
            self.b * point.x + self.d * point.y + self.f,
        )

    def rect(self, rect: Rect) -> Rect:
        """The box around the image of a box (exact for quarter turns)."""
        corners = [
            self.point(Point(x, y)) for x in (rect.x, rect.right) for y in (rect.y, rect.bottom)
        ]
        left = min(corner.x for corner in corners)
        top = min(corner.y for corner in corners)
        return Rect(
            left,
            top,
            max(corner.x for corner in corners) - left,
            max(corner.y for corner in corners) - top,
        )

    def segment(self, segment: Segment) -> Segment:
        """The image of a segment; a mirror turns an arc's bulge round."""
        match segment:
            case Line(end):
                return Line(self.point(end))
            case Cubic(control_1, control_2, end):
                return Cubic(self.point(control_1), self.point(control_2), self.point(end))
            case Arc(end, bulge):
                return Arc(self.point(end), math.copysign(bulge, bulge * self.determinant))


IDENTITY = Affine()


@dataclass(frozen=True, slots=True)
class Contour:
    """One stroke of the pen: a start, segments, and whether it returns to its start.

    A closed contour whose last segment does not end at the start closes by a straight line.
    """

    start: Point
    segments: tuple[Segment, ...]
    closed: bool = True

    def mapped(self, by: Affine) -> Contour:
        """The contour's image."""
        return Contour(
            by.point(self.start), tuple(by.segment(each) for each in self.segments), self.closed
        )

    def backwards(self) -> Contour:
        """The same contour drawn the other way."""
        steps: list[tuple[Point, Segment]] = []
        at = self.start
        for segment in self.segments:
            steps.append((at, segment))
            at = segment.end
        if self.closed and at != self.start:
            steps.append((at, Line(self.start)))
            at = self.start
        segments: list[Segment] = []
        for start, segment in reversed(steps):
            match segment:
                case Line():
                    segments.append(Line(start))
                case Cubic(control_1, control_2, _):
                    segments.append(Cubic(control_2, control_1, start))
                case Arc(_, bulge):
                    segments.append(Arc(start, -bulge))
        return Contour(at, tuple(segments), self.closed)

    def points(self) -> Iterator[Point]:
        """The start and every segment's end, in order."""
        yield self.start
        for segment in self.segments:
            yield segment.end

    def bounds(self) -> Rect:
        """The exact box of the contour, curves included."""
        xs, ys = [self.start.x], [self.start.y]
        at = self.start
        for segment in self.segments:
            for point in _extremes(at, segment):
                xs.append(point.x)
                ys.append(point.y)
            at = segment.end
        left, top = min(xs), min(ys)
        return Rect(left, top, max(xs) - left, max(ys) - top)

    def length(self) -> float:
        """The way the pen goes; cubic curves in 16 chords (for travel and cutting estimates)."""
        total, at = 0.0, self.start
        for segment in self.segments:
            total += _segment_length(at, segment)
            at = segment.end
        return total + (at.distance(self.start) if self.closed else 0.0)


@dataclass(frozen=True, slots=True)
class Path:
    """Contours painted together, by the non-zero winding rule."""

    contours: tuple[Contour, ...]

    def mapped(self, by: Affine) -> Path:
        """The path's image."""
        return Path(tuple(contour.mapped(by) for contour in self.contours))

    def bounds(self) -> Rect:
        """The exact box of all contours.

        Raises:
            ValueError: the path is empty.
        """
        return Rect.around(contour.bounds() for contour in self.contours)

    def backwards(self) -> Path:
        """The path drawn the other way, so that it cuts a hole where it lies on another."""
        return Path(tuple(contour.backwards() for contour in self.contours))

    def joined(self, other: Path) -> Path:
        """Both paths as one."""
        return Path(self.contours + other.contours)


def rectangle(box: Rect, radius: float = 0.0) -> Path:
    """A box as a closed path, clockwise, with rounded corners where ``radius`` is above zero.

    The radius is limited to half the shorter side. The path starts in the middle of the top
    edge, away from the corners, so that a knife enters on a straight.
    """
    limit = min(radius, box.width / 2, box.height / 2)
    middle = Point(box.x + box.width / 2, box.y)
    if limit <= 0:
        corners = (
            Point(box.right, box.y),
            Point(box.right, box.bottom),
            Point(box.x, box.bottom),
            Point(box.x, box.y),
        )
        return Path((Contour(middle, (*map(Line, corners), Line(middle))),))
    bulge = math.tan(math.pi / 8)
    segments: list[Segment] = []
    corners_in_out = (
        (Point(box.right - limit, box.y), Point(box.right, box.y + limit)),
        (Point(box.right, box.bottom - limit), Point(box.right - limit, box.bottom)),
        (Point(box.x + limit, box.bottom), Point(box.x, box.bottom - limit)),
        (Point(box.x, box.y + limit), Point(box.x + limit, box.y)),
    )
    at = middle
    for enter, leave in corners_in_out:
        if at != enter:
            segments.append(Line(enter))
        segments.append(Arc(leave, bulge))
        at = leave
    if at != middle:
        segments.append(Line(middle))
    return Path((Contour(middle, tuple(segments)),))


def circle(center: Point, diameter: float) -> Path:
    """A circle of two half arcs, clockwise, starting at the top."""
    top = Point(center.x, center.y - diameter / 2)
    bottom = Point(center.x, center.y + diameter / 2)
    return Path((Contour(top, (Arc(bottom, 1.0), Arc(top, 1.0))),))


def polygon(points: Iterable[Point]) -> Path:
    """A closed path of straight lines through the points."""
    first, *rest = points
    return Path((Contour(first, tuple(Line(point) for point in rest)),))


def polyline(points: Iterable[Point]) -> Path:
    """An open path of straight lines through the points."""
    first, *rest = points
    return Path((Contour(first, tuple(Line(point) for point in rest), closed=False),))


@dataclass(frozen=True, slots=True)
class ArcShape:
    """An arc by its circle: ``start_angle`` and ``sweep`` in radians, clockwise on the page."""

    center: Point
    radius: float
    start_angle: float
    sweep: float

    def at(self, share: float) -> Point:
        """The point at a share (0 to 1) of the sweep."""
        angle = self.start_angle + self.sweep * share
        return Point(
            self.center.x + self.radius * math.cos(angle),
            self.center.y + self.radius * math.sin(angle),
        )


def arc_shape(start: Point, arc: Arc) -> ArcShape:
    """The circle of an arc segment that begins at ``start``."""
    sweep = 4 * math.atan(arc.bulge)
    chord = start.distance(arc.end)
    radius = chord / (2 * abs(math.sin(sweep / 2)))
    # The centre lies on the chord's perpendicular, on the side that the sweep turns to.
    offset = chord / 2 / math.tan(sweep / 2)
    ux, uy = (arc.end.x - start.x) / chord, (arc.end.y - start.y) / chord
    center = Point((start.x + arc.end.x) / 2 - uy * offset, (start.y + arc.end.y) / 2 + ux * offset)
    return ArcShape(center, radius, math.atan2(start.y - center.y, start.x - center.x), sweep)


def arc_to_cubics(start: Point, arc: Arc) -> tuple[Cubic, ...]:
    """An arc as cubic pieces of at most 45 degrees: off by under 5e-6 of the radius."""
    shape = arc_shape(start, arc)
    pieces = max(1, math.ceil(abs(shape.sweep) / (math.pi / 4) - 1e-9))
    step = shape.sweep / pieces
    reach = 4 / 3 * math.tan(step / 4) * shape.radius
    cubics: list[Cubic] = []
    for index in range(pieces):
        a0 = shape.start_angle + index * step
        a1 = a0 + step
        p0 = shape.at(index / pieces)
        p1 = arc.end if index == pieces - 1 else shape.at((index + 1) / pieces)
        cubics.append(
            Cubic(
                Point(p0.x - reach * math.sin(a0), p0.y + reach * math.cos(a0)),
                Point(p1.x + reach * math.sin(a1), p1.y - reach * math.cos(a1)),
                p1,
            )
        )
    return tuple(cubics)


def cubic_at(start: Point, cubic: Cubic, t: float) -> Point:
    """The point of a cubic at parameter ``t``."""
    u = 1 - t
    w0, w1, w2, w3 = u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t
    c1, c2, end = cubic.control_1, cubic.control_2, cubic.end
    return Point(
        w0 * start.x + w1 * c1.x + w2 * c2.x + w3 * end.x,
        w0 * start.y + w1 * c1.y + w2 * c2.y + w3 * end.y,
    )


def _extremes(start: Point, segment: Segment) -> Iterator[Point]:
    """Points of the segment that can touch its box."""
    yield segment.end
    match segment:
        case Cubic():
            for t in (
                *_turning(start.x, segment.control_1.x, segment.control_2.x, segment.end.x),
                *_turning(start.y, segment.control_1.y, segment.control_2.y, segment.end.y),
            ):
                yield cubic_at(start, segment, t)
        case Arc():
            shape = arc_shape(start, segment)
            for quarter in range(-4, 5):
                angle = quarter * math.pi / 2
                share = (angle - shape.start_angle) / shape.sweep
                turn = 2 * math.pi / abs(shape.sweep)
                for shifted in (share - turn, share, share + turn):
                    if 0 < shifted < 1:
                        yield shape.at(shifted)
        case Line():
            pass


def _turning(p0: float, p1: float, p2: float, p3: float) -> Iterator[float]:
    """Parameters in (0, 1) where one coordinate of a cubic turns."""
    a = -p0 + 3 * p1 - 3 * p2 + p3
    b = 2 * (p0 - 2 * p1 + p2)
    c = p1 - p0
    if abs(a) < 1e-12:
        roots = [-c / b] if abs(b) > 1e-12 else []
    else:
        inside = b * b - 4 * a * c
        root = math.sqrt(inside) if inside >= 0 else math.nan
        roots = [] if math.isnan(root) else [(-b + root) / (2 * a), (-b - root) / (2 * a)]
    return (t for t in roots if 0 < t < 1)


def _segment_length(start: Point, segment: Segment) -> float:
    match segment:
        case Line(end):
            return start.distance(end)
        case Arc():
            shape = arc_shape(start, segment)
            return shape.radius * abs(shape.sweep)
        case Cubic():
            total, at = 0.0, start
            for step in range(1, 17):
                point = cubic_at(start, segment, step / 16)
                total += at.distance(point)
                at = point
            return total
