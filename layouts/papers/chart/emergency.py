"""Emergency valves, first on the chart: a red frame with each valve and where it is."""

from __future__ import annotations

from collections.abc import Sequence

from layouts.drawing import Point, Rect, rectangle
from layouts.drawing.document import Fill, Item, Stroke
from layouts.papers.chart.look import Look
from layouts.papers.kit.paper import Drawn, text_block
from layouts.papers.schedule import ValveRow

_TITLE = "Emergency valves"
_MOST = 30  # more would leave no room for the rest of the chart
_NONE = (
    "No valve on this plant's list is marked as an emergency valve. Name the king valve and the "
    "other valves that stop the flow before you hang this chart."
)


def draw_emergency(look: Look, valves: Sequence[ValveRow], at: Point) -> Drawn:
    """The frame over the whole width, its title in a red bar."""
    body = look.body
    shown, more = valves[:_MOST], len(valves) - _MOST
    bar_height = 2.7 * body
    size = 1.35 * body
    bar = Rect(at.x, at.y, look.width, bar_height)
    base = at.y + bar_height / 2 + size / 2
    items: list[Item] = [
        Fill(rectangle(bar), look.red),
        *look.voices.strong.line(_TITLE, Point(at.x + 1.2 * body, base), size, look.white),
    ]
    pad = 0.8 * body
    y = at.y + bar_height + pad
    columns = min(3, max(1, len(shown)))
    share = (look.width - 1.2 * body) / columns
    for start in range(0, len(shown), columns):
        drawn = [
            _draw_valve(
                look, valve, Point(at.x + 1.2 * body + column * share, y), share - 1.2 * body
            )
            for column, valve in enumerate(shown[start : start + columns])
        ]
        items += (item for each in drawn for item in each.items)
        y += max(each.height for each in drawn) + 0.5 * body
    if not shown or more > 0:
        room = look.width - 2.4 * body
        corner = Point(at.x + 1.2 * body, y)
        text = f"and {more} more: see the valve schedule" if shown else _NONE
        said = text_block(look.voices.plain, text, corner, body, room, look.black)
        items += said.items
        y += said.height
    frame = Rect(at.x, at.y, look.width, y - at.y + 0.3 * body)
    items.append(Stroke(rectangle(frame), look.red, 0.3 * body))
    return Drawn(tuple(items), frame.height)


def _draw_valve(look: Look, valve: ValveRow, at: Point, width: float) -> Drawn:
    """Number and function, then the line and where it is."""
    head = ", ".join(part for part in (valve.number, valve.function) if part)
    drawing = f"P&ID {valve.drawing}" if valve.drawing else ""
    place = ", ".join(
        part for part in (valve.service, valve.size, valve.area, valve.location) if part
    )
    rest = ", ".join(part for part in (place, valve.normal_position, drawing) if part)
    title = text_block(look.voices.strong, head, at, 1.15 * look.body, width, look.black)
    below = Point(at.x, at.y + title.height)
    said = text_block(look.voices.plain, rest, below, look.body, width, look.black)
    return Drawn((*title.items, *said.items), title.height + said.height)
