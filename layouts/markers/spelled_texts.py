"""Texts of an order that its papers can only spell: their typeface lacks a character."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from operator import attrgetter

from layouts.drawing.lettering import Typeface, lacking, spelled
from layouts.order.order import Order
from layouts.order.position import Position, first_place
from layouts.terms.findings import Finding, Place, Severity

_HEAD = ("title", "plant", "revision")
# Of a position, with the list's own name of each.
_PLACE = (
    *(("area", "area"), ("location", "location"), ("line", "line"), ("drawing", "drawing")),
    *(("from_", "from"), ("to", "to"), ("note", "note")),
)


def spelled_texts(order: Order, typeface: Typeface) -> Iterator[Finding]:
    """A warning for each text with such a character: papers print its number in its place."""
    for field in _HEAD:
        yield from _warned(getattr(order, field), typeface, Place(field=field))
    for (field, text), positions in _foreign(order).items():
        yield from _warned(text, typeface, first_place(positions, field, ""))


_place_texts = attrgetter(*(name for name, _ in _PLACE))


def _foreign(order: Order) -> dict[tuple[str, str], list[Position]]:
    """The positions by field and text, where the text is not in ASCII, which every font has."""
    found: dict[tuple[str, str], list[Position]] = defaultdict(list)
    for item in order.items:
        for position in item.positions:
            if "".join(_place_texts(position)).isascii():
                continue
            for name, field in _PLACE:
                text = getattr(position, name)
                if not text.isascii():
                    found[field, text].append(position)
    return found


def _warned(text: str, typeface: Typeface, place: Place) -> Iterator[Finding]:
    if lacking(text, typeface):
        printed = spelled(text, typeface)
        yield Finding(
            "text-spelled",
            Severity.WARNING,
            f"the papers' typeface lacks characters of {text!r}: they print {printed}",
            "write it in Latin, Greek or Cyrillic letters, so that the crew can read it",
            place=place,
        )
