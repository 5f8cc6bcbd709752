"""How a knife goes: contours made clean, merged, bridged, ordered and entered well.

Everything here takes contours and gives contours, in millimetres; curves stay curves.
"""

from layouts.cutpath.arcs import TOLERANCE, cubic_to_arcs, without_cubics

__all__ = ["TOLERANCE", "cubic_to_arcs", "without_cubics"]
