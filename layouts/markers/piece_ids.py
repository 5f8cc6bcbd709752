"""Each installed piece has its own id, made from its place.

A marker's id names what is printed; the id of a piece names the place where it is installed, so it
stays when the marker there is replaced. It is made from the thing (the line of a pipe, the number
of a valve or a machine), area, location, from and to, the distance along a run, and the hand. Rows,
drawings and notes do not affect it. Several pieces at one place are numbered: ``K7M2Q9D``,
``K7M2Q9D-2``, ``K7M2Q9D-3``.

An order for some of the pieces of a place names them itself (``Position.pieces``).
"""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace

from layouts.markers.gather import Marker, Placing
from layouts.markers.positions import Hanging, walks
from layouts.order.order import EquipmentMarker, PipeMarker, Specification, ValveTag
from layouts.terms.values import frozen

# Crockford's base 32 has no I, L, O or U, which are read as 1, 0 and V. The first character is a
# letter, so that no spreadsheet takes an id for a number or a date.
_SIGNS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
_FIRST = _SIGNS[10:]
_LENGTH = 7  # 22 x 32**6 ids: two of 5,000 places share one in about one plant of 1,900


@frozen
class PlacedPiece:
    """One piece at its place: ``number`` is its position's in the walk of the area."""

    id: str
    area: str
    number: int
    marker: Marker
    placing: Placing

    @property
    def hanging(self) -> Hanging:
        """This piece and no other of its place."""
        return Hanging(self.marker, replace(self.placing, count=1), self.number, (self.id,))

    @property
    def thing(self) -> str:
        """The line of a pipe, the number of a valve or a machine, or its name."""
        return thing_of(self.placing)


def placed_pieces(markers: Iterable[Marker]) -> tuple[PlacedPiece, ...]:
    """Every piece of every marker once, area by area in the order of the walk."""
    taken: Counter[str] = Counter()
    return tuple(
        PlacedPiece(piece, area, stop.number, stop.marker, stop.placing)
        for area, stops in walks(markers).items()
        for stop in stops
        for piece in _ids_of(stop, taken)
    )


def place_id(placing: Placing) -> str:
    """The id of the first piece of a placing."""
    position = placing.position
    at = "" if position.at is None else str(round(position.at))
    place = (position.area, position.location, position.from_, position.to)
    texts = (placing.spec.kind, _identity(placing), *place, at, placing.plan.hand)
    folded = "|".join(" ".join(text.casefold().split()) for text in texts)
    number = int.from_bytes(hashlib.sha256(folded.encode()).digest()[:8])
    number, first = divmod(number, len(_FIRST))
    signs = [_FIRST[first]]
    for _ in range(_LENGTH - 1):
        number, sign = divmod(number, len(_SIGNS))
        signs.append(_SIGNS[sign])
    return "".join(signs)


def thing_of(placing: Placing) -> str:
    """The line of a pipe, the number of a valve or a machine, or its name."""
    match placing.spec:
        case PipeMarker():
            return placing.position.line
        case ValveTag(tag=tag):
            return tag
        case EquipmentMarker(tag=tag, name=name):
            return tag or name


def _identity(placing: Placing) -> str:
    """The thing; a pipe without a line number is identified by its contents."""
    return thing_of(placing) or _service(placing.spec)


def _service(spec: Specification) -> str:
    return spec.service or spec.contents or spec.legend if isinstance(spec, PipeMarker) else ""


def _ids_of(stop: Hanging, taken: Counter[str]) -> Sequence[str]:
    """The ids of a stop's pieces: those that its order names, else the next free ones."""
    base, count = place_id(stop.placing), stop.placing.count
    named = stop.placing.position.pieces
    own = [each for each in named if each.partition("-")[0] == base]
    for chosen in (own, named):
        if len(chosen) == count:
            return tuple(chosen)
    first = taken[base] + 1
    taken[base] += count
    return tuple(base if n == 1 else f"{base}-{n}" for n in range(first, first + count))
