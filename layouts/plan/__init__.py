"""Hop two: what each marker says, how large it is and how it is built, with every reason."""

from __future__ import annotations

from collections.abc import Mapping

from layouts.order.order import EquipmentMarker, PipeMarker, Specification, ValveTag
from layouts.plan.equipment import equipment_name, plan_equipment
from layouts.plan.model import MarkerPlan, Notes, Reason
from layouts.plan.pipe import marker_name, plan_pipe
from layouts.plan.valve import plan_valve
from layouts.schemes.model import Scheme
from layouts.terms.findings import Finding

__all__ = ["MarkerPlan", "Reason", "plan", "spec_name"]


def spec_name(spec: Specification) -> str:
    """The marker's name in use: service and words, or the tag of a machine or a valve."""
    match spec:
        case PipeMarker():
            return marker_name(spec)
        case EquipmentMarker():
            return equipment_name(spec)
        case ValveTag():
            return spec.tag.upper()


def plan(
    spec: Specification, schemes: Mapping[str, Scheme], default: str
) -> tuple[tuple[MarkerPlan, ...], tuple[Finding, ...]]:
    """Decide one specification.

    ``schemes`` holds every scheme that the order names; ``default`` is the order's own. Returns the
    plans (none if there is nothing to draw) and all findings, which the plans also carry.
    """
    notes = Notes(spec_name(spec))
    scheme = schemes[spec.scheme or default]
    match spec:
        case PipeMarker():
            plans = plan_pipe(spec, scheme, notes, schemes)
        case EquipmentMarker():
            plans = plan_equipment(spec, scheme, notes, schemes)
        case ValveTag():
            plans = plan_valve(spec, scheme, notes, schemes)
    return plans, notes.findings
