"""An equipment marker, decided."""

from __future__ import annotations

from collections.abc import Mapping

from layouts.order.order import EquipmentMarker, Neighbor
from layouts.plan.build import build_for
from layouts.plan.carried import Carried, carried_by, pairing_of
from layouts.plan.contents import caveats_of
from layouts.plan.design import Design, legend_line
from layouts.plan.elements import band_element
from layouts.plan.legibility import (
    LETTER_PER_DISTANCE_SOURCE,
    TAG_DISTANCE,
    letter_for_distance,
    reading_distance,
)
from layouts.plan.level import level_of, pressure_is_plausible
from layouts.plan.model import MarkerPlan, Notes
from layouts.schemes.loader import load_media
from layouts.schemes.model import ElementKind, Scheme
from layouts.terms.findings import Severity
from layouts.terms.units import feet, inches
from layouts.terms.words import Kind

# Longer names go on two lines: a marker of one line would be longer than the machine is wide.
_ONE_LINE = 14
_NO_SCHEMES: Mapping[str, Scheme] = {}
# Machines that are named after what is in them; common practice, no source.
_NAMED_AFTER_CONTENTS = frozenset(
    {"PUMP", "COMPRESSOR", "TANK", "RECEIVER", "RECIRCULATOR", "VESSEL", "ACCUMULATOR"}
)


def equipment_name(spec: EquipmentMarker) -> str:
    """The machine's name in use."""
    return " ".join(part for part in (spec.tag.upper(), spec.name.upper()) if part)


def contents_of(spec: EquipmentMarker) -> str:
    """The machine's contents: as given, otherwise from its name.

    A GLYCOL PUMP holds glycol and a CO2 COMPRESSOR CO2; OIL SEPARATOR does not say what else is in
    it, and neither does WATER COOLED CONDENSER.
    """
    if spec.contents:
        return spec.contents
    words = spec.name.upper().split()
    if len(words) < 2 or words[-1].rstrip("S") not in _NAMED_AFTER_CONTENTS:
        return ""
    named = load_media().find(" ".join(words[:-1]))
    return named.medium.word if named is not None and named.medium.vessel_names else ""


def plan_equipment(
    spec: EquipmentMarker,
    scheme: Scheme,
    notes: Notes,
    schemes: Mapping[str, Scheme] = _NO_SCHEMES,
) -> tuple[MarkerPlan, ...]:
    """Decide one equipment marker; nothing where there is nothing to draw."""
    carried = carried_by(contents_of(spec), scheme, schemes)
    # The scheme's equipment colors apply only to its own contents.
    pairing = None if carried.own else pairing_of(carried, notes)
    if carried.own and carried.renamed:
        notes.reason("contents", f"{carried.written} is the same as {carried.word}")
    if not spec.contents and not carried.own:
        notes.reason("contents", f"{carried.word}, by the machine's name")
    scheme = carried.scheme
    pressure_is_plausible(spec.pressure, carried, notes)
    rows = _rows(spec, carried)
    if not rows:
        notes.find(
            Severity.UNREADABLE,
            "equipment-unnamed",
            "the equipment has neither a name nor a number",
            "give legend (the name) or tag (the number)",
            field="tag",
        )
    with_level = scheme.equipment.pressure_band and (
        spec.pressure is not None or spec.level is not None
    )
    level = None
    if with_level:
        level = level_of(spec.pressure, spec.level, scheme, notes, carried.word)
    if notes.impossible:
        return ()
    caveats_of(scheme, None, notes)
    letter, height, row = _sizes(spec, scheme, notes)
    build = build_for(spec.environment, notes, insulated=bool(spec.covering))
    field = scheme.inks[pairing.field if pairing else scheme.equipment.field]
    ink = scheme.inks[pairing.legend if pairing else scheme.equipment.ink]
    band = None
    if level is not None:
        band = band_element(ElementKind.LEVEL, scheme.levels[level], scheme, letter, 0.0)
    neighbor = spec.neighbor or Neighbor()
    design = Design(
        kind=Kind.EQUIPMENT,
        scheme=scheme.key,
        lines=tuple(legend_line(words, ink, letter) for words in rows),
        field=field,
        letter_height=letter,
        marker_height=neighbor.marker_height or height,
        length=neighbor.length or 0.0,
        length_step=scheme.face.length_step,
        corner_share=scheme.face.corner_share,
        fixed_height=neighbor.marker_height is not None,
        fixed_length=neighbor.length is not None,
        end_band=band,
        plate=build.plate,
    )
    return (
        MarkerPlan(
            kind=Kind.EQUIPMENT,
            name=equipment_name(spec),
            scheme=scheme.key,
            design=design,
            build=build,
            row=row,
            letter_reason=row,
            reading_distance=reading_distance(letter),
            reasons=notes.reasons,
            findings=notes.findings,
            level=level,
        ),
    )


def _sizes(spec: EquipmentMarker, scheme: Scheme, notes: Notes) -> tuple[float, float, str]:
    """Letter height, marker height and the row's name."""
    rule = scheme.equipment
    scale = rule.marker_height / rule.letter_height
    neighbor = spec.neighbor or Neighbor()
    if neighbor.letter_height is not None:
        notes.reason("letters", f"{inches(neighbor.letter_height)} as measured off the neighbor")
        return neighbor.letter_height, neighbor.letter_height * scale, "as its neighbor"
    if spec.small:
        distance = spec.viewing_distance or TAG_DISTANCE
        floor = letter_for_distance(distance)
        row = f"small part: letters {inches(floor)} for reading from {feet(distance)}"
        notes.reason("letters", row, LETTER_PER_DISTANCE_SOURCE)
    else:
        floor = rule.letter_height
        row = (
            f"equipment: letters {inches(floor)}, marker {inches(rule.marker_height)} high or more"
        )
        notes.reason("letters", row, rule.source)
        if spec.viewing_distance and letter_for_distance(spec.viewing_distance) > floor:
            floor = letter_for_distance(spec.viewing_distance)
            row = f"letters {inches(floor)} for reading from {feet(spec.viewing_distance)}"
            notes.reason("letters", row, LETTER_PER_DISTANCE_SOURCE)
    letter = floor
    if spec.letter_height is not None:
        letter = spec.letter_height
        row = f"letters {inches(letter)} by the order"
        notes.reason("letters", row)
        if letter < floor - 1e-6:
            notes.find(
                Severity.BLOCKING,
                "letter-below-row",
                f"letters of {inches(letter)} are below {inches(floor)}",
                f"use at least {inches(floor)}, or small = true for a small part",
                rule.source,
                field="letter_in",
            )
    return letter, letter * scale, row


def _rows(spec: EquipmentMarker, carried: Carried) -> list[str]:
    """The words on one line or two; two lines break where their lengths are most even.

    The medium's word comes first if it is not the scheme's own and the name lacks it.
    """
    name = spec.name.upper()
    if (name or spec.tag) and not carried.own and f" {carried.word} " not in f" {name} ":
        name = f"{carried.word} {name}"
    words = [*name.split(), *([spec.tag.upper()] if spec.tag else [])]
    text = " ".join(words)
    wanted = spec.lines or (1 if len(text) <= _ONE_LINE else 2)
    if wanted == 1 or len(words) < 2:
        return [text] if text else []
    cut = min(
        range(1, len(words)),
        key=lambda at: max(len(" ".join(words[:at])), len(" ".join(words[at:]))),
    )
    return [" ".join(words[:cut]), " ".join(words[cut:])]
