"""One position of an installation pack in words: what it is, where, and how it is put up."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from layouts.markers.gather import Marker, Placing
from layouts.order.order import PipeMarker, Specification, ValveTag
from layouts.plan.build import Mount
from layouts.plan.design import Arrow
from layouts.schemes.loader import eye_height
from layouts.sheets.long_film import Joint
from layouts.takeoff import Sight, clock_position
from layouts.terms.units import feet, inches
from layouts.terms.words import Flow, Kind, Run

_TO_TRACE = "________"


@dataclass(frozen=True, slots=True)
class Spot:
    """A position with all that is said of it."""

    number: int
    marker: Marker
    placing: Placing
    method: str
    joint: Joint | None = None

    @property
    def spec(self) -> Specification:
        """What asked for it."""
        return self.placing.spec

    @property
    def name(self) -> str:
        """The marker's name with its hand."""
        plan = self.marker.plan
        return f"{plan.name}, {plan.hand}" if plan.hand else plan.name

    @property
    def line(self) -> str:
        """The line and its drawing."""
        position = self.placing.position
        line = f"line {position.line}" if position.line else ""
        drawing = f"P&ID {position.drawing}" if position.drawing else ""
        return ", ".join(part for part in (line, drawing) if part)

    @property
    def ends(self) -> str:
        """Where the line comes from and goes to; left to be written in where nobody gave it."""
        position = self.placing.position
        if self.marker.plan.kind is Kind.PIPE:
            return f"from {position.from_ or _TO_TRACE} to {position.to or _TO_TRACE}"
        return " to ".join(part for part in (position.from_, position.to) if part)

    @property
    def location(self) -> str:
        """Where it is by the list."""
        return self.placing.position.location

    @property
    def beside(self) -> tuple[str, str, str]:
        """Its ends, its spot on its run, and what the list notes; each may be empty."""
        position = self.placing.position
        return self.ends, position.spot, position.note

    @property
    def own(self) -> str:
        """What is of this position alone: location, spot and note."""
        _, *rest = self.beside
        return "; ".join(part for part in (self.location, *rest) if part)

    @property
    def mount(self) -> str:
        """The method's letter and name."""
        return f"{self.method}: {self.placing.plan.build.mount}"


def warnings(spot: Spot) -> Iterator[str]:
    """What a crew must not overlook at the position."""
    if spot.spec.environment.food_zone:
        yield "FOOD ZONE: nothing loose; count straps, cut ends, liners and tools in and out"
    if isinstance(spot.spec, ValveTag) and spot.spec.emergency:
        yield "EMERGENCY VALVE: first of all; in sight of whoever must close it"


def instructions(spot: Spot, pieces: int) -> Iterator[str]:
    """What to fix, which way, and with what.

    ``pieces`` is how many hang at the position; none where several positions are spoken of.
    """
    plan, build = spot.placing.plan, spot.placing.plan.build
    yield from _direction(spot)
    if spot.joint is not None:
        yield from _joining(spot, spot.joint)
    if plan.od is not None:
        yield f"round {inches(plan.od)} over all"
    if build.straps:
        yield f"{_straps(build.straps, pieces)}, cut to {inches(build.strap_length)}"
    if build.stand_off:
        yield f"plate {inches(build.stand_off)} clear of the surface"
    sight = _sight(spot)
    if sight is not None:
        if sight.clock is not None:
            yield sight.clock.words
        yield f"read from {feet(sight.distance)}"


def _straps(each: int, pieces: int) -> str:
    count = each * max(pieces, 1)
    straps = f"{count} {'strap' if count == 1 else 'straps'}"
    if pieces == 0:
        return f"{straps} each"
    return f"{straps} ({each} each)" if pieces > 1 else straps


def _joining(spot: Spot, joint: Joint) -> Iterator[str]:
    """How the pieces of a long film go together at this position."""
    pipe = spot.spec if isinstance(spot.spec, PipeMarker) else None
    arrows = _arrows(spot)
    if pipe is not None and pipe.run is Run.VERTICAL:
        order = "from the lower end, the upper piece over the lower"
    elif (pipe is not None and pipe.flow is Flow.REVERSING) or len(arrows) != 1:
        order = "from the left, each piece over the one before"
    else:
        order = "from upstream, the downstream piece over the one before"
        order += ": start at the left" if arrows == {Arrow.RIGHT} else ": start at the right"
    yield f"in {len(joint.lengths)} pieces that overlap by {inches(joint.lap)}; {order}"


def _sight(spot: Spot) -> Sight | None:
    """How the position is seen, None where the list does not give height and distance."""
    position, spec = spot.placing.position, spot.spec
    if position.height is None or position.distance is None or not isinstance(spec, PipeMarker):
        return None
    if spec.run is Run.VERTICAL:
        return Sight(position.distance, None)
    above = position.height - eye_height().height
    if position.distance == 0 and above == 0:
        return None
    clock = clock_position(above, position.distance)
    return Sight(math.hypot(above, position.distance), clock)


def _direction(spot: Spot) -> Iterator[str]:
    """The way that the arrow points when it hangs right."""
    position, spec = spot.placing.position, spot.spec
    if isinstance(spec, ValveTag):
        if spec.lockout:
            yield "lockout point: the tag hangs clear of where the lock goes on"
        return
    if not isinstance(spec, PipeMarker):
        yield "level, at eye height, facing the approach"
        return
    riser = spec.run is Run.VERTICAL
    to = f", toward {position.to}" if position.to else ""
    if spot.placing.plan.build.mount is Mount.WRAP:
        yield "arrows of the lines that face you point the way of the flow"
        return
    arrows = _arrows(spot)
    upright = "riser, legend reading upward: " if riser else ""
    if not arrows:
        yield f"{upright}no arrow: the flow may go either way"
    elif len(arrows) == 2:
        yield f"{upright}arrows both ways: the flow reverses"
    else:
        right = arrows == {Arrow.RIGHT}
        way = ("up" if right else "down") if riser else ("to the right" if right else "to the left")
        yield f"{upright}flow {way}{to}"


def _arrows(spot: Spot) -> set[Arrow]:
    """The ways that arrows of the face point."""
    return {
        element.arrow
        for line in spot.marker.face.design.lines
        for element in line
        if element.arrow is not None
    }
