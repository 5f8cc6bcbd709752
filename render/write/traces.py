"""The text of a contour with gaps for its places: one for all of its images in one turn."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple, TypeAlias

from layouts.drawing import Affine, Contour


class Trace(NamedTuple):
    """``text`` has a gap ``%s`` for each coordinate of ``points``, which are in mm."""

    text: str
    points: tuple[tuple[float, float], ...]


Moved: TypeAlias = tuple[Trace, float, float]
"""A trace, and how far it is moved to the right and down, mm."""


class Traces:
    """Traces of the contours that sheets repeat, each made once."""

    def __init__(self, make: Callable[[Contour], Trace]) -> None:
        self._make = make
        self._made: dict[tuple[int, float, float, float, float], tuple[Contour, Trace]] = {}

    def of(self, contour: Contour) -> Moved:
        """The trace of a contour; an image is not asked for its points."""
        image = contour.image_of
        if image is None:
            return self._make(contour), 0.0, 0.0
        first, at = image
        key = (id(first), at.a, at.b, at.c, at.d)
        known = self._made.get(key)
        if known is None:
            turned = first.mapped(Affine(at.a, at.b, at.c, at.d))
            # The contour is kept, so that its identity stays its own.
            known = self._made[key] = (first, self._make(turned))
        return known[1], at.e, at.f
