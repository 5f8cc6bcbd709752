"""How a knife goes: contours made clean, merged, entered well, bridged and put in order.

Everything here takes contours and gives contours, in millimetres; curves stay curves.
``prepared_page`` does all of it for the cut layers of a page.
"""

from layouts.cutpath.arcs import TOLERANCE, cubic_to_arcs, without_cubics
from layouts.cutpath.bridges import Bridges, bridged
from layouts.cutpath.entry import entered
from layouts.cutpath.merge import merged
from layouts.cutpath.order import ordered, travel
from layouts.cutpath.page import CutOptions, Known, prepared, prepared_page, weeding_frame
from layouts.cutpath.tidy import tidied

__all__ = [
    "TOLERANCE",
    "Bridges",
    "CutOptions",
    "Known",
    "bridged",
    "cubic_to_arcs",
    "entered",
    "merged",
    "ordered",
    "prepared",
    "prepared_page",
    "tidied",
    "travel",
    "weeding_frame",
    "without_cubics",
]
