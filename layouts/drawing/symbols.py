"""Shapes that are not letters: the flow arrow, and the marks that a cutter's camera looks for.

The arrow's proportions are our own, as shares of the letter height: a solid head as wide as the
letters are high, on a slender shaft that is longer than the head. They were chosen by blurring:
with a longer head or a thicker shaft an arrow and its mirror image soon look the same.
"""

from __future__ import annotations

from enum import StrEnum
from functools import lru_cache

from layouts.drawing import Affine, Path, Point, Rect, circle, polygon, rectangle

HEAD_WIDTH = 1.0
HEAD_LENGTH = 0.8
SHAFT_THICKNESS = 0.28
ARROW_LENGTH = 1.75


def arrow_path(letter_height: float, *, pointing_right: bool) -> Path:
    """The flow arrow beside letters of a height in mm: left edge at x = 0, foot at y = 0."""
    shaft, wing, neck = SHAFT_THICKNESS / 2, HEAD_WIDTH / 2, ARROW_LENGTH - HEAD_LENGTH
    corners: tuple[tuple[float, float], ...] = (
        (0.0, -shaft),
        (neck, -shaft),
        (neck, -wing),
        (ARROW_LENGTH, 0.0),
        (neck, wing),
        (neck, shaft),
        (0.0, shaft),
    )
    if not pointing_right:
        # Mirrored in reverse order, so that both arrows run clockwise.
        corners = tuple((ARROW_LENGTH - x, y) for x, y in reversed(corners))
    unit = polygon(Point(x, y - HEAD_WIDTH / 2) for x, y in corners)
    return unit.mapped(Affine.scale(letter_height))


class MarkShape(StrEnum):
    """The kinds of mark that a cutter's camera looks for."""

    DISC = "disc"
    SQUARE = "square"
    CROSS = "cross"


@lru_cache(maxsize=256)  # sheets of one size have them in the same places
def registration_mark(shape: MarkShape, center: Point, size: float) -> Path:
    """A registration mark ``size`` mm across, filled; a cross has bars a tenth as thick."""
    box = Rect(center.x - size / 2, center.y - size / 2, size, size)
    match shape:
        case MarkShape.DISC:
            return circle(center, size)
        case MarkShape.SQUARE:
            return rectangle(box)
        case MarkShape.CROSS:
            return _cross(center, size / 2, size / 20)


def _cross(center: Point, arm: float, half: float) -> Path:
    """A plus sign as one outline of twelve corners, clockwise from the top."""
    quarter = ((-half, -arm), (half, -arm), (half, -half))
    corners = [
        Affine.quarter_turns(turns).point(Point(x, y)) for turns in range(4) for x, y in quarter
    ]
    return polygon(Point(center.x + corner.x, center.y + corner.y) for corner in corners)
