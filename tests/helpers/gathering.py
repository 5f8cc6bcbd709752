"""Hops 2 and 3 in one call, for tests that begin with an order's items."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from layouts.drawing.typefaces import Typefaces
from layouts.markers.gather import Gathered, compose_faces, gather_markers, plan_order
from layouts.order.order import Acceptance, Item
from layouts.schemes.model import Scheme


def gather(
    items: Iterable[Item],
    schemes: Mapping[str, Scheme],
    default_scheme: str,
    typefaces: Typefaces,
    accepted: tuple[Acceptance, ...],
    file: str,
) -> Gathered:
    composed = compose_faces(plan_order(items, schemes, default_scheme), typefaces)
    return gather_markers(composed, accepted, file)
