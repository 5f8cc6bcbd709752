"""Contours and paths."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TypeAlias

from layouts.drawing.affine import IDENTITY, Affine
from layouts.drawing.plane import Point, Rect
from layouts.drawing.segments import (
    Arc,
    Cubic,
    Line,
    Segment,
    extremes,
    segment_length,
    swept_area,
)


class Contour:
    """One stroke of the pen: a start, segments, and whether it returns to its start.

    A closed contour whose last segment does not end at the start closes by a straight line. An
    image knows what it is an image of: a sheet repeats few contours often, and what holds for
    the first one is worked out once. The segments of an image are mapped when somebody asks for
    them, which few do. Frozen by convention; contours with equal points are equal.
    """

    __slots__ = ("_box", "_by", "_image", "_length", "_segments", "_source", "closed", "start")

    def __init__(self, start: Point, segments: tuple[Segment, ...], closed: bool = True) -> None:
        self.start = start
        self.closed = closed
        self._segments: tuple[Segment, ...] | None = segments
        self._source: Contour | None = None
        self._by = IDENTITY
        self._image: tuple[Contour, Affine] | None = None
        self._box: Rect | None = None
        self._length: float | None = None

    @property
    def segments(self) -> tuple[Segment, ...]:
        """The lines, curves and arcs in their place."""
        segments = self._segments
        if segments is None:
            assert self._source is not None
            segment = self._by.segment
            segments = self._segments = tuple([segment(each) for each in self._source.segments])
        return segments

    @property
    def image_of(self) -> tuple[Contour, Affine] | None:
        """The contour that was drawn first and the map from it; None for that one itself."""
        if self._image is None and self._source is not None:
            first = self._source.image_of
            known = (
                (self._source, self._by) if first is None else (first[0], first[1].then(self._by))
            )
            self._image = known
        return self._image

    def mapped(self, by: Affine) -> Contour:
        """The contour's image."""
        image = Contour(by.point(self.start), (), self.closed)
        image._segments, image._source, image._by = None, self, by
        return image

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Contour):
            return NotImplemented
        return self is other or (
            (self.start, self.closed) == (other.start, other.closed)
            and self.segments == other.segments
        )

    def __hash__(self) -> int:
        return hash((self.start, self.segments, self.closed))

    def __repr__(self) -> str:
        return f"Contour({self.start!r}, {self.segments!r}, {self.closed!r})"

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
        if self._box is None:
            image = self.image_of
            if image is not None and image[1].is_upright:
                first, at = image
                self._box = at.rect(first.bounds())
            else:
                self._box = self._bounds()
        return self._box

    def _bounds(self) -> Rect:
        xs, ys = [self.start.x], [self.start.y]
        at = self.start
        for segment in self.segments:
            if isinstance(segment, Line):
                xs.append(segment.end.x)
                ys.append(segment.end.y)
            else:
                for point in extremes(at, segment):
                    xs.append(point.x)
                    ys.append(point.y)
            at = segment.end
        left, top = min(xs), min(ys)
        return Rect(left, top, max(xs) - left, max(ys) - top)

    def area(self) -> float:
        """Signed area within the contour, clockwise positive, curves included."""
        total, at = 0.0, self.start
        for segment in self.segments:
            total += swept_area(at, segment)
            at = segment.end
        return total + (at.x * self.start.y - at.y * self.start.x) / 2

    def length(self) -> float:
        """The way the pen goes; cubic curves in 16 chords (for travel and cutting estimates)."""
        if self._length is None:
            image = self.image_of
            if image is not None and image[1].keeps_lengths:
                self._length = image[0].length()
            else:
                self._length = self._measured()
        return self._length

    def _measured(self) -> float:
        total, at = 0.0, self.start
        for segment in self.segments:
            total += segment_length(at, segment)
            at = segment.end
        return total + (at.distance(self.start) if self.closed else 0.0)


