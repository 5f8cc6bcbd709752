"""One position of an installation pack: picture, line, ends, what to do, boxes to tick."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from layouts.design import Arrow
from layouts.drawing import Item, Stroke, Symbol
from layouts.geometry import Point, Rect, Size, rectangle
from layouts.marker import Marker, Placing
from layouts.mounting import Mount
from layouts.paper import BODY, THIN, Drawn, Paper, baseline, rule, text_block
from layouts.picture import picture
from layouts.schemes.loader import eye_height
from layouts.spec import PipeMarker, Specification, ValveTag
from layouts.splitting import Joint
from layouts.takeoff import Sight, clock_position
from layouts.units import feet, inches
from layouts.words import Flow, Kind, Run

_ROOM = Size(50.0, 12.5)  # of the picture
_PICTURE, _PLACE, _HOW, _TICKS = 9.0, 63.0, 118.0, 174.0  # lefts of the columns
_NAME = 1.9
_AIR = 1.3
_BOX, _PITCH, _BOXES = 2.8, 3.6, 4  # of the tick boxes, and how many in a line
_MOST_BOXES = 12
_TO_TRACE = "________"


@dataclass(frozen=True, slots=True)
class Spot:
    """A position with all that its entry says."""

    number: int
    marker: Marker
    placing: Placing
    method: str
    joint: Joint | None = None

    @property
    def spec(self) -> Specification:
        """What asked for it."""
        return self.placing.spec


def draw_spot(paper: Paper, spot: Spot, symbols: dict[str, Symbol]) -> None:
    """Add the position to the paper and its face to the symbols."""

    def draw(at: Point) -> Drawn:
        voices, ink = paper.voices, paper.ink
        top = at.y + _AIR
        drawn = picture(spot.marker.face, Point(at.x + _PICTURE, top + 0.6), _ROOM, ink)
        symbols[drawn.symbol.id] = drawn.symbol
        row = spot.placing.position.row
        listed = f"   list row {row}" if row is not None else ""
        caption = f"1:{drawn.scale}   {spot.marker.id}{listed}"
        below = top + drawn.size.height + 0.8
        said = Point(at.x + _PICTURE, baseline(below, BODY))
        place = _lines(paper, tuple(_place(spot)), Point(at.x + _PLACE, top), _HOW - _PLACE - 2.0)
        how = _lines(paper, tuple(instructions(spot)), Point(at.x + _HOW, top), _TICKS - _HOW - 2.0)
        ticks = _ticks(paper, spot.placing.count, Point(at.x + _TICKS, top + 0.4))
        number = Point(at.x, baseline(top, _NAME))
        height = max(
            below - at.y + 1.8 * BODY,
            *(each.height + _AIR for each in (place, how, ticks)),
        )
        items: tuple[Item, ...] = (
            rule(at.x, at.y, paper.width, THIN, ink),
            *voices.strong.line(str(spot.number), number, _NAME, ink),
            *drawn.items,
            *voices.plain.line(caption, said, BODY, ink),
            *place.items,
            *how.items,
            *ticks.items,
        )
        return Drawn(items, height + _AIR)

    paper.block(draw)


def _lines(paper: Paper, lines: tuple[str, ...], at: Point, width: float) -> Drawn:
    """The first line strong, the others below it."""
    first, *rest = lines
    head = text_block(paper.voices.strong, first, at, _NAME, width, paper.ink)
    items, y = [*head.items], at.y + head.height
    for line in rest:
        block = text_block(paper.voices.plain, line, Point(at.x, y), BODY, width, paper.ink)
        items += block.items
        y += block.height
    return Drawn(tuple(items), y - at.y)


def _place(spot: Spot) -> Iterator[str]:
    """What it is, and where."""
    position, plan = spot.placing.position, spot.marker.plan
    hand = f", {plan.hand}" if plan.hand else ""
    yield f"{plan.name}{hand}"
    line = f"line {position.line}" if position.line else ""
    drawing = f"P&ID {position.drawing}" if position.drawing else ""
    where = ", ".join(part for part in (line, position.location, drawing) if part)
    if where:
        yield where
    if plan.kind is Kind.PIPE:
        yield f"from {position.from_ or _TO_TRACE} to {position.to or _TO_TRACE}"
    elif position.from_ or position.to:
        yield " to ".join(part for part in (position.from_, position.to) if part)
    for text in (position.spot, position.note):
        if text:
            yield text


def instructions(spot: Spot) -> Iterator[str]:
    """What to fix, which way, and with what."""
    plan, build = spot.placing.plan, spot.placing.plan.build
    yield f"Method {spot.method}: {build.mount}"
    if spot.spec.environment.food_zone:
        yield "FOOD ZONE: nothing loose; count straps, cut ends, liners and tools in and out"
    yield from _direction(spot)
    if spot.joint is not None:
        yield from _joining(spot, spot.joint)
    if plan.od is not None:
        yield f"round {inches(plan.od)} over all"
    if build.straps:
        count = build.straps * spot.placing.count
        each = f" ({build.straps} each)" if spot.placing.count > 1 else ""
        straps = "strap" if count == 1 else "straps"
        yield f"{count} {straps}{each}, cut to {inches(build.strap_length)}"
    if build.stand_off:
        yield f"plate {inches(build.stand_off)} clear of the surface"
    sight = _sight(spot)
    if sight is not None:
        if sight.clock is not None:
            yield sight.clock.words
        yield f"read from {feet(sight.distance)}"


def _joining(spot: Spot, joint: Joint) -> Iterator[str]:
    """How the pieces of a long film go together at this position."""
    spec = spot.spec
    arrows = {
        element.arrow
        for line in spot.marker.face.design.lines
        for element in line
        if element.arrow is not None
    }
    pipe = spec if isinstance(spec, PipeMarker) else None
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
        if spec.emergency:
            yield "EMERGENCY VALVE: first of all; in sight of whoever must close it"
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
    arrows = {
        element.arrow
        for line in spot.marker.face.design.lines
        for element in line
        if element.arrow is not None
    }
    upright = "riser, legend reading upward: " if riser else ""
    if not arrows:
        yield f"{upright}no arrow: the flow may go either way"
    elif len(arrows) == 2:
        yield f"{upright}arrows both ways: the flow reverses"
    else:
        right = arrows == {Arrow.RIGHT}
        way = ("up" if right else "down") if riser else ("to the right" if right else "to the left")
        yield f"{upright}flow {way}{to}"


def _ticks(paper: Paper, count: int, at: Point) -> Drawn:
    """A box for each piece, or one with the count beside it where they are many."""
    boxes = count if count <= _MOST_BOXES else 1
    items: list[Item] = []
    for index in range(boxes):
        line, column = divmod(index, _BOXES)
        box = Rect(at.x + column * _PITCH, at.y + line * _PITCH, _BOX, _BOX)
        items.append(Stroke(rectangle(box), paper.ink, 0.25))
    height = (boxes + _BOXES - 1) // _BOXES * _PITCH
    text = f"{count} pcs" if count > 1 else "1 pc"
    below = Point(at.x, baseline(at.y + height - 0.2, BODY))
    items += paper.voices.plain.line(text, below, BODY, paper.ink)
    return Drawn(tuple(items), height + 1.8 * BODY)
