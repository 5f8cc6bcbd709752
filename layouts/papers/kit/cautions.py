"""Every caution that papers print, in one list; ``cautions_for`` is its one reader.

A caution names the papers that carry it and the hazard it is about. A paper about one area leaves
out hazards that the area does not have, so that the crew reads the rest. Common practice, no
source, unless marked.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import Enum

from layouts.markers.gather import Marker, Placing
from layouts.order.order import PipeMarker
from layouts.plan.build import Build, Mount
from layouts.schemes.loader import load_practice
from layouts.terms.values import frozen
from layouts.terms.words import Level, State


class Audience(Enum):
    """The papers that carry cautions."""

    PROOF = "proof"
    TICKET = "ticket"
    PACK = "pack"
    CHART = "chart"
    CHANGES = "changes"
    SURVEY = "survey"
    ROUNDS = "rounds"
    AUDIT = "audit"
    REGISTERS = "registers"
    SIGNS = "signs"


class Hazard(Enum):
    """What some areas have and others do not."""

    JACKET = "insulation jacket"
    FOOD = "over or beside food"
    HOT = "hot surface"
    COLD = "cold surface"
    SIDES = "right- and left-hand markers"


@frozen
class Caution:
    """One caution; without a hazard it applies everywhere."""

    text: str
    audiences: frozenset[Audience]
    hazard: Hazard | None = None


def _caution(text: str, *audiences: Audience, hazard: Hazard | None = None) -> Caution:
    return Caution(text, frozenset(audiences), hazard)


_PROOF, _TICKET, _PACK = Audience.PROOF, Audience.TICKET, Audience.PACK
_CHART, _CHANGES = Audience.CHART, Audience.CHANGES
_SURVEY, _ROUNDS, _AUDIT = Audience.SURVEY, Audience.ROUNDS, Audience.AUDIT

_REGISTERS, _SIGNS = Audience.REGISTERS, Audience.SIGNS

CAUTIONS = (
    _caution(
        "Local codes, the fire code and the authority having jurisdiction decide which signs a "
        "machinery room needs, what they say, how large they are and where they hang. These signs "
        "claim no conformity with any of them.",
        _SIGNS,
    ),
    _caution(
        "Every word, step and rating is the plant's own: check each against the safety data "
        "sheet, the written procedures and the emergency plan before it hangs. Ratings of ammonia "
        "are not the same indoors and outdoors.",
        _SIGNS,
    ),
    _caution(
        "Ammonia: a placard at a king valve is not a procedure and does not make anyone fit to "
        "close it. Only trained people act on it, and nobody enters a cloud to reach a valve.",
        _SIGNS,
    ),
    _caution(
        "Replace a sign when what it says changes, under the plant's management of change (MOC).",
        _SIGNS,
    ),
    _caution(
        "A register is a copy of the list: check each valve against its tag and the P&ID before "
        "you work by it. Where they disagree, stop and notify the list owner.",
        _REGISTERS,
    ),
    _caution(
        "Local codes and licensed practice decide what is sealed, locked, relieved and replaced, "
        "and when. This paper claims no conformity with any of them.",
        _REGISTERS,
    ),
    _caution(
        "Ammonia: never open, close or adjust a relief valve or a sealed valve by this paper.",
        _REGISTERS,
    ),
    _caution(
        "Trace each line to both ends and check it against the P&ID before you install its "
        "marker. Where pipe, list and P&ID disagree, install nothing there and notify the list "
        "owner.",
        *(_PROOF, _TICKET, _PACK),
    ),
    _caution(
        "Before you remove a marker, trace the line to both ends and check it against the P&ID. "
        "Leave no line without a marker while the new one is being made.",
        _CHANGES,
    ),
    _caution(
        "A survey looks and writes down. Take no marker down, scrape no ice off and open no jacket "
        "to find one: write hidden.",
        *(_SURVEY, _ROUNDS),
    ),
    _caution(
        "Write what hangs, not what should hang. Where pipe and picture disagree, trace the line "
        "to both ends; the list may be wrong.",
        _SURVEY,
    ),
    _caution("Read the words before the color: colors differ from plant to plant.", _CHART),
    _caution(
        "No marker, or one that contradicts the P&ID: trace the line to both ends; do not guess.",
        _CHART,
    ),
    _caution(
        "A marker never means a line is safe to open: isolate, pump out and verify by procedure.",
        _CHART,
    ),
    _caution(
        "Apply film to a dry, clean, cured surface within the temperature range of its adhesive. "
        "Film on plates is applied in the shop, before the markers ship.",
        _TICKET,
    ),
    _caution(
        "Nothing pierces or crushes an insulation jacket or its vapor retarder: no screws, rivets "
        "or staples; straps snug, not tight. A broken retarder lets in water, which turns to ice "
        "and corrodes the pipe.",
        *(_PROOF, _TICKET, _PACK, _CHANGES),
        hazard=Hazard.JACKET,
    ),
    _caution(
        "Over or beside food: no loose parts. Count straps, offcuts, liners and tools in and out "
        "of the room, and write the counts down.",
        _PACK,
        hazard=Hazard.FOOD,
    ),
    _caution(
        "Right- and left-hand markers are not interchangeable; keep them separate. A right-hand "
        "marker on the left-hand side shows the wrong direction of flow.",
        *(_TICKET, _PACK),
        hazard=Hazard.SIDES,
    ),
    _caution(
        "Remove the straps and adhesive of an old marker with it.",
        _CHANGES,
    ),
    _caution(
        "Changing a label is a change: follow the plant's management of change (MOC), permits "
        "included.",
        *(_PROOF, _TICKET, _PACK, _CHANGES, _ROUNDS),
    ),
    _caution(
        "Ammonia: know the alarm, the way out and the nearest eyewash and safety shower before "
        "you start; leave at the first smell. Never open, drill, weld or lean on anything that "
        "holds refrigerant.",
        *(_PACK, _SURVEY, _ROUNDS),
    ),
    _caution(
        "Know the alarm, the way out, the eyewash and the safety shower before you go in.", _CHART
    ),
    _caution(
        "Hot surfaces burn, discharge lines most of all: check the temperature before touching. "
        "Bare metal burns from 140 F (ASTM C1055 reading, from memory).",
        *(_PACK, _SURVEY, _ROUNDS),
        hazard=Hazard.HOT,
    ),
    _caution(
        "Cold metal freezes to skin: check the temperature before touching, and wear gloves.",
        *(_PACK, _SURVEY, _ROUNDS),
        hazard=Hazard.COLD,
    ),
    _caution(
        "Work at height, near moving machinery and on isolated equipment is for trained people "
        "with their own permits: ladders, lifts, lockout and tagout under the plant's rules.",
        *(_PACK, _SURVEY, _ROUNDS),
    ),
    _caution(
        "Ammonia, hot surfaces, work at height and isolation are for trained people under local "
        "codes.",
        *(_PROOF, _TICKET),
    ),
    _caution("Report a missing, faded or wrong marker; changes go through MOC.", _CHART),
    _caution(
        "Local codes and licensed practice decide. This paper was made from a list: it claims no "
        "conformity and does not replace a survey.",
        *(_PROOF, _TICKET, _PACK, _CHANGES),
    ),
    _caution(
        "Times to inspect and to replace are common practice without a source, or the plant's own: "
        "a marker that cannot be read is replaced now, whatever its date.",
        *(_ROUNDS, _AUDIT),
    ),
    _caution(
        "Local codes and licensed practice decide. This paper repeats what people wrote down: it "
        "claims no conformity with any standard.",
        *(_SURVEY, _ROUNDS, _AUDIT),
    ),
    _caution("Local codes and licensed practice decide.", _CHART),
)


def cautions_for(
    audience: Audience, hazards: Iterable[Hazard] = frozenset(Hazard)
) -> tuple[str, ...]:
    """The cautions of one paper in their order, without those of other hazards."""
    present = frozenset(hazards)
    return tuple(
        each.text
        for each in CAUTIONS
        if audience in each.audiences and (each.hazard is None or each.hazard in present)
    )


def hazards_of(places: Iterable[tuple[Marker, Placing]]) -> frozenset[Hazard]:
    """The hazards of some positions; where the list is silent, the worse one is assumed."""
    found: set[Hazard] = set()
    # Plan and specification decide, and the positions of a long list share few of them.
    apart = {(id(placing.plan), id(placing.spec)): placing for _, placing in places}
    for placing in apart.values():
        environment = placing.spec.environment
        if environment.food_zone:
            found.add(Hazard.FOOD)
        if placing.plan.hand:
            found.add(Hazard.SIDES)
        if is_jacketed(placing):
            found.add(Hazard.JACKET)
        if _is_hot(placing):
            found.add(Hazard.HOT)
        if _is_cold(placing):
            found.add(Hazard.COLD)
    return frozenset(found)


def is_jacketed(placing: Placing) -> bool:
    """Whether the marker goes on insulation."""
    spec = placing.spec
    return isinstance(spec, PipeMarker) and (
        bool(spec.covering) or any(note.startswith("Jacket:") for note in placing.plan.build.notes)
    )


def _is_hot(placing: Placing) -> bool:
    """A surface that burns, or bare high-pressure vapor pipe without a given temperature."""
    surface = placing.spec.environment.surface
    if surface is not None:
        return surface >= load_practice().burn.surface_f
    plan = placing.plan
    vapor = plan.state is State.VAPOR and plan.level is Level.HIGH
    return vapor and not is_jacketed(placing)


def _is_cold(placing: Placing) -> bool:
    """A surface that freezes, frost, or bare low-pressure pipe without a given temperature."""
    environment, plan = placing.spec.environment, placing.plan
    if environment.frost > 0 or _stands_off(plan.build):
        return environment.surface is None or environment.surface < _FREEZING_F
    known = [each for each in (environment.surface, environment.applied_at) if each is not None]
    if known:
        return min(known) < _FREEZING_F
    return plan.level is Level.LOW and not is_jacketed(placing)


def _stands_off(build: Build) -> bool:
    return build.mount is Mount.STAND_OFF


_FREEZING_F = 32.0
