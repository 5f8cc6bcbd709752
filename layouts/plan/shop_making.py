"""A plan as the shop makes it: holes and slots of its own sizes, tags printed on both faces."""

from __future__ import annotations

from dataclasses import replace

from layouts.plan.build import Build, Mount
from layouts.plan.design import Design, Plate
from layouts.plan.model import MarkerPlan, Reason
from layouts.schemes.making import Making, PlateMaking, TagMaking
from layouts.terms.words import Backs, Kind

BY_PRACTICE = Making()


def as_made(plan: MarkerPlan, making: Making) -> MarkerPlan:
    """The plan with the shop's openings; a tag read from both sides may be one with two faces."""
    if making == BY_PRACTICE:
        return plan
    shorter = tuple((words, _design(each, making)) for words, each in plan.shorter)
    plan = replace(
        plan,
        design=_design(plan.design, making),
        build=_build(plan.build, making),
        shorter=shorter,
        strapped=_build(plan.strapped, making) if plan.strapped is not None else None,
    )
    if plan.kind is Kind.VALVE and plan.per_position == 2:
        return _two_faced(plan, making.tags)
    return plan


def _two_faced(plan: MarkerPlan, tags: TagMaking) -> MarkerPlan:
    """One tag for each place instead of two back to back."""
    if tags.backs is Backs.SECOND_TAG:
        return plan
    text = "one tag with the same words on both faces, so that it reads from both sides"
    reasons = (
        Reason("sides", text, each.source) if each.topic == "sides" else each
        for each in plan.reasons
    )
    design = replace(plan.design, backs=tags.backs, way=f"{plan.design.way} {tags.backs}")
    return replace(plan, design=design, per_position=1, reasons=tuple(reasons))


def _design(design: Design, making: Making) -> Design:
    if design.plate is not None:
        design = replace(design, plate=_plate(design.plate, making.plates))
    if not design.hole_diameter:
        return design
    tags = making.tags
    made = replace(
        design,
        hole_diameter=design.hole_diameter if tags.hole is None else tags.hole,
        hole_edge=design.hole_edge if tags.hole_edge is None else tags.hole_edge,
        hole_at=tags.hole_at,
    )
    return design if made == design else replace(made, way=f"{made.hole_edge:g} {made.hole_at}")


def _build(build: Build, making: Making) -> Build:
    if build.mount is Mount.HUNG_TAG:
        return replace(build, thickness=making.tags.thickness)
    if build.plate is None:
        return build
    plate = _plate(build.plate, making.plates)
    return replace(build, plate=plate, thickness=making.plates.thickness)


def _plate(plate: Plate, making: PlateMaking) -> Plate:
    """The plate with its slots or screw holes, plus rivet holes."""
    width = making.slot_width if plate.slot_length else making.screw_hole
    length = making.slot_length if plate.slot_length else None
    made = replace(
        plate,
        slot_length=plate.slot_length if length is None else length,
        slot_width=plate.slot_width if width is None else width,
        hole_edge=making.hole_edge,
        rivet_hole=making.rivet_hole,
    )
    return plate if made == plate else replace(made, way=f"{made.edge:g} {made.rivet_hole:g}")
