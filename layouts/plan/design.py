"""A design: everything that decides how one face looks. Equal designs share one face.

A design does not include the pipe, plant or quantity; those stay in the plan that asked for it.
Sizes are millimeters. All of them are minimums except ``letter_height``, which is exact, and the
two that were measured off a neighbor.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from dataclasses import field as entry
from enum import StrEnum
from functools import lru_cache

from layouts.drawing.inks import Ink
from layouts.drawing.memo import Kept
from layouts.schemes.model import ElementKind
from layouts.terms.values import frozen
from layouts.terms.words import Backs, HoleAt, Kind, Outline


class Arrow(StrEnum):
    """An arrow as it lies on the face, legend upright."""

    RIGHT = "right"
    LEFT = "left"


@dataclass(frozen=True, slots=True, repr=False)
class Element:
    """One part of a line of the face.

    ``field`` is set only for bands; other parts are on the face's own field. ``word`` is
    empty for an arrow.
    """

    kind: ElementKind
    word: str
    ink: Ink
    letter_height: float
    field: Ink | None = None
    min_width: float = 0.0
    arrow: Arrow | None = None

    def __repr__(self) -> str:
        """All fields, as usual; ids of markers are made of it, so it is kept."""
        return _texts.of(self)


def _element_text(element: Element) -> str:
    values = (f"{each.name}={getattr(element, each.name)!r}" for each in fields(element))
    return f"Element({', '.join(values)})"


_texts = Kept(_element_text, 4096)


@lru_cache(maxsize=4096, typed=True)  # an id is made of the numbers as they are written
def legend_line(text: str, ink: Ink, letter_height: float) -> tuple[Element, ...]:
    """A line of words only; most tags differ in one of their lines and share the others."""
    return (Element(ElementKind.LEGEND, text, ink, letter_height),)


@frozen
class Wrap:
    """A blank that wraps around the pipe.

    ``turned_half`` is true on a horizontal pipe: the half of the lines that faces away is turned
    180 degrees and shows the opposite flow, so that it reads correctly from the far side.
    """

    girth: float
    overlap: float
    lines: int
    turned_half: bool


@frozen
class Plate:
    """A carrier larger than the face; its openings lie outside the face.

    Each ear has an upper and a lower opening: slots along the pipe, through which a strap goes
    around it, or round holes for the screws of a stand-off. A rivet goes through the middle of each
    ear if ``rivet_hole`` is a diameter. ``way`` says what departs from practice.
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


@frozen
class Design:
    """The appearance of one face."""

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
    way: str = entry(default="", repr=False)  # what the shop makes differently from practice
    compact: bool = entry(default=False, repr=False)  # gaps at their minimum

    @property
    def id_text(self) -> str:
        """The text an id is made from; a full face made by practice keeps the id it always had."""
        plate = self.plate.way if self.plate is not None else ""
        compact = "compact" if self.compact else ""
        middle = "middle" if self.plate is not None and self.plate.middle else ""
        text = _design_text(self)
        return "|".join(text for text in (text, self.way, plate, compact, middle) if text)

    @property
    def hole_strip(self) -> float:
        """The height that the hole takes at a tag's top, with a quarter of it clear below."""
        return self.hole_edge + 1.25 * self.hole_diameter

    @property
    def words(self) -> str:
        """The words on the face, left to right and top to bottom."""
        parts = [element for line in self.lines for element in line]
        if self.end_band is not None:
            parts.append(self.end_band)
        return " ".join(element.word for element in parts if element.word)


@lru_cache(maxsize=16)  # a face's id and its marker's are made one after the other
def _design_text(design: Design) -> str:
    return repr(design)
