"""Contours as read from a file: polylines so fine that they stand for the curves.

Nothing here or in the readers beside it comes from the writers or from `layouts.drawing`.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FINE = 1e-4  # mm, how far a chord may be off its curve
Points = NDArray[np.float64]


@dataclass(frozen=True)
class ReadContour:
    """Places in mm, page coordinates (y down), and whether the pen returns to its start."""

    points: Points
    closed: bool

    @property
    def ring(self) -> Points:
        return np.vstack([self.points, self.points[:1]]) if self.closed else self.points


def sampled(curve: Callable[[Points], Points], length: float, radius: float) -> Points:
    """A curve over (0, 1] as points, close enough for a bend of the given radius."""
    step = (8 * max(radius, 1e-3) * FINE) ** 0.5
    count = max(2, int(np.ceil(length / step)))
    return curve(np.arange(1, count + 1) / count)


def arc_points(center: complex, start: complex, sweep: float) -> Points:
    """Points along a circle from ``start``, ``sweep`` radians from +x towards +y."""
    radius = abs(start - center)

    def curve(t: Points) -> Points:
        z = center + (start - center) * np.exp(1j * sweep * t)
        return np.column_stack([z.real, z.imag])

    return sampled(curve, radius * abs(sweep), radius)


def cubic_points(controls: Points) -> Points:
    def curve(t: Points) -> Points:
        t = t[:, None]
        p0, p1, p2, p3 = controls
        near: Points = (1 - t) ** 3 * p0 + 3 * (1 - t) ** 2 * t * p1
        far: Points = 3 * (1 - t) * t**2 * p2 + t**3 * p3
        return near + far

    legs = np.linalg.norm(np.diff(controls, axis=0), axis=1)
    return sampled(curve, float(legs.sum()), float(legs.sum()) / 8)


def furthest(one: ReadContour, other: ReadContour) -> float:
    """Hausdorff distance of two contours, in mm."""
    return max(_one_way(one.points, other.ring), _one_way(other.points, one.ring))


def _one_way(points: Points, line: Points) -> float:
    """The furthest that a point lies off the line; from 1 mm on only that it is so far."""
    worst = 0.0
    low, high = np.minimum(line[:-1], line[1:]) - 1, np.maximum(line[:-1], line[1:]) + 1
    for block in np.array_split(points, max(1, len(points) // 64)):
        near = ((low <= block.max(axis=0)) & (high >= block.min(axis=0))).all(axis=1)
        if not near.any():
            return float("inf")
        a, ab = line[:-1][near], (line[1:] - line[:-1])[near]
        squares = np.maximum((ab**2).sum(axis=1), 1e-18)
        ap = block[:, None, :] - a[None]
        t = np.clip((ap * ab[None]).sum(axis=2) / squares, 0, 1)
        gaps = np.linalg.norm(ap - t[..., None] * ab[None], axis=2).min(axis=1)
        worst = max(worst, float(gaps.max()))
    return worst


def disagreement(ones: list[ReadContour], others: list[ReadContour]) -> float:
    """The largest distance between two lists of contours taken in order; infinite where the
    lists differ in length or a contour is closed in one alone."""
    if len(ones) != len(others):
        return float("inf")
    pairs = list(zip(ones, others, strict=True))
    if any(one.closed != other.closed for one, other in pairs):
        return float("inf")
    return max((furthest(one, other) for one, other in pairs), default=0.0)
