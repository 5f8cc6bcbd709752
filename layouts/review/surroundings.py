"""Areas and counts: machines in a cold room, and implausible quantities."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence

from layouts.order.order import EquipmentMarker, Item
from layouts.review.lines import place_of
from layouts.schemes.loader import load_limits, load_practice
from layouts.terms.findings import Finding, Place, Severity


def cold_areas(items: Sequence[Item]) -> Iterator[Finding]:
    """Machines without an application temperature, in an area where other markers have a cold one.

    One finding per area.
    """
    general = load_practice().adhesives[0]
    cold: dict[str, float] = {}
    unsaid: dict[str, list[Item]] = defaultdict(list)
    for item in items:
        applied = item.spec.environment.applied_at
        if applied is None and isinstance(item.spec, EquipmentMarker):
            for area in _areas(item):
                unsaid[area].append(item)
        elif applied is not None and applied < general.apply_from_f:
            for area in _areas(item):
                cold[area] = min(applied, cold.get(area, applied))
    for area, lacking in unsaid.items():
        if area not in cold or all(_is_known(item) for item in lacking):
            continue
        first = next(item for item in lacking if not _is_known(item))
        name = next(p.area for p in first.positions if _plain(p.area) == area)
        found = list(dict.fromkeys(id(item) for item in lacking if not _is_known(item)))
        yield Finding(
            "applied-unlike-area",
            Severity.WARNING,
            f"other markers in {name} are applied at {cold[area]:g} F, and the equipment there "
            "says no temperature",
            "give applied_f for the equipment too: general adhesive does not hold on a cold "
            "surface",
            general.source,
            place_of(
                (item for item in lacking if id(item) in found),
                "applied_f",
                first.spec.tag if isinstance(first.spec, EquipmentMarker) else "",
            ),
        )


def _areas(item: Item) -> Iterator[str]:
    """The area of each of its positions, where one is given."""
    return filter(None, (_plain(position.area) for position in item.positions))


def _plain(area: str) -> str:
    return " ".join(area.casefold().split())


def _is_known(item: Item) -> bool:
    """Whether the machine's own surface determines how its marker is built."""
    return item.spec.environment.surface is not None


def large_counts(items: Sequence[Item]) -> Iterator[Finding]:
    """More markers at one place, or a longer run, than any plant has."""
    limit = load_limits().length
    for item in items:
        for position in item.positions:
            run = position.pipe_run
            if position.quantity > limit.most_quantity:
                yield _implausible(
                    f"{position.quantity} markers at one place", "qty", position.row, limit.source
                )
            if run is not None and run.length is not None and run.length > limit.most_run:
                yield _implausible(
                    f"a run {run.length / 304.8:g} ft long", "length_ft", position.row, limit.source
                )


def _implausible(what: str, field: str, row: int | None, source: str) -> Finding:
    return Finding(
        "quantity-implausible",
        Severity.WARNING,
        what,
        "check the column and the unit",
        source,
        Place(row=row, field=field),
    )
