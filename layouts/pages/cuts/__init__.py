"""Knife paths: contours cleaned, merged, given good entry points, bridged and put in order.

Everything here takes contours and returns contours, in millimeters; curves stay curves.
``prepared_page`` does all of it for the cut layers of a page.
"""

from layouts.pages.cuts.arcs import TOLERANCE, cubic_to_arcs, without_cubics
from layouts.pages.cuts.bridges import Bridges, cut_bridges
from layouts.pages.cuts.cut_order import order_cuts, travel
from layouts.pages.cuts.entry import choose_entries
from layouts.pages.cuts.merge import merge_edges
from layouts.pages.cuts.prepare import CutOptions, Known, prepare_cuts, prepared_page, weeding_frame
from layouts.pages.cuts.tidy import tidy_contours

__all__ = [
    "TOLERANCE",
    "Bridges",
    "CutOptions",
    "Known",
    "choose_entries",
    "cubic_to_arcs",
    "cut_bridges",
    "merge_edges",
    "order_cuts",
    "prepare_cuts",
    "prepared_page",
    "tidy_contours",
    "travel",
    "weeding_frame",
    "without_cubics",
]
