"""Points, boxes, affine maps and paths, in millimeters, y down.

A path is a tuple of contours; a contour is a start point and segments of three kinds: straight
lines, cubic curves and circular arcs. Arcs stay arcs all the way to the cut file, because a
cutter follows an arc more smoothly than short line segments.

An arc is written with its *bulge*, the tangent of a quarter of the swept angle, as DXF does
(ezdxf documentation, "LWPolyline bulge value"). The sign is positive where the arc turns
clockwise as seen on the page (y down), that is, from +x toward +y.
"""

from layouts.drawing.affine import IDENTITY, Affine
from layouts.drawing.path import Contour, Path
from layouts.drawing.plane import Point, Rect, Size
from layouts.drawing.segments import (
    Arc,
    ArcShape,
    Cubic,
    Line,
    Segment,
    arc_shape,
    arc_to_cubics,
    cubic_at,
)
from layouts.drawing.shapes import circle, polygon, polyline, rectangle

__all__ = [
    "IDENTITY",
    "Affine",
    "Arc",
    "ArcShape",
    "Contour",
    "Cubic",
    "Line",
    "Path",
    "Point",
    "Rect",
    "Segment",
    "Size",
    "arc_shape",
    "arc_to_cubics",
    "circle",
    "cubic_at",
    "polygon",
    "polyline",
    "rectangle",
]
