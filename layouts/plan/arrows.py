"""Which way the arrow points, as the reader sees it."""

from __future__ import annotations

from layouts.order.order import PipeMarker
from layouts.plan.model import Notes
from layouts.schemes.model import Service
from layouts.terms.findings import Severity
from layouts.terms.words import Flow, Run


def flow_of(spec: PipeMarker, service: Service | None, notes: Notes) -> Flow | None:
    """The flow as the reader sees it, or None with a finding if it is impossible."""
    flow = spec.flow
    both_ways = service is not None and not service.one_way
    if flow is None:
        if both_ways:
            notes.reason(
                "flow",
                "no arrow: the line can flow both ways and no direction was given",
                "common practice, no source",
            )
            return Flow.NONE
        notes.find(
            Severity.UNREADABLE,
            "flow-missing",
            "the direction of flow is missing",
            "give flow: right, left, up or down facing the marker, reversing, or none",
            field="flow",
        )
        return None
    sideways, upright = (Flow.RIGHT, Flow.LEFT), (Flow.UP, Flow.DOWN)
    if spec.run is Run.HORIZONTAL and flow in upright:
        _wrong_way(notes, flow, "horizontal", "right or left, or run = vertical")
        return None
    if spec.run is Run.VERTICAL and flow in sideways:
        _wrong_way(notes, flow, "vertical", "up or down, or run = horizontal")
        return None
    if both_ways and flow in (*sideways, *upright):
        notes.find(
            Severity.WARNING,
            "arrow-one-way",
            f"{spec.service.upper()} can flow both ways but gets an arrow one way",
            "give flow = reversing, or none",
            "common practice, no source",
            field="flow",
        )
    if flow is Flow.NONE and not both_ways:
        notes.find(
            Severity.WARNING,
            "arrow-missing",
            "the marker shows no direction of flow",
            "give flow as the reader sees it; none is for lines that can flow both ways",
            "ASME A13.1, arrows show flow (second-hand summary)",
            field="flow",
        )
    return flow


def _wrong_way(notes: Notes, flow: Flow, run: str, right: str) -> None:
    notes.find(
        Severity.UNREADABLE,
        "flow-run",
        f"flow {flow} cannot be on a {run} run",
        f"give {right}",
        field="flow",
    )
