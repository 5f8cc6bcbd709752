"""A valve tag, decided."""

from __future__ import annotations

from collections.abc import Mapping

from layouts.order.order import ValveTag
from layouts.plan.build import build_for
from layouts.plan.carried import carried_by, pairing_of
from layouts.plan.contents import caveats_of
from layouts.plan.design import Design, legend_line
from layouts.plan.legibility import (
    LETTER_PER_DISTANCE_SOURCE,
    TAG_DISTANCE,
    letter_for_distance,
    reading_distance,
)
from layouts.plan.model import MarkerPlan, Notes
from layouts.schemes.loader import load_practice
from layouts.schemes.model import Scheme
from layouts.terms.units import feet, inches
from layouts.terms.words import Kind

# US building specifications, from memory: 1/4 in system letters over a number of 1/2 in.
_NUMBER = 12.7
_SMALL_SHARE = 0.5
# Twice the size for an emergency valve: common practice, no source; no standard sets a size.
_EMERGENCY_SCALE = 2.0
_NO_SCHEMES: Mapping[str, Scheme] = {}
_EMERGENCY = "EMERGENCY"
_LOCKOUT = "LOCKOUT POINT"


def plan_valve(
    spec: ValveTag, scheme: Scheme, notes: Notes, schemes: Mapping[str, Scheme] = _NO_SCHEMES
) -> tuple[MarkerPlan, ...]:
    """Decide one valve tag; nothing if the scheme has no color for its contents."""
    carried = carried_by(spec.contents, scheme, schemes)
    pairing = None if carried.own else pairing_of(carried, notes)
    if notes.impossible:
        return ()
    scheme = carried.scheme
    caveats_of(scheme, None, notes)
    distance = spec.viewing_distance or TAG_DISTANCE
    small = max(letter_for_distance(distance), _NUMBER * _SMALL_SHARE)
    scale = _EMERGENCY_SCALE if spec.emergency else 1.0
    number, small = max(_NUMBER, small / _SMALL_SHARE) * scale, small * scale
    row = f"tag: number {inches(number)} for reading from {feet(distance)}"
    notes.reason("letters", row, LETTER_PER_DISTANCE_SOURCE)
    if spec.emergency:
        notes.reason(
            "emergency",
            "twice the size of a plain tag, with a border, and marked EMERGENCY",
            "common practice, no source; the standards ask for clear and unique identification",
        )
    ink = scheme.inks[pairing.legend if pairing else scheme.equipment.ink]
    rows = [
        *([] if carried.own else [(carried.word, small)]),
        (spec.service.upper(), small),
        (spec.tag.upper(), number),
        *((text.upper(), small) for text in _functions(spec)),
    ]
    if spec.lockout:
        rows.append((_LOCKOUT, small))
    if spec.emergency:
        rows.insert(0, (_EMERGENCY, small))
    build, tag = build_for(spec.environment, notes, hung=True), load_practice().tag
    design = Design(
        kind=Kind.VALVE,
        scheme=scheme.key,
        lines=tuple(legend_line(text, ink, letter) for text, letter in rows if text),
        field=scheme.inks[pairing.field if pairing else scheme.equipment.field],
        letter_height=number,
        marker_height=0.0,
        length=0.0,
        length_step=scheme.face.length_step,
        corner_share=scheme.face.corner_share,
        keyline=ink if spec.emergency else None,
        outline=spec.shape,
        hole_diameter=tag.hole,
        hole_edge=tag.hole_edge,
    )
    if spec.sides == 2:
        notes.reason("sides", "two tags back to back, so that it reads from both sides")
    return (
        MarkerPlan(
            kind=Kind.VALVE,
            name=spec.tag.upper(),
            scheme=scheme.key,
            design=design,
            build=build,
            row=row,
            letter_reason=row,
            reading_distance=reading_distance(small),
            reasons=notes.reasons,
            findings=notes.findings,
            per_position=spec.sides,
        ),
    )


def _functions(spec: ValveTag) -> tuple[str, ...]:
    """Function, and size with the normal position, each on its own line."""
    position = str(spec.normal_position or "")
    return spec.function, " ".join(part for part in (spec.size_text, position) if part)
