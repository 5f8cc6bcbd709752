"""The valve schedule as rows: every valve of an order once, emergency valves first."""

from __future__ import annotations

from collections.abc import Mapping

from layouts.order.order import Order, Position, ValveTag
from layouts.papers.abbreviations import abbreviations
from layouts.schemes.model import Scheme
from layouts.terms.tags import natural_key
from layouts.terms.values import frozen


@frozen
class ValveRow:
    """One valve at one place, in words; ``tags`` counts its tags."""

    number: str
    service: str
    meaning: str
    function: str
    location: str
    area: str
    size: str
    normal_position: str
    drawing: str
    notes: str
    emergency: bool
    lockout: bool
    tags: int
    row: int | None

    @property
    def system(self) -> str:
        """The service with its meaning."""
        return " – ".join(part for part in (self.service, self.meaning) if part)


def valve_rows(
    order: Order, schemes: Mapping[str, Scheme], two_faced: bool = False
) -> tuple[ValveRow, ...]:
    """A row for each position of each valve: emergency valves first, each group by number.

    ``two_faced`` says that a tag read from both sides is one tag and not two.
    """
    meanings = {each.code: each.meaning for each in abbreviations(order, schemes)}
    rows = [
        _row(item.spec, position, meanings, two_faced)
        for item in order.items
        if isinstance(item.spec, ValveTag)
        for position in item.positions
    ]
    return tuple(
        sorted(
            rows,
            key=lambda row: (
                not row.emergency,
                natural_key(row.number),
                row.area,
                row.location,
                row.row or 0,
            ),
        )
    )


def _row(
    spec: ValveTag, position: Position, meanings: Mapping[str, str], two_faced: bool
) -> ValveRow:
    code = spec.service.upper()
    ends = " to ".join(part for part in (position.from_, position.to) if part)
    line = f"line {position.line}" if position.line else ""
    tags = position.quantity * (1 if two_faced else spec.sides)
    parts = (line, ends, position.note, f"{tags} tags" if tags > 1 else "")
    return ValveRow(
        number=spec.tag.upper(),
        service=code,
        meaning=meanings.get(code, ""),
        function=spec.function,
        location=position.location,
        area=position.area,
        size=spec.size_text,
        normal_position=spec.normal_position.phrase if spec.normal_position else "",
        drawing=position.drawing,
        notes="; ".join(part for part in parts if part),
        emergency=spec.emergency,
        lockout=spec.lockout,
        tags=tags,
        row=position.row,
    )
