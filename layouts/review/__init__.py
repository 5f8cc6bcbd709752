"""What a careful inspector finds in an order as a whole, beyond each marker's own plan.

A plan covers one marker; here abbreviations, valve numbers, schemes and colors are compared across
the whole order. A machine without a marker is found where the order names it as the end of a line.
There is no check for a missing reference chart, because every job makes one.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from layouts.order.order import Item
from layouts.review.colors import contrasts, red_paint
from layouts.review.contents_names import other_schemes, renamed_contents
from layouts.review.covering import cold_coverings
from layouts.review.lines import line_of
from layouts.review.machines import unmarked_machines
from layouts.review.same_line import lines_that_differ
from layouts.review.surroundings import cold_areas, large_counts
from layouts.review.valves import emergency_valves, valve_numbers
from layouts.review.wording import abbreviation_meanings, colors_shared, mixed_schemes
from layouts.schemes.loader import other_scheme
from layouts.schemes.model import Scheme
from layouts.terms.findings import Finding

__all__ = ["inspect_order"]


def inspect_order(
    items: Sequence[Item], schemes: Mapping[str, Scheme], default: str
) -> tuple[Finding, ...]:
    """Every finding about the order as a whole, each fault once.

    ``schemes`` holds every scheme that the order names; ``default`` is the order's own. A place has
    a row, field and marker; the caller adds the file and the order's acceptances.
    """
    others = (other_scheme(scheme) for scheme in schemes.values())
    schemes = {**{each.key: each for each in others if each is not None}, **schemes}
    found = (line_of(item, schemes, default) for item in items)
    lines = tuple(line for line in found if line is not None)
    return (
        *abbreviation_meanings(items, schemes, default),
        *renamed_contents(lines),
        *other_schemes(lines, schemes, default),
        *lines_that_differ(lines),
        *mixed_schemes(items, lines, schemes, default),
        *colors_shared(lines),
        *valve_numbers(items),
        *emergency_valves(items),
        *cold_areas(items),
        *large_counts(items),
        *unmarked_machines(items),
        *red_paint(lines),
        *cold_coverings(lines),
        *contrasts(items, lines, schemes, default),
    )
