"""One position of an installation pack in words: marker, place and installation."""

from __future__ import annotations

import math
from collections.abc import Iterator

from layouts.markers.gather import Marker, Placing
from layouts.markers.positions import Hanging
from layouts.order.order import PipeMarker, Specification, ValveTag
from layouts.plan.build import Mount
from layouts.plan.design import Arrow
from layouts.schemes.loader import eye_height
from layouts.sheets.long_film import Joint
from layouts.takeoff import Sight, clock_position
from layouts.terms.counts import counted
from layouts.terms.site_lengths import legible_text, ruler_text
from layouts.terms.units import inches
from layouts.terms.values import frozen
from layouts.terms.words import Flow, Kind, Run, Side

_TO_TRACE = "________"


@frozen
class Entry:
    """A position with everything the pack says about it."""

    hanging: Hanging
    method: str
    joint: Joint | None = None

    @property
    def number(self) -> int:
        """Its number on the walk of its area."""
        return self.hanging.number

    @property
    def marker(self) -> Marker:
        """What hangs there."""
        return self.hanging.marker

    @property
    def placing(self) -> Placing:
        """How many, and from which plan."""
        return self.hanging.placing

    @property
    def spec(self) -> Specification:
        """The specification that asked for it."""
        return self.hanging.spec

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
        """The ends of the line, with blanks where the list does not say."""
        position = self.placing.position
        if self.marker.plan.kind is Kind.PIPE:
            return f"from {position.from_ or _TO_TRACE} to {position.to or _TO_TRACE}"
        return " to ".join(part for part in (position.from_, position.to) if part)

    @property
    def location(self) -> str:
        """Where it is, as the list says."""
        return self.placing.position.location

    @property
    def beside(self) -> tuple[str, str, str]:
        """Its ends, its spot on its run, and what the list notes; each may be empty."""
        position = self.placing.position
        return self.ends, position.spot, "; ".join(filter(None, (position.note, self.ids)))

    @property
    def ids(self) -> str:
        """The ids on the pieces of this position; empty if pieces have no ids."""
        named = self.marker.pieces and self.placing.ids
        return f"id {', '.join(self.placing.ids)}" if named else ""

    @property
    def own(self) -> str:
        """What only this position has: location, spot and note."""
        _, *rest = self.beside
        return "; ".join(part for part in (self.location, *rest) if part)

    @property
    def mount(self) -> str:
        """The method's letter and name."""
        return f"{self.method}: {self.placing.plan.build.mount}"

    @property
    def side(self) -> str:
        """``near side`` or ``far side`` of a line marked on both; empty elsewhere."""
        hand = self.marker.plan.hand
        if not hand or not isinstance(self.spec, PipeMarker):
            return ""
        near = "left-hand" if self.spec.flow in (Flow.LEFT, Flow.DOWN) else "right-hand"
        return "near side" if hand == near else "far side"


def warnings(entry: Entry) -> Iterator[str]:
    """Warnings for the crew at the position."""
    if entry.spec.environment.food_zone:
        yield "FOOD ZONE: no loose parts; count straps, offcuts, liners and tools in and out"
    if isinstance(entry.spec, ValveTag) and entry.spec.emergency:
        yield "EMERGENCY VALVE: install first; visible from the operating position"


def instructions(entry: Entry, pieces: int) -> Iterator[str]:
    """What to install, which way, and with what.

    ``pieces`` is the number installed at the position; zero where several positions are described.
    """
    yield from direction_texts(entry)
    yield from fixing_texts(entry, pieces)


def fixing_texts(entry: Entry, pieces: int) -> Iterator[str]:
    """Diameter, straps, stand-off and viewing position: the same for both sides of a line."""
    plan, build = entry.placing.plan, entry.placing.plan.build
    if entry.joint is not None:
        yield _joint_text(entry, entry.joint)
    if plan.od is not None:
        yield f"{_diameter_label(entry)} {ruler_text(plan.od)}"
    if build.straps:
        yield f"{_strap_count_text(build.straps, pieces)}, cut to {inches(build.strap_length)}"
    if build.stand_off:
        yield f"stand-off plate, {inches(build.stand_off)} off the surface"
    sight = _sight_of(entry)
    if sight is not None:
        if sight.clock is not None:
            yield sight.clock.words
        yield f"viewed from {legible_text(sight.distance)}"


def _diameter_label(entry: Entry) -> str:
    """Which diameter the list gave: of the insulation, of the bare pipe, or as measured."""
    spec = entry.spec
    if not isinstance(spec, PipeMarker):
        return "OD"
    if spec.covering or (spec.covering is None and (spec.od or spec.girth)):
        return "OD over insulation"
    return "pipe OD"


def _strap_count_text(each: int, pieces: int) -> str:
    count = each * max(pieces, 1)
    straps = counted(count, "strap")
    if pieces == 0:
        return f"{straps} each"
    return f"{straps} ({each} each)" if pieces > 1 else straps


def _joint_text(entry: Entry, joint: Joint) -> str:
    """How the pieces of a long film go together at this position."""
    pipe = entry.spec if isinstance(entry.spec, PipeMarker) else None
    arrows = _arrows_of(entry)
    if pipe is not None and pipe.run is Run.VERTICAL:
        order = "start at the lower end, each upper piece over the lower"
    elif (pipe is not None and pipe.flow is Flow.REVERSING) or len(arrows) != 1:
        order = "start at the left, each piece over the one before"
    else:
        start = "left" if arrows == {Arrow.RIGHT} else "right"
        order = f"start upstream (at the {start}), each downstream piece over the one before"
    return f"in {len(joint.lengths)} pieces that overlap by {inches(joint.lap)}; {order}"


def _sight_of(entry: Entry) -> Sight | None:
    """How the position is seen, None where the list does not give height and distance."""
    position, spec = entry.placing.position, entry.spec
    if position.height is None or position.distance is None or not isinstance(spec, PipeMarker):
        return None
    if spec.run is Run.VERTICAL:
        return Sight(position.distance, None)
    above = position.height - eye_height().height
    if position.distance == 0 and above == 0:
        return None
    clock = clock_position(above, position.distance)
    return Sight(math.hypot(above, position.distance), clock)


def direction_texts(entry: Entry) -> Iterator[str]:
    """The direction of the arrow when installed correctly."""
    spec = entry.spec
    if isinstance(spec, ValveTag):
        if spec.lockout:
            yield "lockout point: hang the tag clear of where the lock goes on"
        return
    if not isinstance(spec, PipeMarker):
        yield "level, at eye height, facing the approach"
        return
    if entry.placing.plan.build.mount is Mount.WRAP:
        yield "arrows on the lines that face you point in the direction of flow"
        return
    yield _flow_text(entry, spec)
    if spec.side is Side.BOTH and not entry.side:
        yield "one on each side of the pipe"


def _flow_text(entry: Entry, spec: PipeMarker) -> str:
    riser = spec.run is Run.VERTICAL
    upright = "riser, legend reads upward: " if riser else ""
    arrows = _arrows_of(entry)
    if not arrows:
        return f"{upright}no arrow: flow may go either way"
    if len(arrows) == 2:
        return f"{upright}two-headed: flow reverses"
    position = entry.placing.position
    to = f", to {position.to}" if position.to else ""
    right = arrows == {Arrow.RIGHT}
    way = ("up" if right else "down") if riser else ("right" if right else "left")
    return f"{upright}flow {way}{to}"


def _arrows_of(entry: Entry) -> set[Arrow]:
    """The directions in which arrows of the face point."""
    return {
        element.arrow
        for line in entry.marker.face.design.lines
        for element in line
        if element.arrow is not None
    }
