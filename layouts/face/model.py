"""A face and its parts: the finished layout of one distinct marker."""

from __future__ import annotations

from layouts.drawing import Path, Rect, Size
from layouts.drawing.document import Fill, Shape
from layouts.plan.build import Build
from layouts.plan.design import Design
from layouts.schemes.loader import load_practice
from layouts.terms.values import frozen
from layouts.terms.words import Backs, PartRole


@frozen
class Part:
    """One piece to be cut: its outline, its holes, and what is printed on it.

    ``art`` may reach beyond the outline by the bleed. A separate plate carries no print.
    ``engraving`` is the words of an engraved tag, which carries no print.
    ``white`` is what a white underprint covers, none on white film.
    ``top_of_pipe`` is the y of a wrap that goes on top of a horizontal pipe; a mark for it is drawn
    beside the piece, where it is cut away. ``id_shapes`` is how many shapes at the end of the art
    are the piece's id, which is not part of what the marker says. ``backs`` says whether the piece
    has the same art or engraving on its back, and how its sheet is turned over for it.
    """

    role: PartRole
    size: Size
    outline: Path
    holes: Path | None
    art: tuple[Shape, ...]
    bleed: float
    round: bool = False
    white: tuple[Fill, ...] = ()
    engraving: Path | None = None
    top_of_pipe: float | None = None
    id_shapes: int = 0
    backs: Backs = Backs.SECOND_TAG

    @property
    def look(self) -> tuple[Shape, ...]:
        """The art without the piece's id."""
        return self.art[: len(self.art) - self.id_shapes]

    @property
    def two_faced(self) -> bool:
        """Whether its back is made like its front."""
        return self.backs is not Backs.SECOND_TAG

    @property
    def box(self) -> Rect:
        """The trim box in the part's own coordinates."""
        return Rect(0.0, 0.0, self.size.width, self.size.height)


@frozen
class Measures:
    """The face as a ruler measures it, in mm; ``bands`` are the printed band widths."""

    length: float
    height: float
    letter_height: float
    band_letter_height: float
    bands: tuple[float, ...]
    content_length: float  # what the parts need before floor and step


@frozen
class Face:
    """One distinct face with its parts. ``words`` is its text."""

    id: str
    design: Design
    words: str
    measures: Measures
    parts: tuple[Part, ...]
    missing: tuple[str, ...]  # characters that the typeface lacks

    @property
    def printed(self) -> Part:
        """The part with the words: film or tag; a mounted marker has a plate beside it."""
        return next(part for part in self.parts if part.role is not PartRole.PLATE)


def part_text(part: Part, build: Build) -> str:
    """The material of one part: parts with equal texts may share a sheet."""
    match part.role:
        case PartRole.FILM:
            return build.film_text
        case PartRole.PLATE:
            return build.plate_material
        case PartRole.TAG:
            return ", ".join(
                text for text in (load_practice().tag.material, build.laminate) if text
            )
