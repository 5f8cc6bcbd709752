"""Check boxes: one for each piece, or one with the count beside it where there are many."""

from __future__ import annotations

from layouts.drawing import Affine, Point, Rect, rectangle
from layouts.drawing.document import Fill, Item, Placement, Symbol
from layouts.drawing.typeset import UNIT
from layouts.papers.kit.paper import BODY, Drawn, Paper, baseline, text_block
from layouts.papers.packs.position_entry import Entry

PITCH_OF_BOXES = 3.6
_BOX, _LINE = 2.8, 0.25  # edge and width of its line
_MOST_BOXES = 12
_COUNTED_AT_A_GLANCE = 4
_BELOW = (_BOX - BODY) / 2  # from the baseline beside it to the lower edge
_GAP = 1.0
_SCALE = BODY / UNIT


def tick_symbol() -> Symbol:
    """An empty box among letters: it takes their scale and their ink."""
    outer = Rect(0.0, _BELOW - _BOX, _BOX, _BOX).grown(_LINE / 2)
    hollow = rectangle(outer).joined(rectangle(outer.grown(-_LINE)).backwards())
    drawn = Fill(hollow.mapped(Affine.scale(1 / _SCALE)), None)
    return Symbol("tick", (drawn,), drawn.path.bounds())


def draw_ticks(paper: Paper, entry: Entry, at: Point, width: float) -> Drawn:
    """The boxes of a position with its pieces and its row of the list, in a column."""
    plain, ink = paper.voices.plain, paper.ink
    count, row = entry.placing.count, entry.placing.position.row
    boxes = count if count <= _MOST_BOXES else 1
    in_line = int((width + PITCH_OF_BOXES - _BOX) / PITCH_OF_BOXES)
    first = baseline(at.y, BODY)
    items: list[Item] = []
    for index in range(boxes):
        line, column = divmod(index, in_line)
        x, y = at.x + column * PITCH_OF_BOXES, first + line * PITCH_OF_BOXES
        items.append(Placement("tick", Affine(_SCALE, 0.0, 0.0, _SCALE, x, y), ink))
    parts = [f"{count} pc"] if count > _COUNTED_AT_A_GLANCE else []
    parts += [f"row {row}"] if row is not None else []
    text, lines = "  ".join(parts), (boxes + in_line - 1) // in_line
    if plain.width(text, BODY) > width:
        text = "\n".join(parts)
    height = lines * PITCH_OF_BOXES
    beside = (boxes - 1) % in_line * PITCH_OF_BOXES + _BOX + _GAP
    if beside + plain.width(text, BODY) <= width:
        corner = Point(at.x + beside, first + (lines - 1) * PITCH_OF_BOXES)
        items += plain.line(text, corner, BODY, ink)
        return Drawn(tuple(items), height)
    block = text_block(plain, text, Point(at.x, at.y + height), BODY, width, ink)
    return Drawn((*items, *block.items), height + block.height)
