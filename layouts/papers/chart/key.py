"""The key below the marker: every color in use with what it means, and where HIGH begins."""

from __future__ import annotations

import math
from collections.abc import Sequence

from layouts.drawing import Point, Rect
from layouts.drawing.document import Item
from layouts.papers.chart.facts import BandFact, FieldFact
from layouts.papers.chart.look import Chip, Look, chip_items
from layouts.papers.kit.paper import Drawn, text_block
from layouts.schemes.model import Scheme

_MOST = 6  # chips side by side


def draw_color_key(
    look: Look,
    fields: Sequence[FieldFact],
    bands: Sequence[BandFact],
    schemes: Sequence[Scheme],
    at: Point,
) -> Drawn:
    """Chips side by side with a line below each, and the cutoff under them."""
    entries = [(Chip(each.field, each.words[0], each.ink), _field_text(each)) for each in fields]
    entries += [(Chip(band.field, band.word, band.ink), band.meaning) for band in bands]
    items: list[Item] = []
    y = at.y
    lines = max(1, math.ceil(len(entries) / _MOST))
    columns = max(1, math.ceil(len(entries) / lines))
    for start in range(0, len(entries), columns):
        part = entries[start : start + columns]
        drawn = _draw_chips(look, part, columns, Point(at.x, y))
        items += drawn.items
        y += drawn.height
    for scheme in schemes:
        if scheme.cutoff_psig is None or not scheme.levels:
            continue
        drawn = _draw_cutoff(look, scheme, len(schemes) > 1, Point(at.x, y + 0.3 * look.body))
        items += drawn.items
        y += drawn.height + 0.3 * look.body
    return Drawn(tuple(items), y - at.y)


def _field_text(fact: FieldFact) -> str:
    others = f" (also {', '.join(fact.words[1:3])})" if len(fact.words) > 1 else ""
    return f"field: {fact.meaning}{others}" if fact.meaning else "field"


def _draw_chips(look: Look, entries: Sequence[tuple[Chip, str]], columns: int, at: Point) -> Drawn:
    gap = 1.2 * look.body
    width = (look.width - (columns - 1) * gap) / columns
    high = 3.2 * look.body
    items: list[Item] = []
    tallest = 0.0
    for number, (chip, text) in enumerate(entries):
        x = at.x + number * (width + gap)
        items += chip_items(look, chip, Rect(x, at.y, width, high))
        corner = Point(x, at.y + high + 0.2 * look.body)
        said = text_block(look.voices.plain, text, corner, look.body, width, look.black, "center")
        items += said.items
        tallest = max(tallest, said.height)
    return Drawn(tuple(items), high + tallest + 0.6 * look.body)


def _draw_cutoff(look: Look, scheme: Scheme, named: bool, at: Point) -> Drawn:
    """The pressure large, and how the level is found beside it."""
    size = 1.7 * look.body
    of = f"{scheme.title}: above" if named else "Above"
    text = f"Cutoff {scheme.cutoff_psig:g} psig"
    wide = look.voices.strong.width(text, size) + 1.4 * look.body
    said = text_block(
        look.voices.plain,
        f"{of} it HIGH, at or below it and in vacuum LOW, by max. normal operating pressure, "
        "defrost excluded. The service code does not give the pressure.",
        Point(at.x + wide, at.y),
        look.body,
        look.width - wide,
        look.black,
    )
    height = max(said.height, 1.8 * size)
    base = at.y + height / 2 + size / 2
    return Drawn(
        (*look.voices.strong.line(text, Point(at.x, base), size, look.black), *said.items), height
    )
