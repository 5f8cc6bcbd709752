"""The closed vocabularies of a marker (state, level, flow, run, side) and of an order."""

from __future__ import annotations

from enum import StrEnum


class State(StrEnum):
    """Physical state of what is in the line."""

    LIQUID = "liquid"
    VAPOR = "vapor"
    BOTH = "both"


class Level(StrEnum):
    """Relative pressure, on either side of the scheme's cutoff."""

    HIGH = "high"
    LOW = "low"


class Flow(StrEnum):
    """Where the content goes, as the reader stands before the marker."""

    RIGHT = "right"
    LEFT = "left"
    UP = "up"
    DOWN = "down"
    REVERSING = "reversing"
    NONE = "none"

    @property
    def opposite(self) -> Flow:
        """The same flow seen from the other side of a horizontal pipe."""
        return {Flow.RIGHT: Flow.LEFT, Flow.LEFT: Flow.RIGHT}.get(self, self)


class Run(StrEnum):
    """How the pipe lies where the marker goes."""

    HORIZONTAL = "horizontal"
    VERTICAL = "vertical"


class Side(StrEnum):
    """From how many sides the line is read at each position."""

    ONE = "one"
    BOTH = "both"


class Kind(StrEnum):
    """What a marker is put on."""

    PIPE = "pipe"
    EQUIPMENT = "equipment"
    VALVE = "valve"


class Setting(StrEnum):
    """Where the marker lives."""

    INDOOR = "indoor"
    OUTDOOR = "outdoor"


class Together(StrEnum):
    """Which markers an order keeps together on its sheets."""

    NONE = "none"
    AREA = "area"


class LongParts(StrEnum):
    """What an order does with a film that is longer than its stock."""

    REFUSE = "refuse"
    SPLIT = "split"


class PartRole(StrEnum):
    """What a part of a marker is made of."""

    FILM = "film"
    PLATE = "plate"
    TAG = "tag"


class Outline(StrEnum):
    """Shape of the finished piece."""

    RECTANGLE = "rectangle"
    ROUND = "round"
