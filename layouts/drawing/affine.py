"""Affine maps."""

from __future__ import annotations

import math

from layouts.drawing.plane import Point, Rect
from layouts.drawing.segments import Arc, Cubic, Line, Segment
from layouts.terms.values import frozen


@frozen
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
        if after.a == after.d == 1 and after.b == after.c == 0:
            # A shift: most maps are moved, and the factors stay the same objects.
            return Affine(self.a, self.b, self.c, self.d, self.e + after.e, self.f + after.f)
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
        if self.b == self.c == 0:
            return abs(self.a) == abs(self.d) == 1
        return self.a == self.d == 0 and abs(self.b) == abs(self.c) == 1

    def rect(self, rect: Rect) -> Rect:
        """The box around the image of a box (exact for quarter turns)."""
        a, b, c, d, e, f = self.a, self.b, self.c, self.d, self.e, self.f
        left, top = rect.x, rect.y
        right, bottom = left + rect.width, top + rect.height
        if b == c == 0:
            x, far_x = a * left + e, a * right + e
            y, far_y = d * top + f, d * bottom + f
            if a < 0:
                x, far_x = far_x, x
            if d < 0:
                y, far_y = far_y, y
            return Rect(x, y, far_x - x, far_y - y)
        xs = [a * x + c * y + e for x in (left, right) for y in (top, bottom)]
        ys = [b * x + d * y + f for x in (left, right) for y in (top, bottom)]
        x, y = min(xs), min(ys)
        return Rect(x, y, max(xs) - x, max(ys) - y)

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
