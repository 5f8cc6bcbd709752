"""From a marker's place back to the specification that asked for it there."""

from __future__ import annotations

from collections import defaultdict

from layouts.marker import Marker, Placing
from layouts.plan.equipment import equipment_name
from layouts.plan.pipe import marker_name
from layouts.spec import EquipmentMarker, Order, PipeMarker, Position, Specification


class Origins:
    """The specifications of an order by the positions that carry them."""

    def __init__(self, order: Order) -> None:
        self._specs: dict[Position, list[Specification]] = defaultdict(list)
        for item in order.items:
            for position in item.positions:
                self._specs[position].append(item.spec)

    def of(self, marker: Marker, placing: Placing) -> tuple[Specification, ...]:
        """What may have asked for the marker there.

        One specification, unless rows that differ share every word of their position; then all
        that would name the marker so.
        """
        specs = self._specs[placing.position]
        named = [spec for spec in specs if _fits(spec, marker)]
        return tuple(named)


def _fits(spec: Specification, marker: Marker) -> bool:
    if spec.kind is not marker.plan.kind:
        return False
    if isinstance(spec, PipeMarker):
        # A marker without service and words of its own is named by the scheme's contents.
        return marker_name(spec) in ("", marker.plan.name)
    name = equipment_name(spec) if isinstance(spec, EquipmentMarker) else spec.tag.upper()
    return name == marker.plan.name
