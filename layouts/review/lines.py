"""The pipe markers of an order with their scheme's entries, and places for findings."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from layouts.order.order import Item, PipeMarker
from layouts.plan.carried import Carried, carried_by
from layouts.plan.level import level_of
from layouts.plan.model import Notes
from layouts.plan.pipe import marker_name
from layouts.schemes.model import Scheme, Service
from layouts.terms.findings import Place
from layouts.terms.values import frozen
from layouts.terms.words import Level


@frozen
class Line:
    """A pipe marker of the order; ``key`` is the name by which the order calls its scheme."""

    item: Item
    spec: PipeMarker
    key: str
    scheme: Scheme
    carried: Carried

    @property
    def contents(self) -> str:
        """The line's contents, as its marker prints them."""
        return self.carried.word

    @property
    def name(self) -> str:
        """The marker's name, as in its plan."""
        return marker_name(self.spec) or self.contents

    @property
    def service(self) -> Service | None:
        """The scheme's entry for its abbreviation."""
        return self.scheme.services.get(self.spec.service.upper())

    @property
    def level(self) -> Level | None:
        """Its pressure level; the marker's plan reports any fault in it."""
        spec, unheard = self.spec, Notes("")
        return level_of(spec.pressure, spec.level, self.scheme, unheard, self.contents)


def line_of(item: Item, schemes: Mapping[str, Scheme], default: str) -> Line | None:
    """The item as a pipe marker; None for equipment and valves."""
    spec = item.spec
    if not isinstance(spec, PipeMarker):
        return None
    key = spec.scheme or default
    carried = carried_by(spec.contents, schemes[key], schemes)
    if carried.scheme is not schemes[key]:
        key = carried.scheme.key
    return Line(item, spec, key, carried.scheme, carried)


def rows_of(items: Iterable[Item]) -> tuple[int, ...]:
    """The rows of the list that ask for the items, in order."""
    rows = {position.row for item in items for position in item.positions}
    return tuple(sorted(row for row in rows if row is not None))


def place_of(items: Iterable[Item], field: str, marker: str) -> Place:
    """The first row of the items, and how many more there are."""
    rows = rows_of(items)
    return Place(
        row=rows[0] if rows else None, field=field, marker=marker, more=max(0, len(rows) - 1)
    )


def rows_text(rows: Iterable[int]) -> str:
    """``row 3`` or ``rows 3, 9 and 12``; empty without rows."""
    texts = [str(row) for row in rows]
    if len(texts) < 2:
        return f"row {texts[0]}" if texts else ""
    return f"rows {', '.join(texts[:-1])} and {texts[-1]}"
