"""Paths as polygons for plain plane geometry, worked out here and not by the code under test."""

from __future__ import annotations

import cmath
import math

import numpy as np
from numpy.typing import NDArray

from layouts.drawing import Arc, Contour, Cubic, Line, Path

Points = NDArray[np.float64]
_CHORDS = 32  # a curve: under 0.01 mm off for the shapes of a marker


def polygons(path: Path) -> list[Points]:
    """Each contour as a closed polygon, its first point not repeated."""
    return [_polygon(contour) for contour in path.contours]


def _polygon(contour: Contour) -> Points:
    at = complex(contour.start.x, contour.start.y)
    places = [at]
    shares = np.arange(1, _CHORDS + 1) / _CHORDS
    for segment in contour.segments:
        end = complex(segment.end.x, segment.end.y)
        match segment:
            case Line():
                places.append(end)
            case Cubic(one, two, _):
                c1, c2 = complex(one.x, one.y), complex(two.x, two.y)
                places += [
                    (1 - t) ** 3 * at
                    + 3 * t * (1 - t) ** 2 * c1
                    + 3 * t**2 * (1 - t) * c2
                    + t**3 * end
                    for t in shares
                ]
            case Arc(_, bulge):
                # DXF Reference, LWPOLYLINE: the bulge is the tangent of a quarter of the sweep.
                sweep = 4 * math.atan(bulge)
                middle = at + (end - at) / 2
                center = middle + (end - at) * 0.5j / math.tan(sweep / 2)
                places += [center + (at - center) * cmath.exp(1j * sweep * t) for t in shares]
        at = end
    if abs(places[-1] - places[0]) < 1e-9:
        places.pop()
    return np.array([(place.real, place.imag) for place in places])


def inside(point: tuple[float, float], polygon: Points) -> bool:
    """Whether a ray to the right crosses the polygon an odd number of times."""
    x, y = point
    x0, y0 = polygon[:, 0], polygon[:, 1]
    x1, y1 = np.roll(x0, -1), np.roll(y0, -1)
    crosses = (y0 > y) != (y1 > y)
    with np.errstate(divide="ignore", invalid="ignore"):
        at = x0 + (y - y0) / (y1 - y0) * (x1 - x0)
    return bool((crosses & (at > x)).sum() % 2)


def gap(one: Points, other: Points) -> float:
    """The least distance between two polygons that do not cross."""
    return min(
        float(to_edges(points, ring, np.roll(ring, -1, axis=0)).min())
        for points, ring in ((one, other), (other, one))
    )


def to_edges(points: Points, starts: Points, ends: Points) -> Points:
    """The distance of each point to the nearest of the edges, in blocks to spare memory."""
    way = ends - starts
    square = np.maximum((way**2).sum(axis=1), 1e-18)
    least: list[Points] = []
    for block in np.array_split(points, max(1, len(points) * len(starts) // 2_000_000)):
        ahead = block[:, None, :] - starts
        share = np.clip((ahead * way).sum(axis=2) / square, 0, 1)
        apart = ahead - share[..., None] * way
        least.append(np.hypot(apart[..., 0], apart[..., 1]).min(axis=1))
    return np.concatenate(least)
