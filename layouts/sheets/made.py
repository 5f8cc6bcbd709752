"""Markers as papers show them: the piece as made on its stock, and a note on special film."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from layouts.markers.gather import Marker
from layouts.sheets.film import as_seen
from layouts.sheets.pieces import marker_of
from layouts.sheets.sheetplan import SheetPlan
from layouts.sheets.stock import Base, Stock
from layouts.terms.findings import Finding, Severity
from layouts.terms.words import PartRole


def made_markers(markers: Iterable[Marker], groups: Iterable[SheetPlan]) -> tuple[Marker, ...]:
    """The markers with each part as it looks on the stock that it is made of."""
    stocks: dict[tuple[str, PartRole], Stock] = {
        (marker_of(name), group.role): group.stock for group in groups for name in group.parts
    }
    return tuple(_make_marker(marker, stocks) for marker in markers)


def _make_marker(marker: Marker, stocks: dict[tuple[str, PartRole], Stock]) -> Marker:
    parts = tuple(
        as_seen(part, stocks[marker.id, part.role]) if (marker.id, part.role) in stocks else part
        for part in marker.face.parts
    )
    if all(one is other for one, other in zip(parts, marker.face.parts, strict=True)):
        return marker
    return _engraved(replace(marker, face=replace(marker.face, parts=parts)))


def _engraved(marker: Marker) -> Marker:
    """The marker with builds that say so; placings that shared a plan share it again."""
    plans = {
        id(plan): replace(plan, build=replace(plan.build, engraved=True))
        for plan in (marker.plan, *(each.plan for each in marker.placings))
    }
    placings = tuple(replace(each, plan=plans[id(each.plan)]) for each in marker.placings)
    return replace(marker, plan=plans[id(marker.plan)], placings=placings)


def base_notes(groups: Sequence[SheetPlan]) -> Iterator[Finding]:
    """A note for each group that is engraved or not on white film."""
    for group in groups:
        stock = group.stock
        if stock.engraved:
            what = f"{group.key} is engraved into {stock.title}: letters and rules, no color"
            if any(part.id_shapes for part in group.parts.values()):
                what += "; of ids the text, no QR code"
        elif stock.base is not Base.WHITE and any(part.white for part in group.parts.values()):
            what = f"{group.key} is on {stock.base_text}, with white under what is printed"
        else:
            continue
        yield Finding("stock-base", Severity.NOTE, what, "approve it as it is made")
