"""Affine maps."""

from __future__ import annotations

import math
from dataclasses import dataclass

from layouts.drawing.plane import Point, Rect
from layouts.drawing.segments import Arc, Cubic, Line, Segment


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

    @property
    def is_upright(self) -> bool:
        """Whether the image of a box is a box: no turn but by quarters, no slant."""
        return self.b == self.c == 0 or self.a == self.d == 0

    @property
    def keeps_lengths(self) -> bool:
        """Whether it consists only of quarter turns, mirrors and shifts."""
        return self.is_upright and abs(self.a + self.c) == abs(self.b + self.d) == 1

    def rect(self, rect: Rect) -> Rect:
        """The box around the image of a box (exact for quarter turns)."""
        if self.b == self.c == 0 and self.a > 0 and self.d > 0:  # most maps only scale and move
            left, top = self.a * rect.x + self.e, self.d * rect.y + self.f
            right, low = self.a * rect.right + self.e, self.d * rect.bottom + self.f
            return Rect(left, top, right - left, low - top)
        corners = [self.point(Point(rect.x, rect.y)), self.point(Point(rect.right, rect.bottom))]
        if not self.is_upright:
            corners.append(self.point(Point(rect.x, rect.bottom)))
            corners.append(self.point(Point(rect.right, rect.y)))
        xs, ys = [corner.x for corner in corners], [corner.y for corner in corners]
        left, top = min(xs), min(ys)
        return Rect(left, top, max(xs) - left, max(ys) - top)

    def segment(self, segment: Segment) -> Segment:
        """The image of a segment; a mirror reverses an arc's bulge."""
        match segment:
            case Line(end):
                return Line(self.point(end))
            case Cubic(control_1, control_2, end):
                return Cubic(self.point(control_1), self.point(control_2), self.point(end))
            case Arc(end, bulge):
                return Arc(self.point(end), math.copysign(bulge, bulge * self.determinant))


IDENTITY = Affine()
