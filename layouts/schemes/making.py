"""A shop's openings and tag backs where they differ from mounting practice."""

from __future__ import annotations

from dataclasses import field

from layouts.terms.values import frozen
from layouts.terms.words import Backs, HoleAt


@frozen
class TagMaking:
    """Tags, in mm: the hole's diameter, and from the tag's edge to the hole's; None by practice.

    ``thickness`` is that of their stock, as the shop writes it; empty by practice.
    """

    hole: float | None = None
    hole_edge: float | None = None
    hole_at: HoleAt = HoleAt.TOP
    backs: Backs = Backs.SECOND_TAG
    thickness: str = ""


@frozen
class PlateMaking:
    """Plates, in mm; None by practice, and the thickness of their stock as for tags.

    Slots take straps, screw holes the posts of a stand-off; ``hole_edge`` is from the plate's
    edge to theirs. ``rivet`` is the diameter of a rivet in the middle of each ear, 0 for none.
    """

    slot_length: float | None = None
    slot_width: float | None = None
    screw_hole: float | None = None
    hole_edge: float | None = None
    rivet: float = 0.0
    thickness: str = ""

    @property
    def rivet_hole(self) -> float:
        """The hole that a blind rivet takes: 0.1 mm larger (ISO 15977, from memory)."""
        return self.rivet + 0.1 if self.rivet else 0.0


@frozen
class Making:
    """Both, for a shop."""

    tags: TagMaking = field(default_factory=TagMaking)
    plates: PlateMaking = field(default_factory=PlateMaking)
