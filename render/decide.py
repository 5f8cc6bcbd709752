"""Hops 2 and 3, shared by a whole job, one marker, a check and a comparison.

It is a separate module so that a single marker and `check` start without loading the nester or a
writer.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from layouts.drawing.typefaces import Typefaces
from layouts.markers.drawn_ids import with_ids
from layouts.markers.gather import Gathered, compose_faces, gather_markers, plan_order
from layouts.markers.spelled_texts import spelled_texts
from layouts.order.order import Order
from layouts.review import inspect_order
from layouts.schemes.choices import with_choices
from layouts.schemes.model import Scheme
from layouts.terms.findings import Finding, weigh
from layouts.terms.values import frozen
from render.options import Options
from render.read.fonts import typefaces as load_typefaces
from render.read.schemes import load_schemes


@frozen
class Decided:
    """An order after hops 2 and 3: every marker decided and composed, nothing nested or written."""

    gathered: Gathered
    schemes: Mapping[str, Scheme]
    typefaces: Typefaces


def decide(order: Order, options: Options, file: str = "") -> Decided:
    """Plan and compose every marker of an order, and collect the findings of both.

    Raises:
        InputError: a scheme or the font cannot be read, or a color cannot be chosen.
    """
    named, typefaces = load_schemes(order, options.folder, file), load_typefaces(options.font)
    schemes = with_choices(named, order.colors, order.cutoffs, order.face)
    making = options.shop.making_on(order.stocks.plate, order.stocks.tag)
    plans = plan_order(order.items, schemes, order.scheme, making)  # 2 decide
    faces = compose_faces(plans, typefaces)  # 3 compose
    gathered = gather_markers(faces, order.accept, file)
    gathered = with_ids(gathered, order, typefaces, file)
    reviewed = (
        weigh(finding, file, order.accept)
        for finding in inspect_order(order.items, schemes, order.scheme)
    )
    signed = _sign_findings(order, schemes, typefaces, file)
    spelled = (weigh(each, file, order.accept) for each in spelled_texts(order, typefaces.text))
    gathered = replace(gathered, findings=(*gathered.findings, *reviewed, *signed, *spelled))
    used = {*named, *(marker.plan.scheme for marker in gathered.markers)}
    in_use = {key: scheme for key, scheme in schemes.items() if key in used}
    return Decided(gathered, in_use, typefaces)


def _sign_findings(
    order: Order, schemes: Mapping[str, Scheme], typefaces: Typefaces, file: str
) -> tuple[Finding, ...]:
    """Findings about the signs; their code is loaded only if the order has some."""
    if not order.signs:
        return ()
    from layouts.papers.placards import sign_findings

    found = sign_findings(order, schemes, typefaces)
    return tuple(weigh(each, file, order.accept) for each in found)
