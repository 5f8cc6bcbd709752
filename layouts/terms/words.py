"""The closed vocabularies of a marker (state, level, flow, run, position) and of an order."""

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
    """Where the content goes, facing the marker."""

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


class FaceForm(StrEnum):
    """How much room the parts of a pipe marker's face take along the pipe."""

    FULL = "full"
    COMPACT = "compact"


class Kind(StrEnum):
    """What a marker is put on."""

    PIPE = "pipe"
    EQUIPMENT = "equipment"
    VALVE = "valve"


class Setting(StrEnum):
    """Where the marker lives."""

    INDOOR = "indoor"
    OUTDOOR = "outdoor"


class NormalPosition(StrEnum):
    """The normal position of a valve, in the words that its tag prints.

    Common practice on P&IDs and valve lists, no source: NO, NC, LO, LC, CSO and CSC are these.
    """

    NORMALLY_OPEN = "NORMALLY OPEN"
    NORMALLY_CLOSED = "NORMALLY CLOSED"
    LOCKED_OPEN = "LOCKED OPEN"
    LOCKED_CLOSED = "LOCKED CLOSED"
    CAR_SEALED_OPEN = "CAR-SEALED OPEN"
    CAR_SEALED_CLOSED = "CAR-SEALED CLOSED"
    THROTTLED = "THROTTLED"
    FRONT_SEATED = "FRONT-SEATED"
    BACK_SEATED = "BACK-SEATED"
    OPEN_TO_A = "OPEN TO A"
    OPEN_TO_B = "OPEN TO B"

    @property
    def phrase(self) -> str:
        """The words as running text has them: ``normally open``, ``open to A``."""
        if self in (NormalPosition.OPEN_TO_A, NormalPosition.OPEN_TO_B):
            return f"open to {self.value[-1]}"
        return self.value.lower()


class Together(StrEnum):
    """Which markers an order keeps together on its sheets."""

    NONE = "none"
    AREA = "area"


class LongParts(StrEnum):
    """What an order does with a film that is longer than its stock."""

    REFUSE = "refuse"
    SPLIT = "split"


class PieceId(StrEnum):
    """The identification that a piece carries besides its words."""

    NONE = "none"
    TEXT = "text"
    QR = "qr"
    BOTH = "both"


class PieceIdPer(StrEnum):
    """The scope of an id: every distinct face, or every piece at every position."""

    FACE = "face"
    POSITION = "position"


class PartRole(StrEnum):
    """What a part of a marker is made of."""

    FILM = "film"
    PLATE = "plate"
    TAG = "tag"


class Outline(StrEnum):
    """Shape of the finished piece."""

    RECTANGLE = "rectangle"
    ROUND = "round"


class HoleAt(StrEnum):
    """Where a tag has its holes: one in the middle of its top, or one in each top corner.

    A round tag has one hole in either case.
    """

    TOP = "top"
    CORNERS = "corners"


class Backs(StrEnum):
    """What a tag that reads from both sides is: two tags back to back, or one with two faces.

    For two faces the sheet is turned over its left or right edge (turn), or its top or bottom
    edge (tumble).
    """

    SECOND_TAG = "second tag"
    TURN = "turn"
    TUMBLE = "tumble"


class SignKind(StrEnum):
    """Signs beside the pipes: signs for a machinery room's door, a diamond, a placard."""

    REFRIGERANT = "refrigerant"
    RESTRICTED = "restricted-entry"
    ALARM = "alarm"
    STOP = "emergency-stop"
    DIAMOND = "nfpa-704"
    KING_VALVE = "king-valve"
