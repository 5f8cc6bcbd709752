"""How a knife goes: contours made clean, merged, entered well, bridged and put in order.

Everything here takes contours and gives contours, in millimetres; curves stay curves.
``prepared_page`` does all of it for the cut layers of a page.
"""

from layouts.pages.cuts.arcs import TOLERANCE, cubic_to_arcs, without_cubics
from layouts.pages.cuts.bridges import Bridges, bridged
from layouts.pages.cuts.cut_order import ordered, travel
from layouts.pages.cuts.entry import entered
from layouts.pages.cuts.merge import merged
from layouts.pages.cuts.prepare import CutOptions, Known, prepared, prepared_page, weeding_frame
from layouts.pages.cuts.tidy import tidied

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
