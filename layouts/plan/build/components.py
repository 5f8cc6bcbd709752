"""The components of a build: adhesive, laminate, plate, straps, and the notes of the sheet."""

from __future__ import annotations

import math
from dataclasses import replace

from layouts.plan.design import Plate
from layouts.plan.build.model import Build, BuildQuestion, Mount, Notebook
from layouts.schemes.practice import Practice
from layouts.terms.units import MM_PER_INCH, inches
from layouts.terms.words import Setting


def adhesive_of(
    question: BuildQuestion, mount: Mount, practice: Practice, book: Notebook
) -> str | None:
    """The adhesive, or None if it is too cold for any."""
    general = practice.adhesives[0]
    if mount is Mount.HUNG_TAG:
        return general.name  # of the build's key; a hung tag takes none
    if mount.has_plate:
        text = f"{general.name}: the film goes on its plate in the shop"
        book.reasons.append((text, general.source))
        return general.name
    warmest = question.warmest_f
    if question.applied_at_f is None and warmest is not None and warmest < general.apply_from_f:
        return _for_cold_surface(warmest, practice, book)
    if question.applied_at_f is None:
        text = f"{general.name}: apply at {general.apply_from_f:g} F or above (no application temperature given)"
        book.reasons.append((text, general.source))
        return general.name
    for adhesive in practice.adhesives:
        if question.applied_at_f >= adhesive.apply_from_f:
            text = f"{adhesive.name}: applied at {question.applied_at_f:g} F"
            book.reasons.append((text, adhesive.source))
            return adhesive.name
    coldest = practice.adhesives[-1]
    book.warn(
        "adhesive-too-cold",
        "applied_f",
        f"no adhesive is put on at {question.applied_at_f:g} F; the {coldest.name} needs "
        f"{coldest.apply_from_f:g} F",
        "put it on when the surface is warmer, or strap the plate that is made instead",
        coldest.source,
    )
    return None


def _for_cold_surface(warmest: float, practice: Practice, book: Notebook) -> str | None:
    """The adhesive for a surface that never gets as warm as the general one needs."""
    for adhesive in practice.adhesives:
        if warmest >= adhesive.apply_from_f:
            text = f"{adhesive.name}: the surface never gets above {warmest:g} F"
            book.reasons.append((text, adhesive.source))
            return adhesive.name
    coldest = practice.adhesives[-1]
    book.warn(
        "adhesive-too-cold",
        "surface_f",
        f"the surface never gets above {warmest:g} F, and the {coldest.name} needs "
        f"{coldest.apply_from_f:g} F",
        "a plate on straps is made instead",
        coldest.source,
    )
    return None


def laminate_of(question: BuildQuestion, practice: Practice, book: Notebook) -> str | None:
    """The overlaminate, or None if the print holds up without one."""
    laminates = practice.laminates
    if question.setting is Setting.OUTDOOR:
        book.reasons.append((f"{laminates.outdoor}: outdoors", laminates.source))
        return laminates.outdoor
    if question.washdown:
        book.reasons.append((f"{laminates.washdown}: washed down", laminates.source))
        return laminates.washdown
    return None


def stand_off_of(question: BuildQuestion, practice: Practice, book: Notebook) -> float:
    """Clear height under a stand-off plate: above the frost, and never below the minimum."""
    rule = practice.stand_off
    height = rule.least
    if question.frost > 0:
        height = max(rule.least, question.frost + rule.clearance)
    text = f"stand-off plate, {inches(height)} off the surface"
    if question.frost > 0:
        text += f", {inches(height - question.frost)} over the frost"
    book.reasons.append((text, rule.source))
    return height


def straps_of(question: BuildQuestion, mount: Mount, practice: Practice) -> int:
    """How many straps hold the plate; 0 if there is nothing round to strap it to."""
    if question.od is None or not mount.has_plate:
        return 0
    return 1 if mount is Mount.FLAG_TAG else practice.straps.count


