"""Points, sizes and boxes."""

from __future__ import annotations

import math
from collections.abc import Iterable

from layouts.terms.values import frozen


@frozen
class Point:
    """A place on the page."""

    x: float
    y: float

    def distance(self, other: Point) -> float:
        """Straight distance to another point."""
        return math.hypot(other.x - self.x, other.y - self.y)


@frozen
class Size:
    """Width and height."""

    width: float
    height: float

    @property
    def area(self) -> float:
        """Square millimeters."""
        return self.width * self.height


@frozen
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
