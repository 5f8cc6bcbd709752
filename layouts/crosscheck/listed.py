"""The valves, machines and lines of an order, each by its name with every row that has it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import field

from layouts.order.order import EquipmentMarker, Order, PipeMarker, Position, ValveTag
from layouts.terms.findings import Place
from layouts.terms.values import frozen
from layouts.terms.words import Kind


@frozen
class ListedThing:
    """A thing of the list: what its rows say. Diameters of pipes are in mm, bare."""

    kind: Kind
    name: str
    emergency: bool = False
    services: frozenset[str] = frozenset()
    sizes: Mapping[float, str] = field(default_factory=dict)  # label by outside diameter
    drawings: frozenset[str] = frozenset()
    row: int | None = None
    sheet: str = ""

    def place(self, file: str, column: str) -> Place:
        """Where the list has it."""
        return Place(file, self.row, column, self.name, sheet=self.sheet)


def listed_things(order: Order) -> tuple[ListedThing, ...]:
    """Every named thing of an order once, in the order of its rows."""
    found: dict[tuple[Kind, str], ListedThing] = {}
    for one in sorted(_rows(order), key=lambda each: (each.sheet, each.row or 0)):
        key = one.kind, one.name.casefold()
        known = found.get(key, one)
        found[key] = ListedThing(
            one.kind,
            known.name,
            known.emergency or one.emergency,
            known.services | one.services,
            {**one.sizes, **known.sizes},
            known.drawings | one.drawings,
            known.row,
            known.sheet,
        )
    return tuple(found.values())


def _rows(order: Order) -> Iterator[ListedThing]:
    for item in order.items:
        for position in item.positions:
            match item.spec:
                case ValveTag(tag=tag, emergency=emergency):
                    yield _thing(Kind.VALVE, tag, position, emergency=emergency)
                case EquipmentMarker(tag=tag) if tag:
                    yield _thing(Kind.EQUIPMENT, tag, position)
                case PipeMarker() as pipe if position.line:
                    yield _line(pipe, position)


def _thing(
    kind: Kind,
    name: str,
    position: Position,
    emergency: bool = False,
    services: frozenset[str] = frozenset(),
    sizes: Mapping[float, str] | None = None,
) -> ListedThing:
    drawings = frozenset({position.drawing} if position.drawing else ())
    at = position.row, position.source
    return ListedThing(kind, name, emergency, services, sizes or {}, drawings, *at)


def _line(pipe: PipeMarker, position: Position) -> ListedThing:
    sizes = {pipe.pipe.od: pipe.pipe.label} if pipe.pipe is not None else {}
    services = frozenset({pipe.service.upper()} if pipe.service else ())
    return _thing(Kind.PIPE, position.line, position, services=services, sizes=sizes)
