"""The parts of a pack's entries: sizes, captions, and names with text."""

from __future__ import annotations

from collections.abc import Iterable

from layouts.drawing import Point
from layouts.papers.kit.paper import BODY, Drawn, Paper, baseline, text_block
from layouts.papers.packs.position_entry import Entry
from layouts.terms.site_lengths import ruler_text

NAME_SIZE = 1.9
AIR = 0.8
GAP = 2.0  # between columns, and between a name and the text after it
_LEAST_BESIDE = 12.0  # no text begins beside a name in less room


def caption_text(entry: Entry) -> str:
    """What identifies a piece among others with the same words: its id and its size."""
    measures = entry.marker.face.measures
    return f"{entry.marker.id}   {ruler_text(measures.length)} x {ruler_text(measures.height)}"


def room_beside(paper: Paper, name: str, width: float) -> float:
    """The room after a name in its line."""
    return width - paper.voices.strong.width(name, BODY) - GAP


def count_fitting(heights: Iterable[float], room: float) -> int:
    """How many of the lines, one below the other, fit a room."""
    count, used = 0, 0.0
    for height in heights:
        used += height
        if used > room:
            break
        count += 1
    return count


def draw_named_text(
    paper: Paper,
    first: tuple[str, str],
    rest: Iterable[str],
    at: Point,
    width: float,
    strong: Iterable[str] = (),
) -> Drawn:
    """A name with its text after it, what must not be overlooked, and further paragraphs."""
    voices, ink = paper.voices, paper.ink
    name, text = first
    head = text_block(voices.strong, name, at, BODY, width, ink)
    items, y = [*head.items], at.y + head.height
    beside = room_beside(paper, name, width)
    if text and beside >= max(_LEAST_BESIDE, voices.plain.width(text.split(" ")[0], BODY)):
        line = voices.plain.wrap(text, BODY, beside)[0]
        x = at.x + width - beside
        items += voices.plain.line(line, Point(x, baseline(at.y, BODY)), BODY, ink)
        text = text[len(line) :].lstrip()
    for setter, each in (
        *((voices.strong, each) for each in strong),
        (voices.plain, text),
        *((voices.plain, each) for each in rest),
    ):
        if each:
            block = text_block(setter, each, Point(at.x, y), BODY, width, ink)
            items += block.items
            y += block.height
    return Drawn(tuple(items), y - at.y)