def strap_length_of(question: BuildQuestion, practice: Practice, book: Notebook) -> float:
    """Strap length: circumference over the covering plus a tail, up to the next step."""
    girth = math.pi * (question.od or 0.0)
    step = practice.straps.step
    length = math.ceil((girth + practice.straps.tail) / step - 1e-9) * step
    text = (
        f"cut straps {inches(length)} ({girth / MM_PER_INCH:.1f} in circumference + "
        f"{inches(practice.straps.tail)} tail)"
    )
    book.reasons.append((text, practice.straps.source))
    return length


def strap_of(question: BuildQuestion, practice: Practice) -> str:
    """Steel where weather, water, heat or cold would break the other, and over food."""
    warmest, coldest = question.warmest_f, question.coldest_f
    hot = warmest is not None and warmest >= practice.films[0].contact_below_f
    frost_line = practice.stand_off.frosts_below_f
    frosts = not question.insulated and warmest is not None and warmest < frost_line
    brittle = coldest is not None and coldest < practice.straps.steel_below_f
    cold = question.frost > 0 or frosts or brittle
    wet = question.setting is Setting.OUTDOOR or question.washdown
    steel = hot or cold or wet or question.food_zone
    return practice.straps.outdoor if steel else practice.straps.indoor


def plate_of(
    question: BuildQuestion, mount: Mount, practice: Practice, book: Notebook
) -> Plate | None:
    """The carrier's border, ears and openings: slots for straps, holes for a stand-off."""
    stock = practice.plate
    if not mount.has_plate:
        return None
    if question.marker_length and question.marker_height:
        length = question.marker_length + 2 * (stock.border + stock.ear)
        height = question.marker_height + 2 * stock.border
        text = (
            f"{stock.material} of {inches(length)} x {inches(height)} or more, larger than the "
            "face, so that its openings lie outside the film"
        )
        book.reasons.append((text, stock.source))
    if mount is Mount.STAND_OFF:
        return Plate(stock.border, 0.0, stock.hole, stock.ear)
    ears = 1 if mount is Mount.FLAG_TAG else 2
    return Plate(stock.border, stock.slot_length, stock.slot_width, stock.ear, ears)


def strap_note(build: Build) -> str:
    """How many straps of which kind, for the notes of the sheet."""
    return f"Straps: {build.straps} x {build.strap}, cut to the lengths listed."


def with_third_strap(build: Build) -> Build:
    """The build of a long plate: openings halfway along it, and a strap through them."""
    assert build.plate is not None
    plate = replace(build.plate, middle=True)
    if not build.straps:
        return replace(build, plate=plate)
    more = replace(build, plate=plate, straps=build.straps + 1)
    notes = (strap_note(more) if note == strap_note(build) else note for note in build.notes)
    return replace(more, notes=tuple(notes))


def notes_of(question: BuildQuestion, build: Build, practice: Practice) -> tuple[str, ...]:
    """Notes for the cut file and the ticket besides the sizes, one sentence each.

    Strap lengths differ from marker to marker and are in the schedule, so that equal builds
    have equal notes.
    """
    notes = []
    if build.laminate:
        notes.append(f"Laminate: {build.laminate}.")
    if build.mount.has_plate:
        clear = f", {inches(build.stand_off)} off the surface" if build.stand_off else ""
        notes.append(f"Mount: {build.mount}{clear}.")
        notes.append("Film goes on the plate; openings of the plate lie outside the film.")
    if build.straps:
        notes.append(strap_note(build))
    if build.mount is Mount.STAND_OFF and not build.straps:
        notes.append("Fix to steel or an existing bracket; never drill or weld a vessel.")
    if question.insulated:
        notes.append(f"Jacket: {practice.jacket.rule}.")
    elif build.mount in (Mount.FILM, Mount.WRAP):
        notes.append("Apply to a dry, clean, cured surface.")
    surface = question.warmest_f
    if surface is not None and surface >= practice.burn.surface_f:
        notes.append("Hot surface: burns skin.")
    return tuple(notes)
