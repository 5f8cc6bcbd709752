"""How a knife goes: contours made clean, merged, entered well, bridged and put in order.

Everything here takes contours and gives contours, in millimetres; curves stay curves.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from layouts.cutpath.arcs import TOLERANCE, cubic_to_arcs, without_cubics
from layouts.cutpath.bridges import Bridges, bridged
from layouts.cutpath.entry import entered
from layouts.cutpath.merge import merged
from layouts.cutpath.order import HOME, ordered, travel
from layouts.cutpath.tidy import SLIVER, tidied
from layouts.geometry import Contour, Path, Point, Rect, rectangle

__all__ = [
    "TOLERANCE",
    "Bridges",
    "CutOptions",
    "bridged",
    "cubic_to_arcs",
    "entered",
    "merged",
    "ordered",
    "prepared",
    "tidied",
    "travel",
    "weeding_frame",
    "without_cubics",
]


@dataclass(frozen=True, slots=True)
class CutOptions:
    """What the shop's machine asks for.

    ``home`` is where the knife rests, ``sliver`` (mm) what is too thin to cut; ``merge`` cuts an
    edge that two neighbors share once, and ``bridges`` leaves gaps in through cuts.
    """

    home: Point = HOME
    sliver: float = SLIVER
    merge: bool = False
    bridges: Bridges | None = None


def prepared(contours: Iterable[Contour], options: CutOptions | None = None) -> tuple[Contour, ...]:
    """One step's contours of a page, as they are to be cut, in cutting order.

    Inside comes before outside, closed contours are entered off their corners, and nothing is
    cut twice. Merged or bridged contours become open pieces; all others stay closed.
    """
    wanted = options or CutOptions()
    cuts = ordered(tidied(contours, wanted.sliver), wanted.home)
    if wanted.merge:
        cuts = merged(cuts)
    cuts = entered(cuts, wanted.home)
    if wanted.bridges:
        cuts = tuple(piece for each in cuts for piece in bridged(each, wanted.bridges))
    return cuts


def weeding_frame(contours: Iterable[Contour], margin: float, radius: float = 0.0) -> Path:
    """A kiss cut around a group, ``margin`` mm outside it, so that the waste lifts in one piece.

    Raises:
        ValueError: there are no contours to go round.
    """
    return rectangle(Rect.around(each.bounds() for each in contours).grown(margin), radius)
