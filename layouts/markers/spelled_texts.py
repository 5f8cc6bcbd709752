"""Texts of an order that its papers can only spell: their typeface lacks a character."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from layouts.drawing.lettering import Typeface, lacking, spelled
from layouts.order.order import Order
from layouts.order.position import NO_DETAILS, Position, first_place
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


def _foreign(order: Order) -> dict[tuple[str, str], list[Position]]:
    """The positions by field and text, where the text is not in ASCII, which every font has."""
    found: dict[tuple[str, str], list[Position]] = defaultdict(list)
    for item in order.items:
        for position in item.positions:
            if _is_ascii(position):
                continue
            for name, field in _PLACE:
                text = getattr(position, name)
                if not text.isascii():
                    found[field, text].append(position)
    return found


def _is_ascii(position: Position) -> bool:
    details, texts = position.details, position.area + position.location + position.line
    if details is not NO_DETAILS:
        texts += details.drawing + details.from_ + details.to + details.note
    return texts.isascii()


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
