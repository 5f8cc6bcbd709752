"""Acceptances of an order that accept nothing."""

from __future__ import annotations

from collections.abc import Iterable

from layouts.order.order import Order
from layouts.terms.findings import Finding, Place, Severity


def idle_acceptances(order: Order, findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """A note for each acceptance in the order that matches none of its findings.

    One with a misspelled code or marker accepts nothing, and one that is no longer needed would
    let the next fault of its kind pass unseen.
    """
    found = {(each.code, each.place.marker) for each in findings if each.accepted}
    codes = {code for code, _ in found}
    return tuple(
        Finding(
            "accept-idle",
            Severity.NOTE,
            f"nothing was found that this accepts: {' for '.join(filter(None, asked))}",
            "correct its code or marker, or strike it",
            place=Place(field=f"accept {number}"),
        )
        for number, each in enumerate(order.accept, 1)
        if (asked := (each.code, each.marker)) not in found
        and (each.marker or each.code not in codes)
    )