class Path:
    """Contours painted together, by the non-zero winding rule.

    A plain path holds its contours. Lettering holds a `Row` of glyphs, drawn once, or ``parts``:
    paths (as a rule one row) with the map that brings each to its place. So what holds for a glyph
    or a row is worked out once, and points are mapped only when ``contours`` is used. Parts do not
    overlap. Frozen by convention; paths with equal contours are equal.
    """

    __slots__ = ("_area", "_box", "_contours", "_parts", "_row")

    def __init__(self, contours: tuple[Contour, ...]) -> None:
        self._parts: tuple[tuple[Path, Affine], ...] = ()
        self._row: Row = ()
        self._contours: tuple[Contour, ...] | None = contours
        self._box: Rect | None = None
        self._area: float | None = None

    @staticmethod
    def of(parts: tuple[tuple[Path, Affine], ...]) -> Path:
        """A path of other paths, each at its place."""
        path = Path(())
        if parts:
            path._parts, path._contours = parts, None
        return path

    @staticmethod
    def of_row(row: Row) -> Path:
        """A path of plain paths that stand on one baseline."""
        path = Path(())
        if row:
            path._row, path._contours = row, None
        return path

    @property
    def is_plain(self) -> bool:
        """Whether it holds its contours, and is no lettering."""
        return self._contours is not None

    @property
    def is_empty(self) -> bool:
        """Whether there is no contour."""
        if self._contours is not None:
            return not self._contours
        return all(path.is_empty for path, _ in self._row or self._parts)

    @property
    def parts(self) -> tuple[tuple[Path, Affine], ...]:
        """The paths that lettering is made of, each with the map to its place."""
        return self._parts or tuple([(path, Affine.move(x, 0.0)) for path, x in self._row])

    @property
    def contours(self) -> tuple[Contour, ...]:
        """Every contour in its place; those of lettering are made at each call."""
        if self._contours is None:
            return tuple(
                [each.mapped(at) for path, at in self.outlines() for each in path.contours]
            )
        return self._contours

    @property
    def count(self) -> int:
        """How many contours there are, none of them made."""
        if self._contours is None:
            return sum(path.count for path, _ in self._row or self._parts)
        return len(self._contours)

    def rows(self) -> list[tuple[Row, Affine]]:
        """The rows of plain paths that it is made of, in order, each with the map to its place."""
        if self._contours is not None:
            return [(((self, 0.0),), IDENTITY)]
        if self._row:
            return [(self._row, IDENTITY)]
        return [
            (row, at if within is IDENTITY else within.then(at))
            for path, at in self._parts
            for row, within in path.rows()
        ]

    def outlines(self) -> list[tuple[Path, Affine]]:
        """The plain paths that it is made of, in order, each with the map to its place."""
        return [(path, Affine.move(x, 0.0).then(at)) for row, at in self.rows() for path, x in row]

    def mapped(self, by: Affine) -> Path:
        """The path's image."""
        if self._contours is not None:
            return Path(tuple([contour.mapped(by) for contour in self._contours]))
        if len(self._parts) == 1:
            ((path, at),) = self._parts
            return Path.of(((path, at.then(by)),))
        return Path.of(((self, by),))

    def bounds(self) -> Rect:
        """The exact box of all contours.

        Raises:
            ValueError: the path is empty.
        """
        if self._box is None and self._row:
            self._box = _row_box(self._row)
        elif self._box is None:
            parts = self.parts
            if all(at.is_upright for _, at in parts):
                boxes = [at.rect(path.bounds()) for path, at in parts]
                self._box = Rect.around(boxes or [each.bounds() for each in self.contours])
            else:
                self._box = Rect.around(each.bounds() for each in self.contours)
        return self._box

    def area(self) -> float:
        """Signed area within all contours, clockwise positive, curves included."""
        if self._area is None:
            if self._row:
                self._area = math.fsum(path.area() for path, _ in self._row)
            elif self._parts:
                self._area = math.fsum(path.area() * at.determinant for path, at in self._parts)
            else:
                self._area = math.fsum(contour.area() for contour in self.contours)
        return self._area

    def backwards(self) -> Path:
        """The path drawn the other way, so that it cuts a hole where it lies on another."""
        return Path(tuple(contour.backwards() for contour in self.contours))

    def joined(self, other: Path) -> Path:
        """Both paths as one."""
        return Path(self.contours + other.contours)

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Path):
            return NotImplemented
        if self._contours is None and self.parts == other.parts:
            return True
        return self is other or self.contours == other.contours

    def __hash__(self) -> int:
        return hash(self.contours)

    def __repr__(self) -> str:
        return f"Path({self.contours!r})"


def _row_box(row: Row) -> Rect:
    """The box around plain paths on one baseline; sums are those of moving each box."""
    left, top, right, bottom = math.inf, math.inf, -math.inf, -math.inf
    for path, dx in row:
        box = path.bounds()
        x, y = box.x + dx, box.y
        left, right = min(left, x), max(right, x + (box.right + dx - x))
        top, bottom = min(top, y), max(bottom, y + (box.bottom - y))
    return Rect(left, top, right - left, bottom - top)


Row: TypeAlias = tuple[tuple[Path, float], ...]
"""Plain paths on one baseline, each with its x."""
