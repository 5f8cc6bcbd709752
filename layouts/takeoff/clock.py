"""The clock position of the legend on the pipe, and the distance to its reader.

A legend faces its reader: below the horizontal center line of a pipe overhead, above that of a
low one (ASME A13.1 visibility clause, from memory). The angle is derived: on a pipe ``H`` above
the eye and ``x`` away the middle of the legend is turned down by ``atan(H / x)``.
"""

from __future__ import annotations

import math

from layouts.schemes.spacing import EyeHeight
from layouts.takeoff.run import PipeRun
from layouts.terms.values import frozen
from layouts.terms.words import Run

_LEVEL = 2.5  # degrees; finer than anyone can lay out on a pipe


@frozen
class ClockPosition:
    """The clock position of a legend's middle on a horizontal pipe.

    ``degrees`` below the horizontal center line, negative above it. ``clock`` is the hour as
    seen along the pipe with the reader on the right: 3 o'clock faces straight at the reader.
    """

    degrees: float
    clock: str

    @property
    def words(self) -> str:
        """The position in a sentence."""
        seen = f"{self.clock}, viewed along the pipe with the reader on the right"
        if abs(self.degrees) < _LEVEL:
            return f"centered at {seen} (on the horizontal center line)"
        where = "below" if self.degrees > 0 else "above"
        turned = f"{abs(self.degrees):.0f} degrees {where} the horizontal center line"
        return f"centered at {seen} ({turned})"


def clock_position(height_above_eye: float, horizontal_distance: float) -> ClockPosition:
    """The clock position at which a horizontal pipe's legend faces a reader.

    ``height_above_eye`` is negative for a pipe below the eye; ``horizontal_distance`` runs along
    the floor from the reader to the pipe and is zero right under it. Any one unit of length.

    Raises:
        ValueError: the distance is negative, or eye and pipe are at the same point.
    """
    if horizontal_distance < 0 or (horizontal_distance == 0 and height_above_eye == 0):
        raise ValueError(
            "the reader cannot be at the pipe or behind it; give the distance along the floor"
        )
    degrees = math.degrees(math.atan2(height_above_eye, horizontal_distance))
    return ClockPosition(degrees, _clock(degrees))


def _clock(degrees: float) -> str:
    """The nearest half hour; 30 degrees are an hour."""
    hour, half = divmod(math.floor((3 + degrees / 30) * 2 + 0.5), 2)
    hour = hour or 12
    return f"{hour}:30" if half else f"{hour} o'clock"


@frozen
class Sight:
    """How a run is seen from the floor: the straight distance, and the clock position.

    ``clock`` is None on a riser, which has no center line to turn from.
    """

    distance: float
    clock: ClockPosition | None


def sight_of(run: PipeRun, eye: EyeHeight) -> Sight | None:
    """How the run is seen; None if its height or the reader's distance is not known."""
    if run.height is None or run.distance is None:
        return None
    if run.lie is Run.VERTICAL:
        return Sight(run.distance, None)
    above = run.height - eye.height
    if run.distance == 0 and above == 0:
        return None
    return Sight(math.hypot(above, run.distance), clock_position(above, run.distance))
