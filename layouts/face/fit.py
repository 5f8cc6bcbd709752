"""Fitting a marker to a straight run that is too short for it, never below its letters."""

from __future__ import annotations

from dataclasses import replace

from layouts.drawing.typefaces import Typefaces
from layouts.face import content_length
from layouts.face.common import finished_length
from layouts.plan.build import Mount, with_third_strap
from layouts.plan.design import Design
from layouts.plan.legibility import LETTER_LIMIT, LINE_PITCH, half_angle
from layouts.plan.model import MarkerPlan, Reason
from layouts.schemes.loader import load_practice
from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.units import inches


def fit_design(plan: MarkerPlan, typefaces: Typefaces) -> MarkerPlan:
    """The plan with the first design that fits its straight run, on a plate that does not bow."""
    return _held_in_the_middle(_shortest_needed(plan, typefaces), typefaces)


def _held_in_the_middle(plan: MarkerPlan, typefaces: Typefaces) -> MarkerPlan:
    """The plan with one more strap, or a pair of posts, if its plate is long."""
    plate, straps = plan.design.plate, load_practice().straps
    if plate is None or plate.ears < 2 or plan.build.plate is None:
        return plan
    length = _length(plan.design, typefaces) + 2 * (plate.border + plate.ear)
    if length <= straps.third_over:
        return plan
    build = with_third_strap(plan.build)
    text = f"held in the middle too: the plate is over {inches(straps.third_over)} long"
    reasons = (*plan.reasons, Reason("build", text, straps.source))
    design = replace(plan.design, plate=replace(plate, middle=True))
    return replace(plan, design=design, build=build, reasons=reasons)


def _shortest_needed(plan: MarkerPlan, typefaces: Typefaces) -> MarkerPlan:
    """The plan with the first design that its straight run takes.

    In order: as ordered, one arrow, two lines, and at last a plate on straps, which may reach
    past a fitting. A finding says what was given up.
    """
    needed = content_length(plan.design, typefaces)
    wanted = finished_length(plan.design, needed)
    plan = _length_checked(plan, needed)
    if plan.straight is None or plan.strapped is None or wanted <= plan.straight:
        return plan
    short = (
        f"the straight run of {inches(plan.straight)} is too short for {inches(wanted)} of marker"
    )
    for what, design in plan.shorter:
        if _length(design, typefaces) <= plan.straight:
            return _shorten_plan(plan, design, what, short)
    smallest = min(
        (plan.design, *(design for _, design in plan.shorter)),
        key=lambda design: _length(design, typefaces),
    )
    need = inches(_length(smallest, typefaces))
    finding = _finding(
        plan,
        Severity.WARNING,
        "run-short",
        f"{short}, and its shortest form needs {need}",
        "a plate on straps taken instead, which may reach past a fitting",
    )
    design = replace(smallest, plate=plan.strapped.plate)
    findings = (*plan.findings, finding)
    return replace(plan, design=design, build=plan.strapped, findings=findings)


def _shorten_plan(plan: MarkerPlan, design: Design, what: str, short: str) -> MarkerPlan:
    """The plan with a shorter design, on a flat plate where its lines would wrap out of sight."""
    right, build = f"{what} taken instead", plan.build
    letters = design.letter_height * (1 + LINE_PITCH * (len(design.lines) - 1))
    wraps = plan.od is not None and half_angle(letters, plan.od) > LETTER_LIMIT
    if wraps and build.mount is Mount.FILM and plan.strapped is not None:
        build, design = plan.strapped, replace(design, plate=plan.strapped.plate)
        right += ", on a flat plate, since the lines would wrap out of sight"
    finding = _finding(plan, Severity.WARNING, "run-short", short, right)
    return replace(plan, design=design, build=build, findings=(*plan.findings, finding))


def _length(design: Design, typefaces: Typefaces) -> float:
    return finished_length(design, content_length(design, typefaces))


def _length_checked(plan: MarkerPlan, needed: float) -> MarkerPlan:
    """A length measured off a neighbor or set by the order must hold the words."""
    if not plan.design.fixed_length or needed <= plan.design.length + 1e-6:
        return plan
    finding = _finding(
        plan,
        Severity.BLOCKING,
        "length-below-content",
        f"the words need {inches(needed)} and the length given is {inches(plan.design.length)}",
        f"use at least {inches(needed)}; a legend is never squeezed",
        "neighbor_length_in",
    )
    return replace(plan, findings=(*plan.findings, finding))


def _finding(
    plan: MarkerPlan,
    severity: Severity,
    code: str,
    what: str,
    right: str,
    field: str = "straight_in",
) -> Finding:
    return Finding(code, severity, what, right, place=Place(field=field, marker=plan.name))
