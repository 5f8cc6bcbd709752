"""A design: everything that decides how one face looks. Equal designs share one face.

A design knows no pipe, no plant and no quantity; those stay in the plan that asked for it.
Sizes are millimetres; all of them are floors but ``letter_height``, which is exact, and the
two that were measured off a neighbor.
"""

from __future__ import annotations

from dataclasses import dataclass
from dataclasses import field as entry
from enum import StrEnum

from layouts.drawing.inks import Ink
from layouts.schemes.model import ElementKind
from layouts.terms.words import Backs, HoleAt, Kind, Outline


class Arrow(StrEnum):
    """An arrow as it lies on the face, legend upright."""

    RIGHT = "right"
    LEFT = "left"


@dataclass(frozen=True, slots=True)
class Element:
    """One part of a line of the face.

    ``field`` is set for bands alone; other parts stand on the face's own field. ``word`` is
    empty for an arrow.
    """

    kind: ElementKind
    word: str
    ink: Ink
    letter_height: float
    field: Ink | None = None
    min_width: float = 0.0
    arrow: Arrow | None = None


@dataclass(frozen=True, slots=True)
class Wrap:
    """A blank that goes round the pipe.

    ``turned_half`` is true on a horizontal pipe: the half of the lines that faces away is
    turned by 180 degrees and shows the opposite flow, so that it reads true from over there.
    """

    girth: float
    overlap: float
    lines: int
    turned_half: bool


@dataclass(frozen=True, slots=True)
class Plate:
    """A carrier larger than the face; its openings stand outside the face.

    Each ear has an upper and a lower opening: slots along the pipe, through which a strap goes
    round it, or round holes for the screws of a stand-off. A rivet goes through the middle of
    each ear where ``rivet_hole`` is a diameter. ``way`` tells what departs from practice.
    """

    border: float  # from the face's edge to the plate's
    slot_length: float  # along the pipe; 0 for round holes
    slot_width: float  # hole diameter where slot_length is 0
    ear: float  # extra plate at an end that holds the openings
    ears: int = 2  # a flag has one, at its left end
    middle: bool = entry(default=False, repr=False)  # openings halfway along too
    hole_edge: float | None = entry(default=None, repr=False)  # None: as wide as the opening
    rivet_hole: float = entry(default=0.0, repr=False)
    way: str = entry(default="", repr=False)

    @property
    def edge(self) -> float:
        """From the plate's upper or lower edge to the edge of an opening."""
        return self.slot_width if self.hole_edge is None else self.hole_edge


@dataclass(frozen=True, slots=True)
class Design:
    """What one face looks like."""

    kind: Kind
    scheme: str
    lines: tuple[tuple[Element, ...], ...]
    field: Ink
    letter_height: float
    marker_height: float
    length: float
    length_step: float
    corner_share: float
    fixed_height: bool = False  # measured off a neighbor: not grown
    fixed_length: bool = False
    keyline: Ink | None = None
    end_band: Element | None = None  # a band at the right end, as high as all lines together
    wrap: Wrap | None = None
    outline: Outline = Outline.RECTANGLE
    hole_diameter: float = 0.0  # a tag's own hole, above its words
    plate: Plate | None = None
    hole_edge: float = entry(default=0.0, repr=False)  # from the tag's edge to the hole's
    hole_at: HoleAt = entry(default=HoleAt.TOP, repr=False)
    backs: Backs = entry(default=Backs.SECOND_TAG, repr=False)
    way: str = entry(default="", repr=False)  # what the shop makes otherwise than by practice
    compact: bool = entry(default=False, repr=False)  # gaps at their least

    @property
    def id_text(self) -> str:
        """What an id is made of; a full face made by practice is named as it always was."""
        plate = self.plate.way if self.plate is not None else ""
        compact = "compact" if self.compact else ""
        middle = "middle" if self.plate is not None and self.plate.middle else ""
        return "|".join(text for text in (repr(self), self.way, plate, compact, middle) if text)

    @property
    def hole_strip(self) -> float:
        """The height at a tag's top that its hole takes, with a quarter of it free below."""
        return self.hole_edge + 1.25 * self.hole_diameter

    @property
    def words(self) -> str:
        """What is read on the face, left to right and top to bottom."""
        parts = [element for line in self.lines for element in line]
        if self.end_band is not None:
            parts.append(self.end_band)
        return " ".join(element.word for element in parts if element.word)
