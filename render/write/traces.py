"""What a file says of a contour: worked out once for all of its images in one turn."""

from __future__ import annotations

from collections.abc import Callable
from typing import Generic, TypeVar

from layouts.drawing import IDENTITY, Affine, Contour

T = TypeVar("T")


class Traces(Generic[T]):
    """Results for the contours that sheets repeat, each made once by ``make``."""

    def __init__(self, make: Callable[[Contour], T]) -> None:
        self._make = make
        self._made: dict[tuple[int, float, float, float, float], tuple[Contour, T]] = {}

    def of(self, contour: Contour) -> tuple[T, float, float]:
        """The result for a contour turned as it is, and its move right and down, in mm, from there.

        An image is not asked for its points.
        """
        image = contour.image_of
        if image is None:
            return self._make(contour), 0.0, 0.0
        first, at = image
        key = (id(first), at.a, at.b, at.c, at.d)
        known = self._made.get(key)
        if known is None:
            turn = Affine(at.a, at.b, at.c, at.d)
            turned = first if turn == IDENTITY else first.mapped(turn)
            # The contour is kept, so that its identity stays its own.
            known = self._made[key] = (first, self._make(turned))
        return known[1], at.e, at.f
